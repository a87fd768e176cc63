-- The first layout. Masses in whole milligrams, divisions in micrograms, times in milliseconds since 1970 UTC,
-- booleans as 0 and 1. What a person weighed or said is only ever added to: a change is a new row.

-- What this folder is. Practice never turns into food: the mark moves once, from real to practice, and only
-- before anything was weighed.
CREATE TABLE meta (
  id INTEGER PRIMARY KEY CHECK (id = 1),
  practice INTEGER NOT NULL CHECK (practice IN (0, 1)),
  time_factor REAL NOT NULL CHECK (time_factor > 0),
  created_at_utc_ms INTEGER NOT NULL,
  CHECK (practice = 1 OR time_factor = 1)
) STRICT;

CREATE TABLE alive (
  id INTEGER PRIMARY KEY CHECK (id = 1),
  at_utc_ms INTEGER NOT NULL,
  -- What the computer's own clock showed then: the same, but where the service's clock runs fast.
  system_utc_ms INTEGER NOT NULL
) STRICT;

-- Written and emptied again to find out whether the disk takes a row.
CREATE TABLE probe (
  id INTEGER PRIMARY KEY,
  filling BLOB NOT NULL
) STRICT;

CREATE TABLE scale (
  id INTEGER PRIMARY KEY,
  uri TEXT NOT NULL UNIQUE
) STRICT;

CREATE TABLE settings_version (
  version INTEGER PRIMARY KEY,
  at_utc_ms INTEGER NOT NULL,
  limit_fraction REAL NOT NULL,
  display_unit TEXT NOT NULL CHECK (display_unit IN ('g', 'kg', 'oz', 'lb')),
  webhook TEXT,
  out_too_long_minutes REAL NOT NULL,
  sound INTEGER NOT NULL CHECK (sound IN (0, 1))
) STRICT;

CREATE TABLE batch (
  id INTEGER PRIMARY KEY,
  number INTEGER NOT NULL UNIQUE,
  name TEXT NOT NULL,
  dryer TEXT NOT NULL,
  practice INTEGER NOT NULL CHECK (practice IN (0, 1)),
  started_at_utc_ms INTEGER NOT NULL,
  ended_at_utc_ms INTEGER
) STRICT;

CREATE TABLE tray (
  id INTEGER PRIMARY KEY,
  batch_id INTEGER NOT NULL REFERENCES batch (id),
  UNIQUE (id, batch_id)
) STRICT;
CREATE INDEX tray_of_batch ON tray (batch_id);

-- The highest version is what the tray is now. The first one has no time: it came with the tray.
CREATE TABLE tray_version (
  tray_id INTEGER NOT NULL REFERENCES tray (id),
  version INTEGER NOT NULL CHECK (version >= 1),
  at_utc_ms INTEGER CHECK ((version = 1) = (at_utc_ms IS NULL)),
  name TEXT NOT NULL,
  typed_tare_mg INTEGER,
  -- As the person said it; the food that it stands for, below, may be unknown.
  food_said TEXT,
  food_name TEXT,
  food_water_fraction REAL,
  food_water_sd_fraction REAL,
  food_source TEXT,
  cautions TEXT NOT NULL CHECK (json_type(cautions) = 'array'),
  PRIMARY KEY (tray_id, version),
  CHECK ((food_name IS NULL) = (food_water_fraction IS NULL)),
  CHECK ((food_name IS NULL) = (food_water_sd_fraction IS NULL)),
  CHECK ((food_name IS NULL) = (food_source IS NULL))
) STRICT;

-- A correction is a row that names the one it replaces, and says why; struck: nothing takes its place.
CREATE TABLE weighing (
  id INTEGER PRIMARY KEY,
  batch_id INTEGER NOT NULL,
  tray_id INTEGER NOT NULL,
  kind TEXT NOT NULL CHECK (kind IN ('tare', 'fresh', 'dry')),
  gross_mg INTEGER NOT NULL,
  division_ug INTEGER NOT NULL CHECK (division_ug >= 1000),
  scale TEXT,
  source TEXT NOT NULL CHECK (source IN ('scale', 'typed')),
  zero_seen INTEGER NOT NULL CHECK (zero_seen IN (0, 1)),
  at_utc_ms INTEGER NOT NULL,
  supersedes INTEGER UNIQUE REFERENCES weighing (id),
  struck INTEGER NOT NULL CHECK (struck IN (0, 1)),
  reason TEXT,
  digest TEXT NOT NULL CHECK (length(digest) = 64),
  FOREIGN KEY (tray_id, batch_id) REFERENCES tray (id, batch_id),
  CHECK (supersedes IS NULL OR reason IS NOT NULL),
  CHECK (struck = 0 OR supersedes IS NOT NULL)
) STRICT;
CREATE INDEX weighing_of_batch ON weighing (batch_id);

