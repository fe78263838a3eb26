package stock

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// What is written as a list is read back to the same, whatever strings and instruments
// there are; a dry run says the same and changes nothing; taken twice, nothing is new.
func TestListsGoThereAndBack(t *testing.T) {
	ctx, a, b := t.Context(), newHastyStore(t), newHastyStore(t)
	rapid.Check(t, func(t *rapid.T) {
		empty(t, a)
		empty(t, b)
		m := model{map[string]String{}, map[string]Instrument{}}
		for range rapid.IntRange(0, 4).Draw(t, "strings") {
			if x := someString(t); !m.keep(x) {
				if _, _, err := a.Keep(ctx, x); err != nil {
					t.Fatal(err)
				}
			}
		}
		for range rapid.IntRange(0, 3).Draw(t, "instruments") {
			x := someInstrument(t, names(m.strings))
			if _, has := m.instruments[x.Name]; !has {
				m.instruments[x.Name] = x
				if err := a.AddInstrument(ctx, x); err != nil {
					t.Fatal(err)
				}
			}
		}
		for _, export := range []func(*Store, context.Context, *bytes.Buffer) error{
			func(s *Store, ctx context.Context, to *bytes.Buffer) error { return s.Export(ctx, to) },
			func(s *Store, ctx context.Context, to *bytes.Buffer) error { return s.ExportInstruments(ctx, to) },
		} {
			var list, again bytes.Buffer
			if err := export(a, ctx, &list); err != nil {
				t.Fatal(err)
			}
			onlyNumbers(t, list.String())
			take := func(dry bool) Imported {
				n, err := b.Import(ctx, strings.NewReader(list.String()), dry, func(line int, err error) { t.Errorf("line %d: %v\n%s", line, err, list.String()) })
				if err != nil {
					t.Fatal(err)
				}
				return n
			}
			dry := take(true)
			if once := take(false); once != dry {
				t.Errorf("%+v, and before, dry, %+v", once, dry)
			}
			if twice := take(false); twice.Strings+twice.Measurements+twice.Instruments+twice.Filled+twice.Bad > 0 {
				t.Errorf("taken twice: %+v", twice)
			}
			if err := export(b, ctx, &again); err != nil {
				t.Fatal(err)
			}
			if again.String() != list.String() {
				t.Errorf("%s, not\n%s", again.String(), list.String())
			}
		}
		m.check(t, b)
	})
}

