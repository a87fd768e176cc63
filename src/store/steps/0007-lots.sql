-- Which lot of packaging a bag is from, as a person calls it: to find out which lot leaks.
ALTER TABLE bag ADD COLUMN lot TEXT;
