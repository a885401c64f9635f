"""Answers a file of tasks with `longpoint work`, many at once, on one machine or many.

    python3 drive.py tasks.jsonl answers.sqlite [--program longpoint] [--workers 2]
    python3 drive.py tasks.jsonl answers.sqlite --scheduler tcp://HOST:PORT

Every answer is kept beside the table in a file of its own, so that whoever begins anew
after a crash goes on where it ended; README.md says more.
"""

import argparse
import hashlib
import json
import os
import shutil
import sqlite3
import subprocess
import sys
from itertools import islice
from pathlib import Path

import dask
from distributed import Client, LocalCluster, as_completed


def answered(line, program):
    """Runs one task in a process of its own. Done or wrong is an answer; all else raises."""
    done = subprocess.run([program, "work"], input=line, capture_output=True)
    if done.returncode or json.loads(done.stdout)["exit"] not in (0, 2):
        raise RuntimeError(f"exit {done.returncode}: {done.stdout[-300:]} {done.stderr[-300:]}")
    return done.stdout


def weight(task):
    """About how long it takes: cut frames of a simulated year, tickets of a plan."""
    if year := task.get("year"):
        return int(year.get("days", 250)) * int(year.get("frames", 10)) * int(year.get("years", 3))
    return task["files"]["frames.csv"].count("\n")


def keep(kept, text):
    """Writes an answer down, whole or not at all, and never over another."""
    part = kept.with_suffix(f".{os.getpid()}")
    with open(part, "wb") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    try:
        os.link(part, kept)
    except FileExistsError:
        pass
    part.unlink()


def work(client, args, tasks, kept):
    """Has the tasks answered that are not kept yet; the ids of those that came to nothing."""
    left = sorted((name for name in tasks if not kept(name).exists()), key=lambda name: -tasks[name][1])
    send = lambda name: client.submit(
        answered, tasks[name][2], args.program, key=name, retries=3, pure=False)
    left, failed = iter(left), []
    ahead = 4 * max(1, sum(client.nthreads().values()))
    running = as_completed([send(name) for name in islice(left, ahead)])
    for future in running:
        if future.status == "finished":
            keep(kept(future.key), future.result())
        else:
            failed.append(f"{tasks[future.key][0]}: {future.exception()}")
        for name in islice(left, 1):
            running.add(send(name))
    return failed


def tabled(table, tasks, kept):
    """Makes the table of all answers by id, and puts it where it was asked for."""
    part = table.with_suffix(f".{os.getpid()}")
    part.unlink(missing_ok=True)
    with sqlite3.connect(part) as db:
        db.execute("CREATE TABLE answers (id TEXT PRIMARY KEY, exit INTEGER, answer TEXT)")
        for name, (id, *_) in tasks.items():
            of = json.loads(kept(name).read_bytes())
            text = of.get("answer") if of["exit"] == 0 else "\n".join(of["faults"])
            db.execute("INSERT INTO answers VALUES (?, ?, ?)", (id, of["exit"], text))
    db.close()
    os.link(part, table)
    part.unlink()


def read(file):
    """The tasks by a name that is made of all that they say: id, weight, line."""
    tasks, ids = {}, set()
    for number, line in enumerate(file.read_bytes().splitlines(keepends=True), 1):
        try:
            task = json.loads(line)
            id, heft = str(task["id"]), weight(task)
        except (ValueError, KeyError, TypeError, AttributeError) as error:
            sys.exit(f"{file}, line {number}: no task ({error!r}; see `longpoint work --help`)")
        if id in ids:
            sys.exit(f"{file}, line {number}: the id {id} is given twice (give each its own)")
        ids.add(id)
        tasks[hashlib.sha256(line).hexdigest()] = (id, heft, line)
    return tasks


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
    tasks = read(args.tasks)
    parts = args.table.with_suffix(".parts")
    parts.mkdir(exist_ok=True)
    kept = lambda name: parts / f"{name}.json"
    dask.config.set({"distributed.worker.profile.enabled": False})
    own = args.scheduler or LocalCluster(
        n_workers=args.workers, threads_per_worker=1, host="127.0.0.1", dashboard_address=None)
    with Client(own) as client:
        failed = work(client, args, tasks, kept)
    if not args.scheduler:
        own.close()
    if failed:
        sys.exit("not answered, begin anew to try again:\n" + "\n".join(failed))
    tabled(args.table, tasks, kept)
    shutil.rmtree(parts)


if __name__ == "__main__":
    main()