// onlyNumbers makes sure that under a unit there are numbers, as any spreadsheet reads them.
func onlyNumbers(t *rapid.T, list string) {
	all, err := csv.NewReader(strings.NewReader(list)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range all[1:] {
		for i, cell := range line {
			if _, err := strconv.ParseFloat(cell, 64); err != nil && cell != "" && strings.Contains(all[0][i], " (") {
				t.Errorf("%s: %q", all[0][i], cell)
			}
		}
	}
}

// partOf is a list with some of the lines of another, some of them twice, and without
// some of what is said of a string.
func partOf(t *rapid.T, list string) string {
	all, err := csv.NewReader(strings.NewReader(list)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	w := csv.NewWriter(&b)
	w.Write(all[0])
	for _, line := range all[1:] {
		for i := 1; i <= 4; i++ { // kind, material, label, left
			if rapid.Bool().Draw(t, "not said") {
				line[i] = ""
			}
		}
		for range rapid.IntRange(0, 2).Draw(t, "times") {
			w.Write(line)
		}
	}
	w.Flush()
	return b.String()
}

// A list of which a part is in stock already fills in the rest.
func TestListsFillIn(t *testing.T) {
	ctx, a, b := t.Context(), newHastyStore(t), newHastyStore(t)
	rapid.Check(t, func(t *rapid.T) {
		empty(t, a)
		empty(t, b)
		m := model{map[string]String{}, map[string]Instrument{}}
		for range rapid.IntRange(1, 6).Draw(t, "strings") {
			if x := someString(t); !m.keep(x) {
				if _, _, err := a.Keep(ctx, x); err != nil {
					t.Fatal(err)
				}
			}
		}
		var list bytes.Buffer
		if err := a.Export(ctx, &list); err != nil {
			t.Fatal(err)
		}
		var all []String
		var err error
		for _, text := range []string{partOf(t, list.String()), list.String()} {
			if _, err := b.Import(ctx, strings.NewReader(text), false, func(line int, err error) { t.Errorf("line %d: %v\n%s", line, err, text) }); err != nil {
				t.Fatal(err)
			}
			if all, err = b.Strings(ctx); err != nil {
				t.Fatal(err)
			}
		}
		// Numbers go by the order in which they came.
		for _, x := range all {
			want := m.strings[x.Name]
			if len(x.Measurements) != len(want.Measurements) {
				t.Errorf("%q has %d measurements, not %d", x.Name, len(x.Measurements), len(want.Measurements))
			}
			for _, measured := range x.Measurements {
				measured.ID = 0
				if !slices.Contains(want.Measurements, measured) {
					t.Errorf("%q has %+v", x.Name, measured)
				}
			}
			want.Measurements, want.String = nil, traits.String{Name: want.Name, Kind: want.Kind, Left: want.Left}
			x = String{String: traits.String{Name: x.Name, Kind: x.Kind, Left: x.Left}, Label: x.Label, Material: x.Material}
			if !reflect.DeepEqual(x, want) {
				t.Errorf("%+v, not\n%+v", x, want)
			}
		}
		if len(all) != len(m.strings) {
			t.Errorf("%d strings, not %d", len(all), len(m.strings))
		}
	})
}

// A list in which lines are spoiled at random: all others are taken, and no more is said
// to be bad than was spoiled.
func TestGoodLinesAreTaken(t *testing.T) {
	ctx, s := t.Context(), newHastyStore(t)
	rapid.Check(t, func(t *rapid.T) {
		empty(t, s)
		var list strings.Builder
		list.WriteString("name,kind,unit weight (g/m),label\n")
		want := map[int]bool{}
		n := rapid.IntRange(1, 400).Draw(t, "lines")
		for i := range n {
			line := fmt.Sprintf("string %d,plain,%d,\"a \"\"b\"\"\"", i, i%20+1)
			switch rapid.SampledFrom([]int{0, 0, 0, 0, 0, 0, 0, 1, 2, 3, 4, 5}).Draw(t, "spoiled") {
			case 1:
				line = `"` + line // open
			case 2:
				line = strings.Replace(line, "plain", "plane", 1)
			case 3:
				line += ",x"
			case 4:
				line = strings.Replace(line, ",plain", `,pl"ain`, 1)
			case 5:
				line = "x" + strings.Repeat("y", longestLine) + line
			default:
				want[i+2] = true
			}
			list.WriteString(line + rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "end"))
		}
		bad := map[int]bool{}
		last := 0
		done, err := s.Import(ctx, strings.NewReader(list.String()), rapid.Bool().Draw(t, "dry"), func(line int, err error) {
			if bad[line] || want[line] {
				t.Errorf("line %d: %v", line, err)
			}
			bad[line] = true
			if line < last {
				t.Errorf("line %d is told of after %d", line, last)
			}
			last = line
		})
		if err != nil {
			t.Fatal(err)
		}
		if done.Strings != len(want) || done.Bad != n-len(want) || len(bad) != done.Bad || done.Lines != n {
			t.Errorf("%+v of %d, %d of them good", done, n, len(want))
		}
	})
}

func TestNamesOfSeveralLinesAreRefused(t *testing.T) {
	s := newStore(t)
	for _, name := range []string{"a\nb", "a\tb", "a\x00b", " a", "", "\xff", strings.Repeat("x", longest+1)} {
		var input *physics.InputError
		if err := s.Add(t.Context(), named(name)); !errors.As(err, &input) {
			t.Errorf("%q: %v", name, err)
		}
		if err := s.AddInstrument(t.Context(), Instrument{Name: name, A4: 440, Positions: []Position{{Length: physics.Stated[physics.Length](1, 0.1)}}}); !errors.As(err, &input) {
			t.Errorf("instrument %q: %v", name, err)
		}
	}
	if all, err := filepath.Glob(s.path + "*"); err != nil || len(all) == 0 {
		t.Error(all, err)
	}
}
