-- Pitches of a string over time, as long as it is watched.
CREATE TABLE sessions (
	id   INTEGER PRIMARY KEY,
	name TEXT NOT NULL UNIQUE CHECK (name <> '')
) STRICT;

CREATE TABLE pitches (
	id          INTEGER PRIMARY KEY AUTOINCREMENT, -- never given twice
	session     INTEGER NOT NULL REFERENCES sessions (id),
	at          INTEGER NOT NULL, -- ms since 1970, UTC
	hz          REAL NOT NULL CHECK (hz > 0),
	u           REAL NOT NULL CHECK (u > 0),
	temperature REAL, -- °C, NULL where not known
	source      TEXT NOT NULL, -- a take, or empty
	UNIQUE (session, at, hz)
) STRICT;

CREATE TRIGGER pitches_stay
BEFORE UPDATE ON pitches
BEGIN
	SELECT RAISE (ABORT, 'a pitch that is kept is never changed');
END;
