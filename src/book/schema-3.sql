-- Version 3: a step can carry a token given by whoever asked for it, so that a
-- press repeated after a lost answer is not done twice.
ALTER TABLE step ADD COLUMN token TEXT;
CREATE UNIQUE INDEX step_token ON step(token) WHERE token IS NOT NULL;
-- A frame copy can be owed something after its day: state 'owed'. Its good rails
-- are then looked for by its name.
CREATE INDEX rail_of ON rail(frame, copy);
-- Whether the stick is turned over for a rail, so that a card can be printed again.
ALTER TABLE rail ADD COLUMN turned INTEGER NOT NULL DEFAULT 0;
