"""The tables of what `measure.sh` left in a folder: money of a year, and differences with
intervals that hold the true one in 95 of 100 such studies (Student's t, year by year).

    python3 table.py OUT
"""

import json
import sys
from pathlib import Path
from statistics import fmean, stdev

# The upper 0.975 points of Student's t: NIST/SEMATECH e-Handbook, 1.3.6.7.2.
T = {4: 2.776, 9: 2.262, 14: 2.145, 19: 2.093, 24: 2.064, 29: 2.045}
NOTICES, SEEDS = (5, 10), range(1, 6)


def years(out, frames):
    """The money of every year by practice, those with waiting also by notice."""
    money, late = {}, 0

    def read(name, suffix=""):
        nonlocal late
        of = json.loads((out / f"{name}.json").read_text())
        for practice in of["practices"]:
            each = [float(year["money"]) for year in practice["years"]]
            late += sum(year["frames_late"] + year["frames_not_cut"] for year in practice["years"])
            if suffix or "waiting" not in practice["practice"]:
                money.setdefault(practice["practice"] + suffix, []).extend(each)
        if of["at_least"]:
            money.setdefault("bound", []).extend(float(year["money"]) for year in of["at_least"])

    for seed in SEEDS:
        read(f"seed-{seed}-frames-{frames}")
        for notice in NOTICES:
            for practice in ("hand-waiting", "plan-waiting"):
                read(f"seed-{seed}-frames-{frames}-notice-{notice}-{practice}", f", notice {notice}")
    return money, late


def main():
    out = Path(sys.argv[1])
    for frames in (10, 30):
        money, late = years(out, frames)
        count = len(money["bound"])
        t = T.get(count - 1, 2.776)
        print(f"\n{frames} frames a day, {count} years, frames late: {late}\n")
        print("| practice | money | against by hand at its best | against frame by frame |\n|---|---|---|---|")
        for practice, each in money.items():
            row = [practice, f"{fmean(each):,.0f}"]
            for other in ("by hand at its best", "frame by frame"):
                gaps = [one - two for one, two in zip(each, money[other], strict=True)]
                half = t * stdev(gaps) / count ** 0.5
                row.append(f"{fmean(gaps):+,.0f} +- {half:,.0f} ({100 * fmean(gaps) / fmean(money[other]):+.2f} %)")
            print("| " + " | ".join(row) + " |")
        plan, bound = fmean(money["the plan, every day"]), fmean(money["bound"])
        for notice in NOTICES:
            gained = plan - fmean(money[f"the plan, with waiting, notice {notice}"])
            print(f"\nNotice {notice}: {100 * gained / (plan - bound):.0f} % of what lies between the plan of every day and the bound.")


if __name__ == "__main__":
    main()
