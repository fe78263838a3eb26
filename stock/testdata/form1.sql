-- A stock as the first form of the file kept it, written by hand: invented strings. The
-- schema is spelled out, so that it stays what it was.
PRAGMA application_id = 1886156647; -- "plwg"
PRAGMA user_version = 1;

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

INSERT INTO strings (id, name, winding, material, label, remain) VALUES
	(1, 'E 46', 'wound', 'music wire', '046 «new»', 3),
	(2, '=1+"2", plain', 'plain', 'music wire', '', 0),
	(5, 'bare', '', '', '', NULL);

INSERT INTO measurements (id, string, property, value, u, dof, assumed, route, made, reading, set_aside) VALUES
	(1, 1, 'unit weight', 0.01834, 5.5e-05, 3.7, 0, 'clip', '2026-03-04T05:06:07Z', '[{"take":"a.wav","reading":{"f0_hz":54.61574664369656}}]', ''),
	(2, 1, 'unit weight', 0.0184, 0.000184, 0, 1, 'label', '', '', ''),
	(3, 1, 'outside diameter', 0.00117, 3e-06, 0, 0, 'micrometer', '2026-03-05T00:00:00Z', '', ''),
	(4, 1, 'core stiffness', 0.0007261498670681353, 2.9155904775194546e-06, 0, 0, 'clip', '2026-03-04T05:06:07Z', '', ''),
	(5, 1, 'unit weight', 0.0204, 2.04e-05, 0, 0, 'balance', '2026-03-06T00:00:00Z', 'é', 'another string'),
	(7, 2, 'outside diameter', 0.0003048, 5.773502691896259e-06, 0, 1, 'stated', '', '', '');
-- Number 9 was given and dropped.
UPDATE sqlite_sequence SET seq = 9 WHERE name = 'measurements';

INSERT INTO instruments (id, name, a4, most) VALUES (1, 'tenor', 440, 900), (3, 'old lute', 392, 0);
INSERT INTO positions (instrument, number, length, u_length, assumed, semitones, cents, slot) VALUES
	(1, 1, 0.8636, 0.0005, 1, -41, -13.7, 0.003),
	(1, 2, 0.85, 0.0002, 0, -36, 0, 0),
	(3, 1, 0.6, 0.0005, 1, -24, 31.174093530875098, 0);
