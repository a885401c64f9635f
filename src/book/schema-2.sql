-- Version 2: how long the pieces of an order's line are at the least, as they
-- arrive; a stick that the supplier halves is ordered longer than that.
ALTER TABLE line ADD COLUMN piece INTEGER NOT NULL DEFAULT 0;
-- Halves were planned 3 mm shorter each; a box of them is not told from a whole one.
UPDATE line SET piece = CASE
  WHEN form = 'length' AND pieces = 2 * count THEN length / 2 - 3000000
  ELSE length END;
