-- Version 4: which labels were printed, and what stood on them. It is no step: nothing
-- in the shop is otherwise by it.
CREATE TABLE printed (
  stick INTEGER PRIMARY KEY REFERENCES stick(id),
  what TEXT NOT NULL
) STRICT;
