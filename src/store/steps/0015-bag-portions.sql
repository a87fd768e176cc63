-- Which of a tray's foods is in a bag; null: all of them as they lay on it. A bag may hold several of one tray.

CREATE TABLE bag_part_with_portion (
  bag_id INTEGER NOT NULL,
  batch_id INTEGER NOT NULL,
  tray_id INTEGER NOT NULL,
  portion INTEGER CHECK (portion >= 1),
  name TEXT NOT NULL,
  mass_mg INTEGER NOT NULL CHECK (mass_mg >= 0),
  whole INTEGER NOT NULL CHECK (whole IN (0, 1)),
  division_ug INTEGER NOT NULL CHECK (division_ug >= 1000),
  verdict TEXT CHECK (verdict IN ('losing', 'stable', 'gaining', 'stalled', 'unsure')),
  core_dry INTEGER NOT NULL CHECK (core_dry IN (0, 1)),
  FOREIGN KEY (bag_id, batch_id) REFERENCES bag (id, batch_id),
  FOREIGN KEY (tray_id, batch_id) REFERENCES tray (id, batch_id)
) STRICT;
INSERT INTO bag_part_with_portion (bag_id, batch_id, tray_id, name, mass_mg, whole, division_ug, verdict, core_dry)
  SELECT bag_id, batch_id, tray_id, name, mass_mg, whole, division_ug, verdict, core_dry FROM bag_part ORDER BY rowid;
DROP TABLE bag_part;
ALTER TABLE bag_part_with_portion RENAME TO bag_part;
CREATE UNIQUE INDEX bag_part_once ON bag_part (bag_id, tray_id, ifnull(portion, 0));
CREATE TRIGGER bag_part_never_changed BEFORE UPDATE ON bag_part
BEGIN SELECT RAISE(ABORT, 'bags are only added to'); END;
CREATE TRIGGER bag_part_never_removed BEFORE DELETE ON bag_part
BEGIN SELECT RAISE(ABORT, 'bags are only added to'); END;
