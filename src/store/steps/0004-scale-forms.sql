-- How a person said that the lines of a scale are to be read, so that a restart does not ask again.
CREATE TABLE scale_form (
  uri TEXT PRIMARY KEY,
  form TEXT NOT NULL,
  unit TEXT,
  division_ug INTEGER CHECK (division_ug > 0)
) STRICT;
