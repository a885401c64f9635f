"""Answers a file of tasks with `longpoint work`, many at once, on one machine or many.

    python3 drive.py tasks.jsonl answers.sqlite [--program longpoint] [--workers 2]
    python3 drive.py tasks.jsonl answers.sqlite --scheduler tcp://HOST:PORT

Who begins anew after a crash goes on where it ended; README.md says more.
"""

import argparse
import json
import os
import shutil
import subprocess
import sys
from itertools import islice
from pathlib import Path

import dask
from distributed import Client, as_completed

from answers import table, written
from tasks import read


def answered(line, program):
    """Runs one task in a process of its own. Done or wrong is an answer; all else raises."""
    done = subprocess.run([program, "work"], input=line, capture_output=True)
    if done.returncode or json.loads(done.stdout)["exit"] not in (0, 2):
        raise RuntimeError(f"exit {done.returncode}: {done.stdout[-300:]} {done.stderr[-300:]}")
    return done.stdout


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("tasks", type=Path, help="a file with a task on each line")
    parser.add_argument("table", type=Path, help="the SQLite file that is made")
    parser.add_argument("--program", default="longpoint", help="where longpoint is on every machine")
    parser.add_argument("--workers", type=int, default=os.cpu_count(), help="how many at once here")
    parser.add_argument("--scheduler", help="work by this scheduler's workers in place of own ones")
    args = parser.parse_args()
    if args.table.exists():
        sys.exit(f"{args.table}: is there already, and nothing is overwritten")
    tasks, parts = read(args.tasks), args.table.with_suffix(".parts")
    parts.mkdir(exist_ok=True)
    kept = lambda name: parts / f"{name}.json"
    dask.config.set({"distributed.worker.profile.enabled": False})
    left, failed = [name for name in tasks if not kept(name).exists()], []
    left = iter(sorted(left, key=lambda name: -tasks[name][2]))
    own = {"n_workers": args.workers, "threads_per_worker": 1, "host": "127.0.0.1", "dashboard_address": None}
    with Client(args.scheduler) if args.scheduler else Client(**own) as client:
        send = lambda name: client.submit(
            answered, tasks[name][1], args.program, key=name, retries=3, pure=False)
        ahead = 4 * max(1, sum(client.nthreads().values()))
        running = as_completed([send(name) for name in islice(left, ahead)])
        for future in running:
            if future.status == "finished" and not kept(future.key).exists():
                written(kept(future.key), lambda part: part.write_bytes(future.result()))
            elif future.status != "finished":
                failed.append(f"{tasks[future.key][0]}: {future.exception()}")
            for name in islice(left, 1):
                running.add(send(name))
    if failed:
        sys.exit("not answered, begin anew to try again:\n" + "\n".join(failed))
    written(args.table, lambda part: table(part, tasks, kept))
    shutil.rmtree(parts)


if __name__ == "__main__":
    main()
