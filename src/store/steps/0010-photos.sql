-- Photographs lie in the one file, so that every copy of the record has them. They prove nothing and may be taken away.
CREATE TABLE photo (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  batch_id INTEGER NOT NULL REFERENCES batch (id),
  tray_id INTEGER,
  bag_id INTEGER,
  type TEXT NOT NULL CHECK (type IN ('image/jpeg', 'image/png', 'image/webp')),
  bytes BLOB NOT NULL CHECK (length(bytes) BETWEEN 32 AND 1048576),
  at_utc_ms INTEGER NOT NULL,
  CHECK (tray_id IS NULL OR bag_id IS NULL),
  FOREIGN KEY (tray_id, batch_id) REFERENCES tray (id, batch_id),
  FOREIGN KEY (bag_id, batch_id) REFERENCES bag (id, batch_id)
) STRICT;
CREATE INDEX photo_of_batch ON photo (batch_id);
