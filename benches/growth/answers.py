"""Answers that are kept one by one, each whole or not at all, and the table of them all."""

import json
import os
import sqlite3


def written(path, write):
    """Makes a file whole or not at all, and never over another."""
    part = path.with_suffix(f".{os.getpid()}")
    part.unlink(missing_ok=True)
    write(part)
    with open(part, "rb") as file:
        os.fsync(file.fileno())
    try:
        os.link(part, path)
    finally:
        part.unlink()


def table(part, tasks, kept):
    """Makes the SQLite table of all answers: id, exit, and answer or faults."""
    with sqlite3.connect(part) as db:
        db.execute("CREATE TABLE answers (id TEXT PRIMARY KEY, exit INTEGER, answer TEXT)")
        for name, (id, *_) in tasks.items():
            of = json.loads(kept(name).read_bytes())
            row = (id, of["exit"], "\n".join(of["faults"]) if of["exit"] else of["answer"])
            db.execute("INSERT INTO answers VALUES (?, ?, ?)", row)
    db.close()
