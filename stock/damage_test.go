package stock

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pluckweigh/physics"
)

// written is all that a stock says, as lists; an error of the stock.
func written(path string) (string, error) {
	s, err := OpenToRead(context.Background(), path)
	if err != nil {
		return "", err
	}
	defer s.Close()
	var b bytes.Buffer
	if err := s.Export(context.Background(), &b); err != nil {
		return "", err
	}
	err = s.ExportInstruments(context.Background(), &b)
	return b.String(), err
}

// knownIn is what Known says of a stock; an error of the stock.
func knownIn(path string) (string, error) {
	s, err := OpenToRead(context.Background(), path)
	if err != nil {
		return "", err
	}
	defer s.Close()
	all, err := s.Known(context.Background())
	return fmt.Sprintf("%+v", all), err
}

// full is a stock with something of everything.
func fullStock(t *testing.T) *Store {
	ctx, s := t.Context(), newStore(t)
	for i := range 60 {
		x := named(fmt.Sprint("string ", i))
		x.Measurements = []Measurement{weighed(10+float64(i), 0.1, "clip"), weighed(10+float64(i), 0.11, "pull"), thick(1+float64(i)/100, 0.01)}
		if err := s.Add(ctx, x); err != nil {
			t.Fatal(err)
		}
	}
	for i := range 6 {
		x := Instrument{Name: fmt.Sprint("instrument ", i), A4: 440, Wish: Wish{Kind: SlopeWish, Forces: []physics.Force{170, 160}}}
		for n := range 5 {
			x.Positions = append(x.Positions, Position{Length: physics.SpeakingLength.Assume(0.8), Said: fmt.Sprintf("A1+%dsteps", n), Strung: fmt.Sprint("string ", n)})
		}
		if err := s.AddInstrument(ctx, x); err != nil {
			t.Fatal(err)
		}
	}
	return s
}

// A damaged file is said to be so, or says what it said before: never a wrong number.
// PLUCKWEIGH_DAMAGES says how often, 300 without it.
func TestDamaged(t *testing.T) {
	n := 300
	if s := os.Getenv("PLUCKWEIGH_DAMAGES"); s != "" {
		var err error
		if n, err = strconv.Atoi(s); err != nil {
			t.Fatal(err)
		}
	}
	s := fullStock(t)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(s.path)
	if err != nil {
		t.Fatal(err)
	}
	want, err := written(s.path)
	if err != nil {
		t.Fatal(err)
	}
	known, err := knownIn(s.path)
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(3, 4))
	path := filepath.Join(t.TempDir(), "damaged.db")
	told, unharmed, silent := 0, 0, 0
	for i := range n {
		b := bytes.Clone(whole)
		what := ""
		switch at := r.IntN(len(b)); i % 4 {
		case 0, 1:
			bit := byte(1) << r.IntN(8)
			b[at] ^= bit
			what = fmt.Sprintf("bit %d of byte %d", bit, at)
		case 2:
			b = b[:at]
			what = fmt.Sprintf("cut to %d bytes", at)
		case 3:
			for j := at; j < min(at+512, len(b)); j++ {
				b[j] = byte(r.Uint32())
			}
			what = fmt.Sprintf("noise at %d", at)
		}
		if err := os.WriteFile(path, b, 0o600); err != nil {
			t.Fatal(err)
		}
		if got, err := knownIn(path); err == nil && got != known {
			t.Errorf("%s is not noticed where all that is known is read", what)
		}
		got, err := written(path)
		var file *FileError
		var newer *NewerError
		switch {
		case errors.As(err, &file) || errors.As(err, &newer):
			told++
			if h, ok := err.(interface{ Hint() string }); !ok || h.Hint() == "" {
				t.Errorf("%s: %v has no hint", what, err)
			}
		case err != nil:
			t.Errorf("%s: %v", what, err)
		case got == want:
			unharmed++
		default:
			silent++
			t.Errorf("%s is not noticed: %s", what, firstDifference(got, want))
		}
	}
	t.Logf("%d damages: %d told, %d of no effect, %d not noticed", n, told, unharmed, silent)
}