-- A moment of the drying clock. tray_ids: a JSON array; null is all of the batch.
CREATE TABLE moment (
  id INTEGER PRIMARY KEY,
  batch_id INTEGER NOT NULL REFERENCES batch (id),
  went TEXT NOT NULL CHECK (went IN ('in', 'out')),
  at_utc_ms INTEGER NOT NULL,
  tray_ids TEXT CHECK (json_type(tray_ids) = 'array'),
  implied INTEGER NOT NULL CHECK (implied IN (0, 1)),
  supersedes INTEGER UNIQUE REFERENCES moment (id),
  struck INTEGER NOT NULL CHECK (struck IN (0, 1)),
  reason TEXT,
  digest TEXT NOT NULL CHECK (length(digest) = 64),
  CHECK (supersedes IS NULL OR reason IS NOT NULL),
  CHECK (struck = 0 OR supersedes IS NOT NULL)
) STRICT;
CREATE INDEX moment_of_batch ON moment (batch_id);

-- The end of each hash chain, so that the loss of its last rows shows too.
CREATE TABLE chain (
  noun TEXT PRIMARY KEY CHECK (noun IN ('weighing', 'moment')),
  row_count INTEGER NOT NULL,
  head TEXT NOT NULL CHECK (length(head) = 64)
) STRICT;
INSERT INTO chain (noun, row_count, head) VALUES
  ('weighing', 0, '0000000000000000000000000000000000000000000000000000000000000000'),
  ('moment', 0, '0000000000000000000000000000000000000000000000000000000000000000');

CREATE TABLE interruption (
  id INTEGER PRIMARY KEY,
  batch_id INTEGER NOT NULL REFERENCES batch (id),
  from_utc_ms INTEGER NOT NULL,
  to_utc_ms INTEGER,
  reason TEXT NOT NULL
) STRICT;
CREATE INDEX interruption_of_batch ON interruption (batch_id);

CREATE TABLE gap (
  id INTEGER PRIMARY KEY,
  batch_id INTEGER NOT NULL REFERENCES batch (id),
  from_utc_ms INTEGER NOT NULL,
  to_utc_ms INTEGER NOT NULL,
  dryer_ran INTEGER CHECK (dryer_ran IN (0, 1)),
  answered_at_utc_ms INTEGER
) STRICT;
CREATE INDEX gap_of_batch ON gap (batch_id);

CREATE TABLE core_check (
  id INTEGER PRIMARY KEY,
  batch_id INTEGER NOT NULL,
  tray_id INTEGER NOT NULL,
  finding TEXT NOT NULL CHECK (finding IN ('dry', 'cold', 'soft')),
  at_utc_ms INTEGER NOT NULL,
  FOREIGN KEY (tray_id, batch_id) REFERENCES tray (id, batch_id)
) STRICT;
CREATE INDEX core_check_of_batch ON core_check (batch_id);

-- tray_id null: the batch as a whole.
CREATE TABLE verdict (
  id INTEGER PRIMARY KEY,
  batch_id INTEGER NOT NULL REFERENCES batch (id),
  round INTEGER NOT NULL,
  tray_id INTEGER,
  word TEXT NOT NULL CHECK (word IN ('losing', 'stable', 'gaining', 'stalled', 'unsure')),
  at_utc_ms INTEGER NOT NULL,
  judgment_version INTEGER NOT NULL,
  text TEXT NOT NULL,
  basis TEXT NOT NULL,
  FOREIGN KEY (tray_id, batch_id) REFERENCES tray (id, batch_id)
) STRICT;
CREATE INDEX verdict_of_batch ON verdict (batch_id);

CREATE TABLE alert (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE,
  code TEXT NOT NULL,
  batch_id INTEGER REFERENCES batch (id),
  round INTEGER,
  text TEXT NOT NULL,
  at_utc_ms INTEGER NOT NULL,
  acknowledged_at_utc_ms INTEGER
) STRICT;
CREATE INDEX alert_of_batch ON alert (batch_id);

CREATE TRIGGER meta_mark_stays BEFORE UPDATE OF practice ON meta
WHEN NEW.practice <> OLD.practice AND (OLD.practice = 1 OR EXISTS (SELECT 1 FROM weighing))
BEGIN SELECT RAISE(ABORT, 'the mark of a folder stays: real or practice'); END;
CREATE TRIGGER meta_never_removed BEFORE DELETE ON meta
BEGIN SELECT RAISE(ABORT, 'the mark of a folder stays: real or practice'); END;

