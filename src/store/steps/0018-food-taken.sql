-- What a person said of the food on a tray before a weighing; NULL: nothing. A word, so that in the record it is never
-- read as the number of a portion, which it stands beside.

ALTER TABLE weighing ADD COLUMN food TEXT CHECK (food = 'taken');
