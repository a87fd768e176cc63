-- Several scales: what each is called for good, how they differ, and whether one may be asked.

-- A scale is known by its place. A number is never given to another one, because weighings and checks name it.
CREATE TABLE scale_name (
  name TEXT PRIMARY KEY,
  place TEXT NOT NULL UNIQUE
) STRICT;
CREATE TRIGGER scale_name_never_changed BEFORE UPDATE ON scale_name
BEGIN SELECT RAISE(ABORT, 'a scale keeps its name'); END;
CREATE TRIGGER scale_name_never_removed BEFORE DELETE ON scale_name
BEGIN SELECT RAISE(ABORT, 'a scale keeps its name'); END;

-- One load on two scales, as each showed it. takes_back: the row that no longer counts; it stays.
CREATE TABLE scale_comparison (
  id INTEGER PRIMARY KEY,
  one TEXT NOT NULL,
  other TEXT NOT NULL CHECK (other <> one),
  one_mg INTEGER NOT NULL CHECK (one_mg > 0),
  other_mg INTEGER NOT NULL CHECK (other_mg > 0),
  one_division_ug INTEGER NOT NULL CHECK (one_division_ug >= 1000),
  other_division_ug INTEGER NOT NULL CHECK (other_division_ug >= 1000),
  at_utc_ms INTEGER NOT NULL,
  takes_back INTEGER UNIQUE REFERENCES scale_comparison (id)
) STRICT;
CREATE TRIGGER scale_comparison_id_rises BEFORE INSERT ON scale_comparison
WHEN NEW.id <= (SELECT max(id) FROM scale_comparison)
BEGIN SELECT RAISE(ABORT, 'comparisons are kept in the order of their numbers'); END;
CREATE TRIGGER scale_comparison_never_changed BEFORE UPDATE ON scale_comparison
BEGIN SELECT RAISE(ABORT, 'comparisons are only added to'); END;
CREATE TRIGGER scale_comparison_never_removed BEFORE DELETE ON scale_comparison
BEGIN SELECT RAISE(ABORT, 'comparisons are only added to'); END;

-- What a person said when a scale was silent. ask: what may be sent to it, in latin1; NULL: it is not to be asked.
CREATE TABLE scale_asking (
  uri TEXT PRIMARY KEY,
  ask TEXT CHECK (length(ask) BETWEEN 1 AND 32),
  every_ms INTEGER NOT NULL CHECK (every_ms BETWEEN 100 AND 60000)
) STRICT;
