-- Version 7: boards and glass. A sheet is a pile of whole sheets alike, or a remnant; state
-- 'known', NULL once undone, 'gone' where a size is bought no more. How many there are is
-- the sum of its movements.
CREATE TABLE sheet (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE,
  material TEXT NOT NULL,
  whole INTEGER NOT NULL,
  parent INTEGER REFERENCES sheet(id),
  step INTEGER NOT NULL REFERENCES step(id),
  width INTEGER NOT NULL,
  height INTEGER NOT NULL,
  place TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT '',
  since TEXT,
  state TEXT
) STRICT;

-- A sheet that was cut: state 'cut', NULL once undone.
CREATE TABLE sheet_cut (
  id INTEGER PRIMARY KEY,
  step INTEGER NOT NULL REFERENCES step(id),
  sheet INTEGER NOT NULL REFERENCES sheet(id),
  state TEXT
) STRICT;

-- What was cut from it: state 'cut' or 'spoiled', NULL once undone.
CREATE TABLE sheet_piece (
  id INTEGER PRIMARY KEY,
  cut INTEGER NOT NULL REFERENCES sheet_cut(id),
  ticket TEXT NOT NULL,
  what TEXT NOT NULL,
  width INTEGER NOT NULL,
  height INTEGER NOT NULL,
  state TEXT
) STRICT;
CREATE INDEX sheet_piece_of ON sheet_piece(ticket);

-- How many came (above zero) or went, of the size that they had then in nanometres. A
-- sheet that measures otherwise goes with the old size and comes with the new one.
CREATE TABLE sheet_movement (
  id INTEGER PRIMARY KEY,
  step INTEGER NOT NULL REFERENCES step(id),
  sheet INTEGER NOT NULL REFERENCES sheet(id),
  kind TEXT NOT NULL CHECK (kind IN
    ('opened', 'received', 'cut', 'remnant', 'scrap', 'counted')),
  count INTEGER NOT NULL,
  width INTEGER NOT NULL,
  height INTEGER NOT NULL,
  cut INTEGER REFERENCES sheet_cut(id)
) STRICT;
CREATE INDEX sheet_movement_of ON sheet_movement(sheet);
CREATE INDEX sheet_movement_step ON sheet_movement(step);

-- Which labels were printed, and what stood on them; no step either.
CREATE TABLE sheet_printed (
  sheet INTEGER PRIMARY KEY REFERENCES sheet(id),
  what TEXT NOT NULL
) STRICT;

CREATE TRIGGER sheet_movement_stays BEFORE UPDATE ON sheet_movement BEGIN SELECT RAISE(ABORT, 'movements are never changed'); END;
CREATE TRIGGER sheet_movement_kept BEFORE DELETE ON sheet_movement BEGIN SELECT RAISE(ABORT, 'movements are never deleted'); END;
CREATE TRIGGER sheet_kept BEFORE DELETE ON sheet BEGIN SELECT RAISE(ABORT, 'sheets are never deleted'); END;
