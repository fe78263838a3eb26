-- Strings, what was measured of them, and instruments. All in SI units.
CREATE TABLE strings (
	id       INTEGER PRIMARY KEY,
	name     TEXT NOT NULL UNIQUE CHECK (name <> ''),
	winding  TEXT NOT NULL CHECK (winding IN ('', 'plain', 'wound')),
	material TEXT NOT NULL,
	label    TEXT NOT NULL,
	remain   INTEGER CHECK (remain >= 0) -- NULL where nobody counted
) STRICT;

CREATE TABLE measurements (
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
	set_aside TEXT NOT NULL, -- why, empty where it counts
	UNIQUE (string, property, value, u, dof, assumed, route, made, reading)
) STRICT;

CREATE TRIGGER measurements_stay
BEFORE UPDATE OF string, property, value, u, dof, assumed, route, made, reading ON measurements
BEGIN
	SELECT RAISE (ABORT, 'a measurement that is kept is never changed');
END;

CREATE TABLE instruments (
	id   INTEGER PRIMARY KEY,
	name TEXT NOT NULL UNIQUE CHECK (name <> ''),
	a4   REAL NOT NULL CHECK (a4 > 0),
	most REAL NOT NULL CHECK (most >= 0) -- 0 where not known
) STRICT;

CREATE TABLE positions (
	instrument INTEGER NOT NULL REFERENCES instruments (id) ON DELETE CASCADE,
	number     INTEGER NOT NULL CHECK (number >= 1),
	length     REAL NOT NULL CHECK (length > 0),
	u_length   REAL NOT NULL CHECK (u_length >= 0),
	assumed    INTEGER NOT NULL CHECK (assumed IN (0, 1)),
	semitones  INTEGER NOT NULL, -- above A4
	cents      REAL NOT NULL,
	slot       REAL NOT NULL CHECK (slot >= 0), -- 0 where not known
	PRIMARY KEY (instrument, number)
) STRICT, WITHOUT ROWID;
