-- What a person said of a bag is chained like its weighings, and can be taken back; rows kept before are not chained.

-- takes_back: the row that no longer counts; it stays. Both name the same fate.
ALTER TABLE bag_fate ADD COLUMN takes_back INTEGER REFERENCES bag_fate (id);
ALTER TABLE bag_fate ADD COLUMN digest TEXT CHECK (length(digest) = 64);
CREATE UNIQUE INDEX bag_fate_taken_back ON bag_fate (takes_back);

-- Sealed all the same, though its food weighed more than when it was dry.
CREATE TABLE bag_gain (
  id INTEGER PRIMARY KEY,
  bag_id INTEGER NOT NULL REFERENCES bag (id),
  gain_mg INTEGER NOT NULL,
  provable_mg INTEGER NOT NULL,
  at_utc_ms INTEGER NOT NULL,
  digest TEXT NOT NULL CHECK (length(digest) = 64)
) STRICT;
CREATE INDEX bag_gain_of_bag ON bag_gain (bag_id);

-- Fresh food that one tray of a dryer may carry.
ALTER TABLE dryer_version ADD COLUMN most_tray_mg INTEGER CHECK (most_tray_mg > 0);

-- The ends of the chains take two more nouns. The triggers that move them are made again around the new table.
DROP TRIGGER weighing_chained;
DROP TRIGGER moment_chained;
DROP TRIGGER bag_weighing_chained;
ALTER TABLE chain RENAME TO chain_of_three;
CREATE TABLE chain (
  noun TEXT PRIMARY KEY CHECK (noun IN ('weighing', 'moment', 'bag_weighing', 'bag_fate', 'bag_gain')),
  row_count INTEGER NOT NULL,
  head TEXT NOT NULL CHECK (length(head) = 64)
) STRICT;
INSERT INTO chain (noun, row_count, head) SELECT noun, row_count, head FROM chain_of_three;
INSERT INTO chain (noun, row_count, head) VALUES
  ('bag_fate', 0, '0000000000000000000000000000000000000000000000000000000000000000'),
  ('bag_gain', 0, '0000000000000000000000000000000000000000000000000000000000000000');
DROP TABLE chain_of_three;
CREATE TRIGGER weighing_chained AFTER INSERT ON weighing
BEGIN UPDATE chain SET row_count = row_count + 1, head = NEW.digest WHERE noun = 'weighing'; END;
CREATE TRIGGER moment_chained AFTER INSERT ON moment
BEGIN UPDATE chain SET row_count = row_count + 1, head = NEW.digest WHERE noun = 'moment'; END;
CREATE TRIGGER bag_weighing_chained AFTER INSERT ON bag_weighing
BEGIN UPDATE chain SET row_count = row_count + 1, head = NEW.digest WHERE noun = 'bag_weighing'; END;
CREATE TRIGGER bag_fate_chained AFTER INSERT ON bag_fate
BEGIN UPDATE chain SET row_count = row_count + 1, head = NEW.digest WHERE noun = 'bag_fate'; END;
CREATE TRIGGER bag_gain_chained AFTER INSERT ON bag_gain
BEGIN UPDATE chain SET row_count = row_count + 1, head = NEW.digest WHERE noun = 'bag_gain'; END;

CREATE TRIGGER bag_fate_id_rises BEFORE INSERT ON bag_fate
WHEN NEW.id <= (SELECT max(id) FROM bag_fate)
BEGIN SELECT RAISE(ABORT, 'what became of a bag is kept in the order of its numbers'); END;
CREATE TRIGGER bag_gain_never_changed BEFORE UPDATE ON bag_gain
BEGIN SELECT RAISE(ABORT, 'what was said of a bag is only added to'); END;
CREATE TRIGGER bag_gain_never_removed BEFORE DELETE ON bag_gain
BEGIN SELECT RAISE(ABORT, 'what was said of a bag is only added to'); END;
