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
