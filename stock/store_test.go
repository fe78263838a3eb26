package stock

import (
	"context"
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

var day = time.Date(2026, 3, 4, 5, 6, 7, 0, time.UTC)

func newStore(t testing.TB) *Store {
	t.Helper()
	s, err := Open(t.Context(), filepath.Join(t.TempDir(), "a b?c#d%20e", "stock.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// named is a string of which nothing is known, not even how many there are.
func named(name string) String {
	return String{String: traits.String{Name: name, Left: traits.Uncounted}}
}

// kept is a string of which nothing is known but measurements.
func kept(name string, all ...Measurement) String {
	x := named(name)
	x.Measurements = all
	return x
}

func weighed(grams, u float64, route string) Measurement {
	return Measure(physics.Stated(physics.UnitWeight(grams)*physics.GramPerMetre, physics.UnitWeight(u)*physics.GramPerMetre), route, day, `{"f0_hz":55}`)
}

func thick(mm, u float64) Measurement {
	return Measure(physics.Stated(physics.Length(mm)*physics.Millimetre, physics.Length(u)*physics.Millimetre), "micrometer", day, "")
}

func TestStringsAreKept(t *testing.T) {
	ctx, s := t.Context(), newStore(t)
	want := String{String: traits.String{Name: "E 46 «wound»", Kind: traits.Wound, Left: 3}, Material: "music wire", Label: "046",
		Measurements: []Measurement{weighed(18.34, 0.05, "clip"), thick(1.168, 0.003),
			Measure(physics.Measured[physics.BendingStiffness]{Value: 7.6e-4, U: 1e-5, DoF: 3.5, Assumed: true}, "clip", time.Time{}, "")}}
	if err := s.Add(ctx, want); err != nil {
		t.Fatal(err)
	}
	if err := s.Add(ctx, named("bare")); err != nil {
		t.Fatal(err)
	}
	got, err := s.Strings(ctx)
	if err != nil || len(got) != 2 {
		t.Fatalf("%+v, %v", got, err)
	}
	for i := range want.Measurements {
		want.Measurements[i].ID = int64(i + 1)
	}
	want.settle()
	if !reflect.DeepEqual(got[0], want) {
		t.Errorf("%+v, not\n%+v", got[0], want)
	}
	if got[0].UnitWeight.Value != physics.UnitWeight(want.Measurements[0].Value) || got[0].Stiffness.DoF != 3.5 {
		t.Errorf("%+v", got[0])
	}
	if got[1].Left != traits.Uncounted || got[1].Measurements != nil || got[1].UnitWeight.Value != 0 {
		t.Errorf("%+v", got[1])
	}

	var taken *TakenError
	if err := s.Add(ctx, named("bare")); !errors.As(err, &taken) {
		t.Errorf("added twice: %v", err)
	}
	if err := s.Edit(ctx, "bare", func(x *String) error { x.Name = want.Name; return nil }); !errors.As(err, &taken) {
		t.Errorf("renamed to a name that is there: %v", err)
	}
	if err := s.Edit(ctx, "bare", func(x *String) error { x.Name, x.Left, x.Material = "B", 2, "steel"; return nil }); err != nil {
		t.Error(err)
	}
	if x, err := s.String(ctx, "B"); err != nil || x.Left != 2 || x.Material != "music wire" {
		t.Errorf("%+v, %v", x, err)
	}
	var missing *MissingError
	for what, err := range map[string]error{
		"edit":   s.Edit(ctx, "bare", func(*String) error { return nil }),
		"remove": s.Remove(ctx, "bare"),
		"show":   func() error { _, err := s.String(ctx, "bare"); return err }(),
	} {
		if !errors.As(err, &missing) {
			t.Errorf("%s of what is not there: %v", what, err)
		}
	}
	if err := s.Remove(ctx, want.Name); err != nil {
		t.Error(err)
	}
	var left int
	if err := s.db.QueryRow("SELECT count(*) FROM measurements").Scan(&left); err != nil || left != 0 {
		t.Errorf("%d measurements outlive their string, %v", left, err)
	}
}

func TestKeep(t *testing.T) {
	ctx, s := t.Context(), newStore(t)
	if x, fresh, err := s.Keep(ctx, kept("E", weighed(18.3, 0.1, "clip"))); err != nil || !fresh || x.WeightAgreement.N != 1 {
		t.Fatalf("%+v, %v, %v", x, fresh, err)
	}
	x, fresh, err := s.Keep(ctx, kept("E", weighed(18.3, 0.1, "clip"), weighed(18.4, 0.1, "pull")))
	if err != nil || fresh || x.WeightAgreement.N != 2 {
		t.Fatalf("%+v, %v, %v", x, fresh, err)
	}
	if x, _, err = s.Keep(ctx, kept("E", weighed(28.4, 0.1, "balance"))); err != nil || !x.WeightAgreement.Disagree() {
		t.Errorf("%+v, %v", x, err)
	}
	aside := func(x *String) error {
		x.Measurements[2].SetAside = "another string"
		x.Measurements = append(x.Measurements, thick(1.2, 0.01))
		return nil
	}
	if err := s.Edit(ctx, "E", aside); err != nil {
		t.Error(err)
	}
	if x, err = s.String(ctx, "E"); err != nil || x.WeightAgreement.Disagree() || len(x.Measurements) != 4 || x.Outside.Value == 0 {
		t.Errorf("%+v, %v", x, err)
	}
	if err := s.Edit(ctx, "E", func(x *String) error { x.Measurements[2].SetAside = ""; return nil }); err != nil {
		t.Error(err)
	}
	if x, err = s.String(ctx, "E"); err != nil || !x.WeightAgreement.Disagree() {
		t.Errorf("%+v, %v", x, err)
	}
	for _, column := range []string{"value", "u", "route", "made", "reading"} {
		if _, err := s.db.Exec("UPDATE measurements SET " + column + " = 1"); err == nil {
			t.Errorf("%s was overwritten", column)
		}
	}
}

// What cannot be a stock is refused and left as it is.
func TestFilesRefused(t *testing.T) {
	ctx := context.Background()
	good := newStore(t)
	if err := good.Add(ctx, String{String: traits.String{Name: "E"}, Measurements: []Measurement{weighed(18, 1, "clip")}}); err != nil {
		t.Fatal(err)
	}
	later, other := filepath.Join(t.TempDir(), "later"), filepath.Join(t.TempDir(), "other")
	for path, change := range map[string]string{later: "PRAGMA user_version = 99", other: "PRAGMA application_id = 7"} {
		if _, err := good.db.Exec("VACUUM INTO ?", path); err != nil {
			t.Fatal(err)
		}
		s, err := Open(ctx, path)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := s.db.Exec(change); err != nil {
			t.Fatal(err)
		}
		s.Close()
	}
	text, damaged, short := filepath.Join(t.TempDir(), "text"), filepath.Join(t.TempDir(), "damaged"), filepath.Join(t.TempDir(), "short")
	whole, err := os.ReadFile(later)
	if err != nil {
		t.Fatal(err)
	}
	for i := 100; i < len(whole); i++ {
		whole[i] ^= 0x5a
	}
	os.WriteFile(text, []byte("name,winding\nE,plain\n"), 0o600)
	os.WriteFile(damaged, whole, 0o600)
	os.WriteFile(short, whole[:60], 0o600)
	for _, path := range []string{later, other, text, damaged, short, t.TempDir()} {
		before, _ := os.ReadFile(path)
		for _, open := range []func(context.Context, string) (*Store, error){Open, OpenToRead} {
			s, err := open(ctx, path)
			var file *FileError
			var newer *NewerError
			if s != nil || !errors.As(err, &file) && !errors.As(err, &newer) || (path == later) != errors.As(err, &newer) {
				t.Errorf("%s: %v", path, err)
			}
		}
		if after, _ := os.ReadFile(path); string(after) != string(before) {
			t.Errorf("%s: has changed", path)
		}
	}
	if _, err := OpenToRead(ctx, filepath.Join(t.TempDir(), "none")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("no file: %v", err)
	}
	if _, err := Open(ctx, filepath.Join(text, "below")); err == nil {
		t.Error("a file below a file")
	}
}

// A file that cannot be written is read all the same, and reading leaves nothing behind.
func TestReading(t *testing.T) {
	ctx, s := t.Context(), newStore(t)
	if err := s.Add(ctx, named("E")); err != nil {
		t.Fatal(err)
	}
	s.Close()
	for _, mode := range []string{reading, frozen} {
		r, err := open(ctx, s.path, time.Second, mode)
		if err != nil {
			t.Fatal(err)
		}
		if all, err := r.Strings(ctx); err != nil || len(all) != 1 {
			t.Errorf("%s: %v, %v", mode, all, err)
		}
		var file *FileError
		if err := r.Add(ctx, named("A")); !errors.As(err, &file) || file.Why != "cannot be written" {
			t.Errorf("%s: %v", mode, err)
		}
		copied := filepath.Join(t.TempDir(), "copy.db")
		if err := r.Backup(ctx, copied); err != nil {
			t.Errorf("%s: %v", mode, err)
		}
		if c, err := Open(ctx, copied); err != nil {
			t.Errorf("%s: the copy: %v", mode, err)
		} else if all, err := c.Strings(ctx); err != nil || len(all) != 1 {
			t.Errorf("%s: the copy has %v, %v", mode, all, err)
		} else {
			c.Close()
		}
		if err := r.Add(ctx, named("A")); !errors.As(err, &file) {
			t.Errorf("%s: written after the copy: %v", mode, err)
		}
		r.Close()
		if left, _ := filepath.Glob(filepath.Dir(s.path) + "/*"); len(left) != 1 {
			t.Errorf("left behind: %v", left)
		}
	}
}

// What is known of all is what is known of each.
func TestKnownIsWhatIsRead(t *testing.T) {
	ctx, s := t.Context(), fullStock(t)
	if err := s.Add(ctx, named("a bare one")); err != nil {
		t.Fatal(err)
	}
	change := func(x *String) error {
		x.Material, x.Kind, x.Left = "steel", traits.Plain, 2
		x.Measurements[0].SetAside = "why"
		return nil
	}
	if err := s.Edit(ctx, "string 7", change); err != nil {
		t.Fatal(err)
	}
	known, err := s.Known(ctx)
	if err != nil {
		t.Fatal(err)
	}
	slices.SortFunc(known, func(x, y String) int { return strings.Compare(x.Name, y.Name) })
	all, err := s.Strings(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for i := range all {
		all[i].Measurements = nil
	}
	if !reflect.DeepEqual(known, all) {
		t.Errorf("%+v, not\n%+v", known, all)
	}
	if x := all[len(all)-3]; x.Name != "string 7" || !x.Cored() {
		t.Errorf("%+v", x)
	}
}

// TestPlainByGauge: a plain wire that was never weighed weighs what its diameter and its
// material make it, and what was weighed counts alone.
func TestPlainByGauge(t *testing.T) {
	ctx := t.Context()
	s, err := Open(ctx, filepath.Join(t.TempDir(), "stock.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	gauge := physics.Stated[physics.Length](0.254e-3, 1e-6)
	x := String{String: traits.String{Name: "ten", Kind: traits.Plain, Left: traits.Uncounted}, Material: "steel",
		Measurements: []Measurement{Measure(gauge, "micrometer", time.Time{}, "")}}
	if err := s.Add(ctx, x); err != nil {
		t.Fatal(err)
	}
	got, err := s.String(ctx, "ten")
	if err != nil {
		t.Fatal(err)
	}
	steel, err := physics.ParseMaterial("steel")
	if err != nil {
		t.Fatal(err)
	}
	want, err := physics.PlainWire{Gauge: gauge, Density: steel.Density}.UnitWeight()
	if err != nil {
		t.Fatal(err)
	}
	if w := got.UnitWeight; !got.ByGauge || !got.OfGauge || math.Abs(float64(w.Value/want.Value)-1) > 1e-12 || math.Abs(float64(w.U/want.U)-1) > 1e-9 {
		t.Errorf("%v, by its gauge %v; want %v", w, got.ByGauge, want.Measured)
	}
	if len(got.Measurements) != 1 {
		t.Errorf("%d measurements: what is worked out is none", len(got.Measurements))
	}
	// Worked out by somebody it is measured, and follows of the gauge all the same.
	other := x
	other.Name, other.Measurements = "other", append(slices.Clone(x.Measurements), Measure(want.Measured, Built, time.Time{}, ""))
	if err := s.Add(ctx, other); err != nil {
		t.Fatal(err)
	}
	if got, err = s.String(ctx, "other"); err != nil || got.ByGauge || !got.OfGauge {
		t.Errorf("worked out: by its gauge %v, of it %v, %v", got.ByGauge, got.OfGauge, err)
	}
	weighed := Measure(physics.Stated[physics.UnitWeight](0.4e-3, 1e-6), "cut", time.Time{}, "")
	x.Measurements = []Measurement{weighed}
	if _, _, err := s.Keep(ctx, x); err != nil {
		t.Fatal(err)
	}
	if got, err = s.String(ctx, "ten"); err != nil || got.ByGauge || got.OfGauge || got.UnitWeight.Value != 0.4e-3 {
		t.Errorf("weighed: %v, by its gauge %v, %v", got.UnitWeight, got.ByGauge, err)
	}
}
