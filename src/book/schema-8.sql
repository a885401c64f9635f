-- Version 8: the promises that a plan which was taken to the bench does not keep, in the
-- words that were said then. state 'stands', NULL once undone, 'past' once it was planned
-- anew whether it is kept.
CREATE TABLE promise (
  id INTEGER PRIMARY KEY,
  job INTEGER NOT NULL REFERENCES job(id),
  frame TEXT NOT NULL,
  due TEXT NOT NULL,
  words TEXT NOT NULL,
  state TEXT
) STRICT;

-- A supplier's list is said under another name in shop.toml, also where a step is undone.
DROP TRIGGER note_stays;
UPDATE note SET was = substr(replace(char(10) || was, char(10) || '[list.', char(10) || '[import.'), 2)
  WHERE field = 'paper.text' AND typeof(was) = 'text';
UPDATE note SET is_now = substr(replace(char(10) || is_now, char(10) || '[list.', char(10) || '[import.'), 2)
  WHERE field = 'paper.text' AND typeof(is_now) = 'text';
CREATE TRIGGER note_stays BEFORE UPDATE ON note BEGIN SELECT RAISE(ABORT, 'notes are never changed'); END;
UPDATE paper SET text = substr(replace(char(10) || text, char(10) || '[list.', char(10) || '[import.'), 2)
  WHERE name = 'shop.toml' AND text IS NOT NULL;
