-- Version 3: a step can carry a token given by whoever asked for it, so that a
-- press repeated after a lost answer is not done twice.
ALTER TABLE step ADD COLUMN token TEXT;
CREATE UNIQUE INDEX step_token ON step(token) WHERE token IS NOT NULL;
