"""Learns a shop's worth and its curve of worth over many simulated years, by the driver.

    python3 learn.py ../year learnt --program longpoint [--years 200] [--days 50] [--workers 2]

What an offcut is worth is looked for as `longpoint year --learn` does, with the shop's own
`keep`: all shares, then those of three knots one after the other and twice, none below the
one before it. A year is a task. Of many rules the surely worse ones are left behind early:
after a tenth and after a third of the years, each goes that comes to more than the best by
two and a half standard errors of the difference (a race: Birattari and others 2002, from
memory). The best is held against the shop's own on as many further years, which it was not
learnt on. Whoever begins anew goes on where it ended: each round's answers are a file.
"""

import argparse
import csv
import json
import re
import sqlite3
import subprocess
import sys
from fractions import Fraction
from pathlib import Path
from statistics import fmean, stdev

TENTHS = [f"0.{tenth}" for tenth in range(10)]
KEEP = re.compile(r'^keep = "(\d+)"$', re.M)
WORTH = re.compile(r'^worth = "([\d.]+)"$', re.M)


class Search:
    """The shop's files, and what a year came to under each rule that was tried."""

    def __init__(self, args):
        self.args, self.money, self.rounds = args, {}, 0
        of_shop = (file for file in sorted(args.shop.iterdir()) if file.suffix in (".toml", ".csv"))
        self.files = {file.name: file.read_text() for file in of_shop}
        self.own = (WORTH.search(self.files["shop.toml"])[1], None)

    def shop(self, rule):
        """The shop's files with another worth, and its knots at quarters of the way."""
        worth, curve = rule
        files = {**self.files, "shop.toml": WORTH.sub(f'worth = "{worth}"', self.files["shop.toml"])}
        keep, rows = int(KEEP.search(files["shop.toml"])[1]), ["moulding,length,worth"]
        for of in csv.DictReader(files["mouldings.csv"].splitlines()):
            way = int(of["stick"]) - keep
            at = [keep + Fraction(way * quarter, 4) for quarter in (1, 2, 3)]
            assert all((32 * length).denominator == 1 for length in at), "marks of 1/32"
            rows += [f"{of['moulding']},{float(length)},{share}" for length, share in zip(at, curve or ())]
        return {**files, "worth.csv": "\n".join(rows) + "\n"} if curve else files

    def simulate(self, rules, seeds):
        """Has all years simulated that are not yet."""
        asked = {"today": "2027-01-04", "days": self.args.days, "frames": self.args.frames, "years": 1, "practice": "plan"}
        lines = [
            json.dumps({"id": f"{rule} {seed}", "files": self.shop(rule), "year": {**asked, "seed": seed}})
            for rule in rules for seed in seeds if (rule, seed) not in self.money]
        if not lines:
            return
        self.rounds += 1
        tasks, table = (self.args.out / f"round-{self.rounds:02}.{end}" for end in ("jsonl", "sqlite"))
        text = "\n".join(lines) + "\n"
        if tasks.exists() and tasks.read_text() != text:
            sys.exit(f"{tasks}: is of another search (name another folder)")
        tasks.write_text(text)
        if not table.exists():
            driver = [sys.executable, Path(__file__).with_name("drive.py"), tasks, table]
            options = ["--program", self.args.program, "--workers", str(self.args.workers)]
            subprocess.run(driver + options, check=True)
        with sqlite3.connect(table) as db:
            answers = dict((id, (exit, text)) for id, exit, text in db.execute("SELECT * FROM answers"))
        for rule in rules:
            for seed in seeds:
                if f"{rule} {seed}" in answers:
                    exit, text = answers[f"{rule} {seed}"]
                    assert exit == 0, text
                    money = json.loads(text)["practices"][0]["years"][0]["money"]
                    self.money[rule, seed] = float(money)

    def less(self, one, other, seeds):
        """What one comes to less than another in a year, and the standard error of it."""
        each = [self.money[one, seed] - self.money[other, seed] for seed in seeds]
        return fmean(each), stdev(each) / len(each) ** 0.5

    def best_of(self, rules):
        rules = list(dict.fromkeys(rules))
        for years in (self.args.years // 10, self.args.years // 3, self.args.years):
            seeds = range(1, max(2, years) + 1)
            self.simulate(rules, seeds)
            total = lambda rule: sum(self.money[rule, seed] for seed in seeds)
            best = min(rules, key=total)
            gaps = {rule: self.less(rule, best, seeds) for rule in rules}
            rules = [rule for rule in rules if gaps[rule][0] <= 2.5 * gaps[rule][1]]
        print(f"round {self.rounds}: {best} of {len(gaps)}", flush=True)
        return best


def curves(rule, knot):
    """The rule with another share at a knot, none of which falls."""
    worth, curve = rule
    line = [Fraction(worth) + (1 - Fraction(worth)) * Fraction(quarter, 4) for quarter in (1, 2, 3)]
    curve = curve or tuple(str(float(share)) for share in line)
    least = Fraction(curve[knot - 1] if knot else worth)
    most = Fraction(curve[knot + 1]) if knot < 2 else 1
    shares = (share for share in TENTHS + ["1"] if least <= Fraction(share) <= most)
    return [(worth, (*curve[:knot], share, *curve[knot + 1:])) for share in shares]


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("shop", type=Path, help="a shop folder, in inches, as benches/year is")
    parser.add_argument("out", type=Path, help="a folder for tasks and answers")
    parser.add_argument("--program", default="longpoint")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--years", type=int, default=200, help="to learn on, and as many to judge")
    parser.add_argument("--days", type=int, default=50)
    parser.add_argument("--frames", type=int, default=10)
    args = parser.parse_args()
    args.out.mkdir(exist_ok=True)
    search = Search(args)
    best = search.best_of([search.own] + [(share, None) for share in TENTHS])
    for knot in (0, 1, 2, 0, 1, 2):
        best = search.best_of([best] + curves(best, knot))
    if best == search.own:
        sys.exit("the shop's own is the best")
    seeds = range(args.years + 1, 2 * args.years + 1)
    search.simulate([search.own, best], seeds)
    mean, error = search.less(best, search.own, seeds)
    own = fmean(search.money[search.own, seed] for seed in seeds)
    print(f"worth {best[0]}, curve {best[1]}: {mean:.2f} +- {1.97 * error:.2f} in {args.days} days against "
          f"{own:.2f} ({100 * mean / own:.2f} %), on {args.years} years not learnt on; {len(search.money)} years in all")


if __name__ == "__main__":
    main()
