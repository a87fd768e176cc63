-- What ended batches found of their foods. A lesson is never changed: whether it counts is said in rows of its own.
CREATE TABLE lesson (
  id INTEGER PRIMARY KEY,
  batch_id INTEGER NOT NULL REFERENCES batch (id),
  food TEXT NOT NULL,
  fresh_mg INTEGER NOT NULL CHECK (fresh_mg > 0),
  end_mg INTEGER NOT NULL CHECK (end_mg > 0),
  at_utc_ms INTEGER NOT NULL,
  UNIQUE (batch_id, food)
) STRICT;

CREATE TABLE lesson_change (
  id INTEGER PRIMARY KEY,
  lesson_id INTEGER NOT NULL REFERENCES lesson (id),
  counts INTEGER NOT NULL CHECK (counts IN (0, 1)),
  reason TEXT NOT NULL,
  at_utc_ms INTEGER NOT NULL
) STRICT;
CREATE INDEX lesson_change_of_lesson ON lesson_change (lesson_id);

CREATE TRIGGER lesson_never_changed BEFORE UPDATE ON lesson
BEGIN SELECT RAISE(ABORT, 'lessons are only added to'); END;
CREATE TRIGGER lesson_never_removed BEFORE DELETE ON lesson
BEGIN SELECT RAISE(ABORT, 'lessons are only added to'); END;
CREATE TRIGGER lesson_change_never_changed BEFORE UPDATE ON lesson_change
BEGIN SELECT RAISE(ABORT, 'lessons are only added to'); END;
CREATE TRIGGER lesson_change_never_removed BEFORE DELETE ON lesson_change
BEGIN SELECT RAISE(ABORT, 'lessons are only added to'); END;

ALTER TABLE settings_version ADD COLUMN learning INTEGER NOT NULL DEFAULT 1 CHECK (learning IN (0, 1));
