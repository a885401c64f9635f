-- One shop's book, version 1. Steps, movements and notes are only ever added to;
-- triggers see to that. Everything else is what they add up to at present.

CREATE TABLE step (
  id INTEGER PRIMARY KEY,
  at TEXT NOT NULL,
  who TEXT NOT NULL,
  what TEXT NOT NULL,
  why TEXT NOT NULL,
  undoes INTEGER UNIQUE REFERENCES step(id)
) STRICT;

-- The shop's files as somebody typed them; without a text, it is not there.
CREATE TABLE paper (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE,
  text TEXT
) STRICT;

-- Every stick there ever was. Its length is the sum of its movements.
CREATE TABLE stick (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE,
  moulding TEXT NOT NULL,
  lot TEXT NOT NULL,
  parent INTEGER REFERENCES stick(id),
  step INTEGER NOT NULL REFERENCES step(id),
  place TEXT NOT NULL DEFAULT '',
  flaws TEXT NOT NULL DEFAULT '',
  since TEXT,
  job INTEGER REFERENCES job(id)
) STRICT;
CREATE INDEX stick_job ON stick(job) WHERE job IS NOT NULL;
CREATE INDEX stick_parent ON stick(parent) WHERE parent IS NOT NULL;

-- What came to a stick (above zero) and what went from it, in nanometres; the
-- rail that was cut when it went, and for an offcut the stick at the other end.
CREATE TABLE movement (
  id INTEGER PRIMARY KEY,
  step INTEGER NOT NULL REFERENCES step(id),
  stick INTEGER NOT NULL REFERENCES stick(id),
  kind TEXT NOT NULL CHECK (kind IN
    ('opened', 'received', 'offcut', 'rail', 'spoiled', 'joint', 'trim', 'scrap', 'counted')),
  nm INTEGER NOT NULL,
  rail INTEGER REFERENCES rail(id),
  other INTEGER REFERENCES stick(id)
) STRICT;
CREATE INDEX movement_stick ON movement(stick, kind, nm);
CREATE INDEX movement_step ON movement(step);
CREATE INDEX movement_rail ON movement(rail) WHERE rail IS NOT NULL;

-- Every change of a column that has a state, so that each step can be undone.
CREATE TABLE note (
  id INTEGER PRIMARY KEY,
  step INTEGER NOT NULL REFERENCES step(id),
  field TEXT NOT NULL,
  row INTEGER NOT NULL,
  was ANY,
  is_now ANY
) STRICT;
CREATE INDEX note_step ON note(step);
CREATE INDEX note_of ON note(field, row);

-- Labels that were promised to offcuts; none is given twice.
CREATE TABLE label (
  number INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE,
  step INTEGER NOT NULL REFERENCES step(id)
) STRICT;

-- A plan at the bench: state 'bench', 'done' or 'back'; NULL once undone.
CREATE TABLE job (
  id INTEGER PRIMARY KEY,
  step INTEGER NOT NULL REFERENCES step(id),
  date TEXT NOT NULL,
  state TEXT
) STRICT;

-- A frame copy that left the pile: state 'bench', 'chopped' or 'bought'.
CREATE TABLE copy (
  id INTEGER PRIMARY KEY,
  frame TEXT NOT NULL,
  number INTEGER NOT NULL,
  job INTEGER REFERENCES job(id),
  state TEXT,
  UNIQUE (frame, number)
) STRICT;

-- A stick of a job and what is to be cut from it: state 'on' or 'off'.
CREATE TABLE lay (
  id INTEGER PRIMARY KEY,
  job INTEGER NOT NULL REFERENCES job(id),
  stick INTEGER NOT NULL REFERENCES stick(id),
  length INTEGER NOT NULL,
  trim INTEGER NOT NULL,
  remains INTEGER NOT NULL,
  label TEXT NOT NULL,
  state TEXT
) STRICT;
CREATE INDEX lay_job ON lay(job);
CREATE UNIQUE INDEX lay_once ON lay(stick) WHERE state = 'on';

-- A piece kept before a flaw.
CREATE TABLE piece (
  lay INTEGER NOT NULL REFERENCES lay(id),
  start INTEGER NOT NULL,
  length INTEGER NOT NULL,
  label TEXT NOT NULL
) STRICT;
CREATE INDEX piece_lay ON piece(lay);

-- A rail of a lay: state 'to cut', 'cut', 'spoiled' or 'off'.
CREATE TABLE rail (
  id INTEGER PRIMARY KEY,
  lay INTEGER NOT NULL REFERENCES lay(id),
  number INTEGER NOT NULL,
  frame TEXT NOT NULL,
  copy INTEGER NOT NULL,
  layer INTEGER NOT NULL,
  side INTEGER NOT NULL,
  sides INTEGER NOT NULL,
  start INTEGER NOT NULL,
  stop INTEGER NOT NULL,
  joint INTEGER NOT NULL,
  alike TEXT NOT NULL,
  state TEXT
) STRICT;
CREATE INDEX rail_lay ON rail(lay);

-- An order and its lines: state 'open', 'in' or 'dropped'.
CREATE TABLE purchase (
  id INTEGER PRIMARY KEY,
  step INTEGER NOT NULL REFERENCES step(id),
  date TEXT NOT NULL
) STRICT;
CREATE TABLE line (
  id INTEGER PRIMARY KEY,
  purchase INTEGER NOT NULL REFERENCES purchase(id),
  supplier TEXT NOT NULL,
  moulding TEXT NOT NULL,
  form TEXT NOT NULL,
  length INTEGER NOT NULL,
  count INTEGER NOT NULL,
  pieces INTEGER NOT NULL,
  cost INTEGER,
  needed INTEGER NOT NULL,
  arrives TEXT,
  came INTEGER NOT NULL DEFAULT 0,
  state TEXT
) STRICT;
-- The frames that a supplier chops for a line.
CREATE TABLE chop (
  line INTEGER NOT NULL REFERENCES line(id),
  frame TEXT NOT NULL,
  copy INTEGER NOT NULL,
  layer INTEGER NOT NULL
) STRICT;

CREATE TRIGGER step_stays BEFORE UPDATE ON step BEGIN SELECT RAISE(ABORT, 'steps are never changed'); END;
CREATE TRIGGER step_kept BEFORE DELETE ON step BEGIN SELECT RAISE(ABORT, 'steps are never deleted'); END;
CREATE TRIGGER movement_stays BEFORE UPDATE ON movement BEGIN SELECT RAISE(ABORT, 'movements are never changed'); END;
CREATE TRIGGER movement_kept BEFORE DELETE ON movement BEGIN SELECT RAISE(ABORT, 'movements are never deleted'); END;
CREATE TRIGGER note_stays BEFORE UPDATE ON note BEGIN SELECT RAISE(ABORT, 'notes are never changed'); END;
CREATE TRIGGER note_kept BEFORE DELETE ON note BEGIN SELECT RAISE(ABORT, 'notes are never deleted'); END;
CREATE TRIGGER stick_kept BEFORE DELETE ON stick BEGIN SELECT RAISE(ABORT, 'sticks are never deleted'); END;