// Every value that is read has a sum: one that changes behind our back is told.
func TestEveryValueIsSummed(t *testing.T) {
	s := fullStock(t)
	if err := s.Edit(t.Context(), "string 7", func(x *String) error { x.Measurements[0].SetAside = "why"; return nil }); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(s.path)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "changed.db")
	for _, change := range []string{
		"UPDATE strings SET name = name || '!' WHERE id = 7", "UPDATE strings SET winding = 'plain' WHERE id = 7", "UPDATE strings SET material = 'gut' WHERE id = 7",
		"UPDATE strings SET label = 'x' WHERE id = 7", "UPDATE strings SET remain = 7 WHERE id = 7", "UPDATE strings SET sum = sum + 1 WHERE id = 7",
		"UPDATE strings SET measured = measured + 1 WHERE id = 7",
		"UPDATE measurements SET string = 8 WHERE id = 7", "UPDATE measurements SET property = 'core stiffness' WHERE id = 7", "UPDATE measurements SET value = value * 1.0000001 WHERE id = 7",
		"UPDATE measurements SET u = u / 2 WHERE id = 7", "UPDATE measurements SET dof = 3 WHERE id = 7", "UPDATE measurements SET assumed = 1 WHERE id = 7",
		"UPDATE measurements SET route = 'x' WHERE id = 7", "UPDATE measurements SET made = '' WHERE id = 7", "UPDATE measurements SET reading = '' WHERE id = 7",
		"UPDATE measurements SET set_aside = 'x' WHERE id = 7", "UPDATE measurements SET set_aside = '' WHERE set_aside = 'why'", "UPDATE measurements SET sum = 3 WHERE id = 7", "DELETE FROM measurements WHERE id = 7",
		"UPDATE instruments SET name = 'x' WHERE id = 2", "UPDATE instruments SET a4 = 441 WHERE id = 2", "UPDATE instruments SET division = '19' WHERE id = 2",
		"UPDATE instruments SET most = 3 WHERE id = 2", "DELETE FROM positions WHERE instrument = 2 AND number = 5", "DELETE FROM positions WHERE instrument = 2",
		"UPDATE positions SET length = 0.81 WHERE instrument = 2 AND number = 3", "UPDATE positions SET u_length = 0.01 WHERE instrument = 2 AND number = 3",
		"UPDATE positions SET assumed = 1 - assumed WHERE instrument = 2 AND number = 3", "UPDATE positions SET semitones = semitones + 1 WHERE instrument = 2 AND number = 3",
		"UPDATE positions SET cents = cents + 1 WHERE instrument = 2 AND number = 3", "UPDATE positions SET said = '' WHERE instrument = 2 AND number = 3",
		"UPDATE positions SET kind = 'plain' WHERE instrument = 2 AND number = 3", "UPDATE positions SET least = 1e-3 WHERE instrument = 2 AND number = 3",
		"UPDATE positions SET slot = 1e-3 WHERE instrument = 2 AND number = 3", "UPDATE positions SET string = 9 WHERE instrument = 2 AND number = 3", "UPDATE positions SET string = NULL WHERE instrument = 2 AND number = 3",
		"UPDATE positions SET number = 9 WHERE instrument = 2 AND number = 3",
	} {
		if err := os.WriteFile(path, whole, 0o600); err != nil {
			t.Fatal(err)
		}
		script(t, path, "DROP TRIGGER measurements_stay; "+change)
		_, err := written(path)
		var file *FileError
		if !errors.As(err, &file) || file.Why != "is damaged" {
			t.Errorf("%s: %v", change, err)
		}
		if strings.Contains(change, "strings") || strings.Contains(change, "measurements") {
			if _, err := knownIn(path); !errors.As(err, &file) || file.Why != "is damaged" {
				t.Errorf("%s: %v where all that is known is read", change, err)
			}
		}
	}
}

// firstDifference is the first line of two texts in which they differ.
func firstDifference(got, want string) string {
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range min(len(g), len(w)) {
		if g[i] != w[i] {
			return fmt.Sprintf("%q, not %q", g[i], w[i])
		}
	}
	return fmt.Sprintf("%d lines, not %d", len(g), len(w))
}
