-- The keys under which pages and programs asked for changes that were kept, for minutes: one that is asked for again
-- after a stop is then known, its answer being lost.

CREATE TABLE change_key (
  key TEXT PRIMARY KEY,
  at_utc_ms INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
