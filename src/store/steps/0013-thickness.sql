-- How thick the pieces of a food are, where a person stated it; by name, to propose it the next time.

ALTER TABLE tray_version ADD COLUMN thickness_mm REAL CHECK (thickness_mm > 0);
ALTER TABLE tray_portion ADD COLUMN thickness_mm REAL CHECK (thickness_mm > 0);

CREATE INDEX tray_version_thickness ON tray_version (food_said COLLATE NOCASE) WHERE thickness_mm IS NOT NULL;
CREATE INDEX tray_portion_thickness ON tray_portion (food_said COLLATE NOCASE) WHERE thickness_mm IS NOT NULL;
