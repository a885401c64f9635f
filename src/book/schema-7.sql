-- Version 7: what became of a frame copy after the cutting: made 'joined' or 'fitted'.
ALTER TABLE copy ADD COLUMN made TEXT;
-- Which devices may use the book's pages, and as what; of what a device is known by,
-- only its hash is kept. And who minded a machine's cautions on which day. None of it is a
-- step: nothing in the shop is otherwise by it.
CREATE TABLE device (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL,
  role TEXT NOT NULL,
  hash TEXT NOT NULL UNIQUE,
  since TEXT NOT NULL
) STRICT;
CREATE TABLE minded (
  device INTEGER NOT NULL REFERENCES device(id) ON DELETE CASCADE,
  machine TEXT NOT NULL,
  day TEXT NOT NULL,
  PRIMARY KEY (device, machine)
) STRICT;
-- The tickets that were taken at the counter: they stand in the book's own frames.csv, and
-- in nobody's folder until the book is exported.
CREATE TABLE ticket (
  id INTEGER PRIMARY KEY,
  step INTEGER NOT NULL REFERENCES step(id),
  frame TEXT NOT NULL
) STRICT;
