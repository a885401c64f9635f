-- Version 6: what a supplier answers of a line (answer 'confirmed' or 'back-ordered'),
-- their own number for its order, how much of it was given up, counted as it was ordered,
-- and the price that it was ordered at: `price`, in thousandths of a minor unit, is for
-- `per`, in nanometres where it goes by length, else 1, both times 10,000, the parts of a
-- discount; `whole` is how much of that the line is as it was ordered, or without it what
-- comes is billed by its length; and a `fee` for each.
ALTER TABLE line ADD COLUMN answer TEXT;
ALTER TABLE line ADD COLUMN reference TEXT NOT NULL DEFAULT '';
ALTER TABLE line ADD COLUMN given_up INTEGER NOT NULL DEFAULT 0;
ALTER TABLE line ADD COLUMN price INTEGER;
ALTER TABLE line ADD COLUMN per INTEGER;
ALTER TABLE line ADD COLUMN whole INTEGER;
ALTER TABLE line ADD COLUMN fee INTEGER NOT NULL DEFAULT 0;
-- The line that a stick came for.
ALTER TABLE stick ADD COLUMN line INTEGER REFERENCES line(id);
CREATE INDEX stick_line ON stick(line) WHERE line IS NOT NULL;
-- What a supplier charges beside the goods of an order, as it was placed.
CREATE TABLE agreed (
  purchase INTEGER NOT NULL REFERENCES purchase(id),
  supplier TEXT NOT NULL,
  carriage INTEGER NOT NULL,
  other INTEGER NOT NULL,
  PRIMARY KEY (purchase, supplier)
) STRICT;
-- What was really paid: an invoice for an order, or, without one, what was bought
-- elsewhere. A credit is below zero. State 'paid'; NULL once undone.
CREATE TABLE bill (
  id INTEGER PRIMARY KEY,
  step INTEGER NOT NULL REFERENCES step(id),
  purchase INTEGER REFERENCES purchase(id),
  supplier TEXT NOT NULL,
  number TEXT NOT NULL,
  goods INTEGER NOT NULL,
  carriage INTEGER NOT NULL,
  other INTEGER NOT NULL,
  state TEXT
) STRICT;
CREATE INDEX bill_of ON bill(purchase, supplier);
-- What a bill says of a line, where it says it, and the line's share of all of it.
CREATE TABLE billed (
  bill INTEGER NOT NULL REFERENCES bill(id),
  line INTEGER REFERENCES line(id),
  moulding TEXT NOT NULL,
  goods INTEGER,
  share INTEGER NOT NULL
) STRICT;
CREATE INDEX billed_bill ON billed(bill);
