package stock

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"testing"
	"time"

	"pluckweigh/physics"
	"pluckweigh/stock/choose"
	"pluckweigh/stock/traits"
)

// script runs SQL on a file, as any program might.
func script(t *testing.T, path, text string) {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	_, err = db.Exec(text)
	if err := errors.Join(err, db.Close()); err != nil {
		t.Fatal(err)
	}
}

// firstForm is a file of the first form.
func firstForm(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", "form1.sql"))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "old.db")
	script(t, path, string(text))
	return path
}

// A file of the first form is brought up to date with all that is in it, whether it is
// opened to be changed or only to be read.
func TestFirstFormIsReadWhole(t *testing.T) {
	ctx := t.Context()
	made := func(s string) time.Time {
		at, err := time.Parse(time.RFC3339, s)
		if err != nil {
			t.Fatal(err)
		}
		return at
	}
	e := String{String: traits.String{Name: "E 46", Kind: traits.Wound, Left: 3}, Material: "music wire", Label: "046 «new»", Measurements: []Measurement{
		{ID: 1, Property: UnitWeight, Value: 0.01834, U: 5.5e-05, DoF: 3.7, Route: "clip", Made: made("2026-03-04T05:06:07Z"), Reading: `[{"take":"a.wav","reading":{"f0_hz":54.61574664369656}}]`},
		{ID: 2, Property: UnitWeight, Value: 0.0184, U: 0.000184, Assumed: true, Route: "label"},
		{ID: 3, Property: Outside, Value: 0.00117, U: 3e-06, Route: "micrometer", Made: made("2026-03-05T00:00:00Z")},
		{ID: 4, Property: Stiffness, Value: 0.0007261498670681353, U: 2.9155904775194546e-06, Route: "clip", Made: made("2026-03-04T05:06:07Z")},
		{ID: 5, Property: UnitWeight, Value: 0.0204, U: 2.04e-05, Route: "balance", Made: made("2026-03-06T00:00:00Z"), Reading: "é", SetAside: "another string"},
	}}
	plain := String{String: traits.String{Name: `=1+"2", plain`, Kind: traits.Plain}, Material: "music wire", Measurements: []Measurement{
		{ID: 7, Property: Outside, Value: 0.0003048, U: 5.773502691896259e-06, Assumed: true, Route: "stated"},
	}}
	bare := named("bare")
	want := []String{plain, e, bare}
	for i := range want {
		want[i].settle()
	}
	tenor := Instrument{Name: "tenor", A4: 440, Most: 900, Positions: []Position{
		{Length: physics.Measured[physics.Length]{Value: 0.8636, U: 0.0005, Assumed: true}, Note: physics.Note{Semitones: -41, Cents: -13.7}, Slot: choose.Slot{Most: 0.003}},
		{Length: physics.Measured[physics.Length]{Value: 0.85, U: 0.0002}, Note: physics.Note{Semitones: -36}},
	}}
	lute := Instrument{Name: "old lute", A4: 392, Positions: []Position{
		{Length: physics.Measured[physics.Length]{Value: 0.6, U: 0.0005, Assumed: true}, Note: physics.Note{Semitones: -24, Cents: 31.174093530875098}},
	}}
	for how, open := range map[string]func(context.Context, string) (*Store, error){"to change": Open, "to read": OpenToRead} {
		path := firstForm(t)
		s, err := open(ctx, path)
		if err != nil {
			t.Fatalf("%s: %v", how, err)
		}
		if all, err := s.Strings(ctx); err != nil || !reflect.DeepEqual(all, want) {
			t.Errorf("%s: %+v, %v, not\n%+v", how, all, err, want)
		}
		if all, err := s.Instruments(ctx); err != nil || !reflect.DeepEqual(all, []Instrument{lute, tenor}) {
			t.Errorf("%s: %+v, %v", how, all, err)
		}
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}
	// It is kept on with, and no number is given twice.
	s, err := Open(ctx, firstForm(t))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	x, fresh, err := s.Keep(ctx, kept("E 46", e.Measurements[0], weighed(18.35, 0.05, "pull")))
	if err != nil || fresh || len(x.Measurements) != 6 || x.Measurements[5].ID < 10 {
		t.Errorf("%+v, %v", x, err)
	}
	if err := s.StringUp(ctx, "tenor", []string{"E 46", ""}); err != nil {
		t.Error(err)
	}
	if _, err := s.db.Exec("UPDATE measurements SET value = 1"); err == nil {
		t.Error("a measurement was overwritten")
	}
	var broken int
	if err := s.db.QueryRow("SELECT count(*) FROM pragma_foreign_key_check").Scan(&broken); err != nil || broken != 0 {
		t.Errorf("%d references lead nowhere, %v", broken, err)
	}
}

// Each form between is brought up to date too.
func TestOlderFormsAreRead(t *testing.T) {
	all, err := migrations.ReadDir("migrations")
	if err != nil {
		t.Fatal(err)
	}
	ctx := t.Context()
	for v := 1; v < Version(); v++ {
		path := firstForm(t)
		for n, m := range all[1:v] {
			text, err := migrations.ReadFile("migrations/" + m.Name())
			if err != nil {
				t.Fatal(err)
			}
			script(t, path, fmt.Sprintf("%s; PRAGMA user_version = %d", text, n+2))
		}
		s, err := Open(ctx, path)
		if err != nil {
			t.Fatal(err)
		}
		if all, err := s.Strings(ctx); err != nil || len(all) != 3 {
			t.Errorf("form %d: %+v, %v", v, all, err)
		}
		if all, err := s.Instruments(ctx); err != nil || len(all) != 2 {
			t.Errorf("form %d: %+v, %v", v, all, err)
		}
		if err := s.StringUp(ctx, "tenor", []string{"E 46", "bare"}); err != nil {
			t.Errorf("form %d: %v", v, err)
		}
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}
}

// A migration that fails leaves the file in the form that it had.
func TestMigrationsAreWhole(t *testing.T) {
	path := firstForm(t)
	script(t, path, "CREATE TABLE measured (x)") // in the way of the one that makes it
	_, err := Open(t.Context(), path)
	var file *FileError
	if !errors.As(err, &file) {
		t.Errorf("%v", err)
	}
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	var v, measurements int
	err = db.QueryRow("SELECT user_version, (SELECT count(*) FROM measurements) FROM pragma_user_version").Scan(&v, &measurements)
	if err != nil || v >= Version() || measurements != 6 {
		t.Errorf("form %d, %d measurements, %v", v, measurements, err)
	}
	script(t, path, "DROP TABLE measured")
	s, err := Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	s.Close()
}
