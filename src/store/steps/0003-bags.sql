-- Bags: what a dry mass was divided into, what each weighed, and what became of it. Only ever added to.

-- batch_id and sequence are what the label says. Bags that share a plan share the mass that is to be divided.
CREATE TABLE bag (
  id INTEGER PRIMARY KEY,
  batch_id INTEGER NOT NULL REFERENCES batch (id),
  sequence INTEGER NOT NULL CHECK (sequence >= 1),
  plan INTEGER NOT NULL CHECK (plan >= 1),
  product TEXT NOT NULL,
  supplier TEXT,
  prepared TEXT CHECK (prepared IN ('raw', 'blanched', 'cooked')),
  went_in TEXT CHECK (went_in IN ('fresh', 'frozen')),
  dried_at_utc_ms INTEGER,
  planned_at_utc_ms INTEGER NOT NULL,
  -- Why it was packed although not every tray was stable with its core checked.
  although TEXT,
  container TEXT NOT NULL CHECK (container IN ('soft', 'jar', 'can')),
  volume_ml REAL NOT NULL CHECK (volume_ml > 0),
  absorber_count INTEGER CHECK (absorber_count >= 1),
  absorber_cc REAL CHECK (absorber_cc > 0),
  typed_tare_mg INTEGER,
  target_mg INTEGER NOT NULL CHECK (target_mg >= 0),
  fresh_per_dry REAL NOT NULL CHECK (fresh_per_dry > 0),
  -- Wet basis, when packed; null where nothing is known of it.
  moisture_fraction REAL,
  moisture_low_fraction REAL,
  moisture_high_fraction REAL,
  cautions TEXT NOT NULL CHECK (json_type(cautions) = 'array'),
  UNIQUE (batch_id, sequence),
  UNIQUE (id, batch_id),
  CHECK ((absorber_count IS NULL) = (absorber_cc IS NULL)),
  CHECK ((moisture_fraction IS NULL) = (moisture_low_fraction IS NULL)),
  CHECK ((moisture_fraction IS NULL) = (moisture_high_fraction IS NULL))
) STRICT;
CREATE INDEX bag_of_plan ON bag (plan);

-- What a tray gave to a bag's target, and what was known of the tray then.
CREATE TABLE bag_part (
  bag_id INTEGER NOT NULL,
  batch_id INTEGER NOT NULL,
  tray_id INTEGER NOT NULL,
  name TEXT NOT NULL,
  mass_mg INTEGER NOT NULL CHECK (mass_mg >= 0),
  whole INTEGER NOT NULL CHECK (whole IN (0, 1)),
  division_ug INTEGER NOT NULL CHECK (division_ug >= 1000),
  verdict TEXT CHECK (verdict IN ('losing', 'stable', 'gaining', 'stalled', 'unsure')),
  core_dry INTEGER NOT NULL CHECK (core_dry IN (0, 1)),
  PRIMARY KEY (bag_id, tray_id),
  FOREIGN KEY (bag_id, batch_id) REFERENCES bag (id, batch_id),
  FOREIGN KEY (tray_id, batch_id) REFERENCES tray (id, batch_id)
) STRICT;

CREATE TABLE bag_weighing (
  id INTEGER PRIMARY KEY,
  bag_id INTEGER NOT NULL REFERENCES bag (id),
  kind TEXT NOT NULL CHECK (kind IN ('tare', 'filled', 'sealed', 'shelf')),
  gross_mg INTEGER NOT NULL,
  division_ug INTEGER NOT NULL CHECK (division_ug >= 1000),
  scale TEXT,
  source TEXT NOT NULL CHECK (source IN ('scale', 'typed')),
  zero_seen INTEGER NOT NULL CHECK (zero_seen IN (0, 1)),
  at_utc_ms INTEGER NOT NULL,
  supersedes INTEGER UNIQUE REFERENCES bag_weighing (id),
  struck INTEGER NOT NULL CHECK (struck IN (0, 1)),
  reason TEXT,
  digest TEXT NOT NULL CHECK (length(digest) = 64),
  CHECK (supersedes IS NULL OR reason IS NOT NULL),
  CHECK (struck = 0 OR supersedes IS NOT NULL)
) STRICT;
CREATE INDEX bag_weighing_of_bag ON bag_weighing (bag_id);

