"""Holds the driver against a plain loop over the same tasks, and prints a row for each.

    python3 measure.py --program target/release/longpoint [--shops 200] [--years 1000]

The shops are the demo's with other frames, drawn by a seed; the years are short ones of
benches/year, each with a seed of its own. With --kill a worker is killed every so many
seconds. Every answer of the driver is compared with that of the plain loop.
"""

import argparse
import json
import os
import random
import resource
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).parent
DEMO, YEAR = HERE.parent.parent / "data/demo", HERE.parent / "year"
SIZES = [(5, 7), (8, 10), (11, 14), (12, 16), (16, 20), (18, 24), (20, 24), (20, 30), (24, 36)]


def files(folder):
    of_shop = (file for file in sorted(folder.iterdir()) if file.suffix in (".toml", ".csv"))
    return {file.name: file.read_text() for file in of_shop}


def shop(dice, codes):
    """The frames of a morning: 30 to 90 tickets of usual sizes."""
    rows = ["frame,moulding,width,height,due"]
    for number in range(dice.randint(30, 90)):
        width, height = dice.choice(SIZES)
        due = f"2026-11-{dice.randint(25, 30)}"
        rows.append(f"{number + 1},{dice.choice(codes)},{width} {dice.randint(1, 15)}/16,{height},{due}")
    return "\n".join(rows) + "\n"


def plans(count):
    dice, demo = random.Random(22), files(DEMO)
    mouldings = (row.split(",")[0] for row in demo["mouldings.csv"].splitlines()[1:])
    codes = [code for code in mouldings if code[:1].isalpha() and code != "moulding"][:8]
    for name in ("jobs.csv", "pieces.csv"):
        demo.pop(name, None)
    for number in range(count):
        asked = {"today": "2026-11-25"}
        yield {"id": f"shop {number}", "files": {**demo, "frames.csv": shop(dice, codes)}, "plan": asked}


def years(count):
    of = files(YEAR)
    for number in range(count):
        asked = {"today": "2027-01-04", "days": 10, "frames": 5, "years": 1, "seed": number}
        yield {"id": f"year {number}", "files": of, "year": asked}


def plain_loop(program, lines):
    """A process a task, one after the other, on one core."""
    def answer(line):
        done = subprocess.run([program, "work"], input=line, stdout=subprocess.PIPE, check=True)
        if (of := json.loads(done.stdout))["exit"] != 0:
            sys.exit(f"{of['id']}: {of['faults']}")
        return of
    return {of["id"]: (of["exit"], of["answer"]) for of in map(answer, lines)}


def workers(driver):
    """The processes that compute for this driver."""
    listed = subprocess.run(["ps", "-eo", "pid,ppid,args"], capture_output=True, text=True).stdout
    rows = (row.split(None, 2) for row in listed.splitlines()[1:])
    return [int(pid) for pid, parent, args in rows if int(parent) == driver and "spawn_main" in args]


def driven(options, folder, lines):
    """The driver's answers, and how many workers were killed meanwhile."""
    tasks, table = folder / "tasks.jsonl", folder / "answers.sqlite"
    tasks.write_bytes(b"".join(lines))
    asked = [
        sys.executable, HERE / "drive.py", tasks, table, "--program", options.program,
        "--workers", str(options.workers)]
    driver = subprocess.Popen(asked)
    killed, last = 0, time.monotonic()
    while driver.poll() != 0:
        if driver.poll() is not None:
            # A task whose workers were killed again and again: begun anew it is asked again.
            if not options.kill:
                sys.exit("the driver failed")
            driver = subprocess.Popen(asked)
        time.sleep(0.05)
        if options.kill and time.monotonic() - last >= options.kill and (found := workers(driver.pid)):
            os.kill(found[killed % len(found)], signal.SIGKILL)
            killed, last = killed + 1, time.monotonic()
    with sqlite3.connect(table) as db:
        return {id: rest for id, *rest in map(list, db.execute("SELECT * FROM answers"))}, killed


def timed(call):
    """Wall seconds, CPU seconds of all processes that ended meanwhile, and the result."""
    used = lambda: sum(resource.getrusage(resource.RUSAGE_CHILDREN)[:2])
    wall, cpu = time.monotonic(), used()
    result = call()
    return time.monotonic() - wall, used() - cpu, result


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--program", required=True)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--shops", type=int, default=200)
    parser.add_argument("--years", type=int, default=1000)
    parser.add_argument("--kill", type=float, help="kill a worker every so many seconds")
    options = parser.parse_args()
    options.program = str(Path(options.program).resolve())
    print("| tasks | plain loop, wall | CPU | driver, wall | CPU | CPU more a task | efficiency | killed | alike |")
    print("|---|---|---|---|---|---|---|---|---|")
    for what, tasks in (("shops", plans(options.shops)), ("years", years(options.years))):
        lines = [json.dumps(task).encode() + b"\n" for task in tasks]
        if not lines:
            continue
        wall, cpu, plain = timed(lambda: plain_loop(options.program, lines))
        with tempfile.TemporaryDirectory() as folder:
            own_wall, own_cpu, (answers, killed) = timed(lambda: driven(options, Path(folder), lines))
        alike = sum(answers.get(id) == list(answer) for id, answer in plain.items())
        print(
            f"| {len(lines)} {what} | {wall:.1f} s | {cpu:.1f} s | {own_wall:.1f} s | {own_cpu:.1f} s "
            f"| {1000 * (own_cpu - cpu) / len(lines):.1f} ms | {100 * wall / own_wall / options.workers:.0f} % "
            f"| {killed} | {alike} of {len(plain)} |", flush=True)
        if alike != len(plain) or len(answers) != len(plain):
            sys.exit("the driver's answers are not those of the plain loop")


if __name__ == "__main__":
    main()
