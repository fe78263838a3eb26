-- Notes in other tunings, and what strings a position takes.
ALTER TABLE instruments ADD COLUMN division TEXT NOT NULL DEFAULT ''; -- empty for the octave in twelve
ALTER TABLE positions ADD COLUMN said TEXT NOT NULL DEFAULT ''; -- the note, empty where semitones and cents say it
ALTER TABLE positions ADD COLUMN kind TEXT NOT NULL DEFAULT '' CHECK (kind IN ('', 'plain', 'wound'));
ALTER TABLE positions ADD COLUMN least REAL NOT NULL DEFAULT 0 CHECK (least >= 0); -- slot is the most; 0 where not known
