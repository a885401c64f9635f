-- Version 5: the frame copies that an order was placed without, since they were held, so
-- that it is known whom it was for as long as nothing is otherwise since; and the pages
-- that were sent, to be printed again. A layer that came chopped can be spoiled: its
-- state is 'spoiled' then.
CREATE TABLE without (
  purchase INTEGER NOT NULL REFERENCES purchase(id),
  frame TEXT NOT NULL,
  copy INTEGER NOT NULL,
  PRIMARY KEY (purchase, frame, copy)
) STRICT;
CREATE TABLE page (
  purchase INTEGER NOT NULL REFERENCES purchase(id),
  name TEXT NOT NULL,
  text TEXT NOT NULL,
  PRIMARY KEY (purchase, name)
) STRICT;
ALTER TABLE chop RENAME TO chop_before;
CREATE TABLE chop (
  id INTEGER PRIMARY KEY,
  line INTEGER NOT NULL REFERENCES line(id),
  frame TEXT NOT NULL,
  copy INTEGER NOT NULL,
  layer INTEGER NOT NULL,
  state TEXT
) STRICT;
INSERT INTO chop (line, frame, copy, layer) SELECT line, frame, copy, layer FROM chop_before ORDER BY rowid;
DROP TABLE chop_before;
