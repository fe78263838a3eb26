-- Notes in other tunings, what strings a position takes, and sums that tell a damaged row
-- (sumOf in sum.go).
ALTER TABLE instruments ADD COLUMN division TEXT NOT NULL DEFAULT ''; -- empty for the octave in twelve
ALTER TABLE instruments ADD COLUMN sum INTEGER NOT NULL DEFAULT 0;
UPDATE instruments SET sum = stock_sum (name, a4, division, most, (SELECT count(*) FROM positions WHERE instrument = instruments.id));

ALTER TABLE positions ADD COLUMN said TEXT NOT NULL DEFAULT ''; -- the note, empty where semitones and cents say it
ALTER TABLE positions ADD COLUMN kind TEXT NOT NULL DEFAULT '' CHECK (kind IN ('', 'plain', 'wound'));
ALTER TABLE positions ADD COLUMN least REAL NOT NULL DEFAULT 0 CHECK (least >= 0); -- slot is the most; 0 where not known
ALTER TABLE positions ADD COLUMN sum INTEGER NOT NULL DEFAULT 0;
UPDATE positions SET sum = stock_sum (instrument, number, length, u_length, assumed, semitones, cents, said, kind, least, slot, string);

ALTER TABLE strings ADD COLUMN sum INTEGER NOT NULL DEFAULT 0;
ALTER TABLE strings ADD COLUMN measured INTEGER NOT NULL DEFAULT 0; -- measurements that it has
UPDATE strings SET sum = stock_sum (name, winding, material, label, remain),
	measured = (SELECT count(*) FROM measurements WHERE string = strings.id);

-- What makes a measurement is in its sum, so that the index needs no more.
CREATE TABLE measured (
	id        INTEGER PRIMARY KEY AUTOINCREMENT, -- never given twice
	string    INTEGER NOT NULL REFERENCES strings (id) ON DELETE CASCADE,
	property  TEXT NOT NULL CHECK (property IN ('unit weight', 'outside diameter', 'core stiffness')),
	value     REAL NOT NULL CHECK (value > 0),
	u         REAL NOT NULL CHECK (u > 0),
	dof       REAL NOT NULL CHECK (dof >= 0), -- 0 for unlimited
	assumed   INTEGER NOT NULL CHECK (assumed IN (0, 1)),
	route     TEXT NOT NULL CHECK (route <> ''),
	made      TEXT NOT NULL, -- RFC 3339, empty where not known
	reading   TEXT NOT NULL,
	sum       INTEGER NOT NULL, -- of these
	set_aside TEXT NOT NULL, -- why, empty where it counts
	mark      INTEGER NOT NULL, -- of that and the sum
	UNIQUE (string, sum)
) STRICT;
INSERT INTO sqlite_sequence (name, seq) SELECT 'measured', seq FROM sqlite_sequence WHERE name = 'measurements';
INSERT INTO measured SELECT *, stock_sum (sum, set_aside) FROM (
	SELECT id, string, property, value, u, dof, assumed, route, made, reading,
		stock_sum (string, property, value, u, dof, assumed, route, made, reading) AS sum, set_aside FROM measurements);
DROP TABLE measurements;
ALTER TABLE measured RENAME TO measurements;
CREATE TRIGGER measurements_stay
BEFORE UPDATE OF string, property, value, u, dof, assumed, route, made, reading, sum ON measurements
BEGIN
	SELECT RAISE (ABORT, 'a measurement that is kept is never changed');
END;
