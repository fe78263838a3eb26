-- Which string is on a position; NULL for none, or where nobody said.
ALTER TABLE positions ADD COLUMN string INTEGER REFERENCES strings (id) ON DELETE SET NULL;
