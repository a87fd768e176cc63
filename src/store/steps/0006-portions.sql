-- Portions: what is poured onto a tray one after the other, each with a target and a mass of its own.

-- Of one portion of the tray; NULL: of the tray as a whole.
ALTER TABLE weighing ADD COLUMN portion INTEGER CHECK (portion >= 1);

-- They come with a version of their tray; a tray without any has one food, as much as comes.
CREATE TABLE tray_portion (
  tray_id INTEGER NOT NULL,
  version INTEGER NOT NULL,
  place INTEGER NOT NULL CHECK (place >= 1),
  -- As the person said it; the food that it stands for, below, may be unknown.
  food_said TEXT,
  food_name TEXT,
  food_water_fraction REAL,
  food_water_sd_fraction REAL,
  food_source TEXT,
  cautions TEXT NOT NULL CHECK (json_type(cautions) = 'array'),
  target_mg INTEGER CHECK (target_mg > 0),
  -- Dried before: the bag that it was taken from.
  bag_id INTEGER REFERENCES bag (id),
  PRIMARY KEY (tray_id, version, place),
  FOREIGN KEY (tray_id, version) REFERENCES tray_version (tray_id, version),
  CHECK ((food_name IS NULL) = (food_water_fraction IS NULL)),
  CHECK ((food_name IS NULL) = (food_water_sd_fraction IS NULL)),
  CHECK ((food_name IS NULL) = (food_source IS NULL))
) STRICT;

CREATE TRIGGER tray_portion_never_changed BEFORE UPDATE ON tray_portion
BEGIN SELECT RAISE(ABORT, 'trays are only added to'); END;
CREATE TRIGGER tray_portion_never_removed BEFORE DELETE ON tray_portion
BEGIN SELECT RAISE(ABORT, 'trays are only added to'); END;
