-- What belongs to the kitchen and not to a batch. Only ever added to: the last row of a name or number is what holds.
CREATE TABLE dryer_version (
  version INTEGER PRIMARY KEY,
  at_utc_ms INTEGER NOT NULL,
  name TEXT NOT NULL,
  most_water_mg INTEGER CHECK (most_water_mg > 0),
  watts REAL CHECK (watts > 0),
  price_per_kwh REAL CHECK (price_per_kwh >= 0),
  currency TEXT NOT NULL
) STRICT;

CREATE TABLE own_food_version (
  version INTEGER PRIMARY KEY,
  at_utc_ms INTEGER NOT NULL,
  food_id INTEGER NOT NULL CHECK (food_id >= 1),
  name TEXT NOT NULL,
  water_fraction REAL NOT NULL CHECK (water_fraction > 0 AND water_fraction < 1),
  water_sd_fraction REAL NOT NULL CHECK (water_sd_fraction >= 0),
  fat_pct REAL,
  sugars_pct REAL,
  cautions TEXT NOT NULL CHECK (json_type(cautions) = 'array'),
  -- {"ingredients": [{"food", "mass_mg"}], "cooked_mg"}; NULL: the person's own figure.
  recipe TEXT CHECK (json_type(recipe) = 'object'),
  retired INTEGER NOT NULL CHECK (retired IN (0, 1))
) STRICT;
CREATE INDEX own_food_version_of_food ON own_food_version (food_id);

CREATE TABLE check_weight_version (
  version INTEGER PRIMARY KEY,
  at_utc_ms INTEGER NOT NULL,
  weight_id INTEGER NOT NULL CHECK (weight_id >= 1),
  name TEXT NOT NULL,
  nominal_mg INTEGER NOT NULL CHECK (nominal_mg > 0),
  class TEXT CHECK (class IN ('F1', 'F2', 'M1', 'M2', 'M3', 'F')),
  error_ug INTEGER NOT NULL CHECK (error_ug >= 0),
  every_days REAL NOT NULL CHECK (every_days > 0),
  retired INTEGER NOT NULL CHECK (retired IN (0, 1))
) STRICT;
CREATE INDEX check_weight_version_of_weight ON check_weight_version (weight_id);

CREATE TABLE scale_check (
  id INTEGER PRIMARY KEY,
  weight_id INTEGER NOT NULL,
  scale TEXT NOT NULL,
  nominal_mg INTEGER NOT NULL,
  shown_mg INTEGER NOT NULL,
  division_ug INTEGER NOT NULL CHECK (division_ug >= 1000),
  tolerance_mg INTEGER NOT NULL,
  is_good INTEGER NOT NULL CHECK (is_good IN (0, 1)),
  at_utc_ms INTEGER NOT NULL
) STRICT;

CREATE TRIGGER dryer_version_never_changed BEFORE UPDATE ON dryer_version
BEGIN SELECT RAISE(ABORT, 'dryers are only added to'); END;
CREATE TRIGGER dryer_version_never_removed BEFORE DELETE ON dryer_version
BEGIN SELECT RAISE(ABORT, 'dryers are only added to'); END;
CREATE TRIGGER own_food_version_never_changed BEFORE UPDATE ON own_food_version
BEGIN SELECT RAISE(ABORT, 'own foods are only added to'); END;
CREATE TRIGGER own_food_version_never_removed BEFORE DELETE ON own_food_version
BEGIN SELECT RAISE(ABORT, 'own foods are only added to'); END;
CREATE TRIGGER check_weight_version_never_changed BEFORE UPDATE ON check_weight_version
BEGIN SELECT RAISE(ABORT, 'check weights are only added to'); END;
CREATE TRIGGER check_weight_version_never_removed BEFORE DELETE ON check_weight_version
BEGIN SELECT RAISE(ABORT, 'check weights are only added to'); END;
CREATE TRIGGER scale_check_never_changed BEFORE UPDATE ON scale_check
BEGIN SELECT RAISE(ABORT, 'scale checks are only added to'); END;
CREATE TRIGGER scale_check_never_removed BEFORE DELETE ON scale_check
BEGIN SELECT RAISE(ABORT, 'scale checks are only added to'); END;
