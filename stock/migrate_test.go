package stock

import (
	"database/sql"
	"fmt"
	"path/filepath"
	"testing"
)

// A file of each earlier form is brought up to date with all that is in it.
func TestOlderFormsAreRead(t *testing.T) {
	all, err := migrations.ReadDir("migrations")
	if err != nil {
		t.Fatal(err)
	}
	ctx := t.Context()
	for v := 1; v < Version(); v++ {
		path := filepath.Join(t.TempDir(), "old.db")
		db, err := sql.Open("sqlite", path)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range all[:v] {
			text, err := migrations.ReadFile("migrations/" + m.Name())
			if err != nil {
				t.Fatal(err)
			}
			if _, err := db.Exec(string(text)); err != nil {
				t.Fatal(err)
			}
		}
		_, err = db.Exec(fmt.Sprintf(`PRAGMA user_version = %d; PRAGMA application_id = %d;
			INSERT INTO strings (name, winding, material, label, remain) VALUES ('E', 'wound', '', '', 2);
			INSERT INTO instruments (name, a4, most) VALUES ('tenor', 440, 0);
			INSERT INTO positions (instrument, number, length, u_length, assumed, semitones, cents, slot) VALUES (1, 1, 0.8636, 5e-4, 0, -41, 0, 0);`,
			v, applicationID))
		if err := db.Close(); err != nil {
			t.Fatal(err)
		}
		if err != nil {
			t.Fatal(err)
		}
		s, err := Open(ctx, path)
		if err != nil {
			t.Fatal(err)
		}
		x, err := s.String(ctx, "E")
		if err != nil || x.Left != 2 {
			t.Errorf("form %d: %+v, %v", v, x, err)
		}
		i, err := s.Instrument(ctx, "tenor")
		if err != nil || len(i.Positions) != 1 || i.Positions[0].Strung != "" {
			t.Errorf("form %d: %+v, %v", v, i, err)
		}
		if err := s.StringUp(ctx, "tenor", []string{"E"}); err != nil {
			t.Errorf("form %d: %v", v, err)
		}
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}
}
