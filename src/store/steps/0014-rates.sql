-- What an ended batch showed of the rate constant at which the last water of a food left (1/h, as its natural logarithm
-- with a standard uncertainty), and the thickness of the pieces, where it was stated.

ALTER TABLE lesson ADD COLUMN ln_rate REAL;
ALTER TABLE lesson ADD COLUMN ln_rate_u REAL CHECK (ln_rate_u > 0);
ALTER TABLE lesson ADD COLUMN thickness_mm REAL CHECK (thickness_mm > 0);