CREATE TRIGGER batch_as_its_folder BEFORE INSERT ON batch
WHEN NEW.practice <> (SELECT practice FROM meta)
BEGIN SELECT RAISE(ABORT, 'practice and real batches never share a folder'); END;
CREATE TRIGGER batch_stays_as_its_folder BEFORE UPDATE OF practice ON batch
WHEN NEW.practice <> (SELECT practice FROM meta)
BEGIN SELECT RAISE(ABORT, 'practice and real batches never share a folder'); END;
CREATE TRIGGER batch_number_rises BEFORE INSERT ON batch
WHEN NEW.number <= (SELECT max(number) FROM batch)
BEGIN SELECT RAISE(ABORT, 'batch numbers rise'); END;
CREATE TRIGGER batch_number_stays BEFORE UPDATE OF id, number ON batch
BEGIN SELECT RAISE(ABORT, 'a batch keeps its number'); END;
CREATE TRIGGER batch_never_removed BEFORE DELETE ON batch
BEGIN SELECT RAISE(ABORT, 'batches are never removed'); END;

CREATE TRIGGER tray_never_changed BEFORE UPDATE ON tray
BEGIN SELECT RAISE(ABORT, 'trays are only added to'); END;
CREATE TRIGGER tray_never_removed BEFORE DELETE ON tray
BEGIN SELECT RAISE(ABORT, 'trays are only added to'); END;
CREATE TRIGGER tray_version_never_changed BEFORE UPDATE ON tray_version
BEGIN SELECT RAISE(ABORT, 'trays are only added to'); END;
CREATE TRIGGER tray_version_never_removed BEFORE DELETE ON tray_version
BEGIN SELECT RAISE(ABORT, 'trays are only added to'); END;

CREATE TRIGGER weighing_id_rises BEFORE INSERT ON weighing
WHEN NEW.id <= (SELECT max(id) FROM weighing)
BEGIN SELECT RAISE(ABORT, 'weighings are kept in the order of their numbers'); END;
CREATE TRIGGER weighing_never_changed BEFORE UPDATE ON weighing
BEGIN SELECT RAISE(ABORT, 'weighings are only added to'); END;
CREATE TRIGGER weighing_never_removed BEFORE DELETE ON weighing
BEGIN SELECT RAISE(ABORT, 'weighings are only added to'); END;
CREATE TRIGGER weighing_chained AFTER INSERT ON weighing
BEGIN UPDATE chain SET row_count = row_count + 1, head = NEW.digest WHERE noun = 'weighing'; END;

CREATE TRIGGER moment_id_rises BEFORE INSERT ON moment
WHEN NEW.id <= (SELECT max(id) FROM moment)
BEGIN SELECT RAISE(ABORT, 'clock moments are kept in the order of their numbers'); END;
CREATE TRIGGER moment_trays_known BEFORE INSERT ON moment
WHEN EXISTS (
  SELECT 1 FROM json_each(NEW.tray_ids) AS one
  LEFT JOIN tray ON tray.id = one.value AND tray.batch_id = NEW.batch_id
  WHERE tray.id IS NULL
)
BEGIN SELECT RAISE(ABORT, 'a clock moment names a tray that its batch does not have'); END;
CREATE TRIGGER moment_never_changed BEFORE UPDATE ON moment
BEGIN SELECT RAISE(ABORT, 'clock moments are only added to'); END;
CREATE TRIGGER moment_never_removed BEFORE DELETE ON moment
BEGIN SELECT RAISE(ABORT, 'clock moments are only added to'); END;
CREATE TRIGGER moment_chained AFTER INSERT ON moment
BEGIN UPDATE chain SET row_count = row_count + 1, head = NEW.digest WHERE noun = 'moment'; END;

CREATE TRIGGER core_check_never_changed BEFORE UPDATE ON core_check
BEGIN SELECT RAISE(ABORT, 'core checks are only added to'); END;
CREATE TRIGGER core_check_never_removed BEFORE DELETE ON core_check
BEGIN SELECT RAISE(ABORT, 'core checks are only added to'); END;
CREATE TRIGGER verdict_never_changed BEFORE UPDATE ON verdict
BEGIN SELECT RAISE(ABORT, 'given verdicts are only added to'); END;
CREATE TRIGGER verdict_never_removed BEFORE DELETE ON verdict
BEGIN SELECT RAISE(ABORT, 'given verdicts are only added to'); END;
CREATE TRIGGER settings_version_never_changed BEFORE UPDATE ON settings_version
BEGIN SELECT RAISE(ABORT, 'settings are only added to'); END;
CREATE TRIGGER settings_version_never_removed BEFORE DELETE ON settings_version
BEGIN SELECT RAISE(ABORT, 'settings are only added to'); END;
