"""A file of tasks for `longpoint work`, a line of JSON each."""

import hashlib
import json
import sys


def read(file):
    """The tasks by a name that is made of all that they say: id, line, and about how long."""
    tasks, ids = {}, set()
    for number, line in enumerate(file.read_bytes().splitlines(keepends=True), 1):
        try:
            task = json.loads(line)
            id, asked = str(task["id"]), {"days": 250, "frames": 10, "years": 3} | task.get("year", {})
            cut = int(asked["days"]) * int(asked["frames"]) * int(asked["years"])
            heft = cut if "year" in task else task["files"]["frames.csv"].count("\n")
        except (ValueError, KeyError, TypeError, AttributeError) as error:
            sys.exit(f"{file}, line {number}: no task ({error!r}; see `longpoint work --help`)")
        if id in ids:
            sys.exit(f"{file}, line {number}: the id {id} is given twice (give each its own)")
        ids.add(id)
        tasks[hashlib.sha256(line).hexdigest()] = (id, line, heft)
    return tasks
