-- When the computer's clock and the program's came apart, or together again.
CREATE TABLE clock_jump (
  id INTEGER PRIMARY KEY,
  at_utc_ms INTEGER NOT NULL,
  -- The computer's clock less the program's, from then on.
  away_ms INTEGER NOT NULL,
  -- The computer had been off, for nobody knows how long.
  off_unknown INTEGER NOT NULL CHECK (off_unknown IN (0, 1))
) STRICT;

CREATE TRIGGER clock_jump_never_changed BEFORE UPDATE ON clock_jump
BEGIN SELECT RAISE(ABORT, 'jumps of the clock are only added to'); END;
CREATE TRIGGER clock_jump_never_removed BEFORE DELETE ON clock_jump
BEGIN SELECT RAISE(ABORT, 'jumps of the clock are only added to'); END;