CREATE TABLE bag_fate (
  id INTEGER PRIMARY KEY,
  bag_id INTEGER NOT NULL REFERENCES bag (id),
  fate TEXT NOT NULL
    CHECK (fate IN ('opened', 'used', 'given-away', 'thrown-away', 're-dry', 'cancelled')),
  at_utc_ms INTEGER NOT NULL,
  note TEXT
) STRICT;
CREATE INDEX bag_fate_of_bag ON bag_fate (bag_id);

-- The ends of the chains take a third noun. The triggers that move them are made again around the new table.
DROP TRIGGER weighing_chained;
DROP TRIGGER moment_chained;
ALTER TABLE chain RENAME TO chain_of_two;
CREATE TABLE chain (
  noun TEXT PRIMARY KEY CHECK (noun IN ('weighing', 'moment', 'bag_weighing')),
  row_count INTEGER NOT NULL,
  head TEXT NOT NULL CHECK (length(head) = 64)
) STRICT;
INSERT INTO chain (noun, row_count, head) SELECT noun, row_count, head FROM chain_of_two;
INSERT INTO chain (noun, row_count, head) VALUES
  ('bag_weighing', 0, '0000000000000000000000000000000000000000000000000000000000000000');
DROP TABLE chain_of_two;
CREATE TRIGGER weighing_chained AFTER INSERT ON weighing
BEGIN UPDATE chain SET row_count = row_count + 1, head = NEW.digest WHERE noun = 'weighing'; END;
CREATE TRIGGER moment_chained AFTER INSERT ON moment
BEGIN UPDATE chain SET row_count = row_count + 1, head = NEW.digest WHERE noun = 'moment'; END;
CREATE TRIGGER bag_weighing_chained AFTER INSERT ON bag_weighing
BEGIN UPDATE chain SET row_count = row_count + 1, head = NEW.digest WHERE noun = 'bag_weighing'; END;

CREATE TRIGGER bag_never_changed BEFORE UPDATE ON bag
BEGIN SELECT RAISE(ABORT, 'bags are only added to'); END;
CREATE TRIGGER bag_never_removed BEFORE DELETE ON bag
BEGIN SELECT RAISE(ABORT, 'bags are only added to'); END;
CREATE TRIGGER bag_part_never_changed BEFORE UPDATE ON bag_part
BEGIN SELECT RAISE(ABORT, 'bags are only added to'); END;
CREATE TRIGGER bag_part_never_removed BEFORE DELETE ON bag_part
BEGIN SELECT RAISE(ABORT, 'bags are only added to'); END;
CREATE TRIGGER bag_weighing_id_rises BEFORE INSERT ON bag_weighing
WHEN NEW.id <= (SELECT max(id) FROM bag_weighing)
BEGIN SELECT RAISE(ABORT, 'weighings are kept in the order of their numbers'); END;
CREATE TRIGGER bag_weighing_never_changed BEFORE UPDATE ON bag_weighing
BEGIN SELECT RAISE(ABORT, 'weighings are only added to'); END;
CREATE TRIGGER bag_weighing_never_removed BEFORE DELETE ON bag_weighing
BEGIN SELECT RAISE(ABORT, 'weighings are only added to'); END;
CREATE TRIGGER bag_fate_never_changed BEFORE UPDATE ON bag_fate
BEGIN SELECT RAISE(ABORT, 'what became of a bag is only added to'); END;
CREATE TRIGGER bag_fate_never_removed BEFORE DELETE ON bag_fate
BEGIN SELECT RAISE(ABORT, 'what became of a bag is only added to'); END;
