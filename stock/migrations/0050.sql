-- Plucks of a strung instrument that is surveyed, as long as that takes.
CREATE TABLE surveys (
	id         INTEGER PRIMARY KEY,
	name       TEXT NOT NULL UNIQUE CHECK (name <> ''),
	instrument TEXT NOT NULL CHECK (instrument <> '') -- its name when the survey began
) STRICT;

CREATE TABLE heard (
	id              INTEGER PRIMARY KEY AUTOINCREMENT, -- never given twice
	survey          INTEGER NOT NULL REFERENCES surveys (id),
	at              INTEGER NOT NULL, -- ms since 1970, UTC
	source          TEXT NOT NULL, -- a take, or empty
	start           REAL NOT NULL, -- s from its beginning
	f0              REAL NOT NULL CHECK (f0 > 0), -- Hz, as the recorder's clock has it when corrected
	u_f0            REAL NOT NULL CHECK (u_f0 > 0),
	f1              REAL NOT NULL CHECK (f1 > 0),
	u_f1            REAL NOT NULL CHECK (u_f1 > 0),
	b               REAL NOT NULL CHECK (b >= 0),
	u_b             REAL NOT NULL CHECK (u_b >= 0),
	b_heard         INTEGER NOT NULL CHECK (b_heard IN (0, 1)),
	correlation     REAL NOT NULL, -- of f0 and b
	ratio           REAL CHECK (ratio > 0), -- a clip's mass over the string's, NULL without one
	u_ratio         REAL CHECK (u_ratio > 0),
	r_correlation   REAL, -- of ratio and f0
	mass            REAL CHECK (mass > 0), -- of the clip, kg
	u_mass          REAL CHECK (u_mass >= 0),
	mass_assumed    INTEGER CHECK (mass_assumed IN (0, 1)), -- its uncertainty is
	clock           REAL NOT NULL CHECK (clock >= 0), -- relative standard uncertainty of the recorder's
	clock_assumed   INTEGER NOT NULL CHECK (clock_assumed IN (0, 1)),
	clock_said      TEXT NOT NULL,
	position        INTEGER CHECK (position >= 1), -- that somebody said it is of, NULL for none
	UNIQUE (survey, source, start, f0)
) STRICT;

CREATE TRIGGER heard_stays
BEFORE UPDATE ON heard
BEGIN
	SELECT RAISE (ABORT, 'a pluck that is kept is never changed');
END;
