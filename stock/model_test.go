package stock

import (
	"context"
	"maps"
	"reflect"
	"slices"
	"strings"

	"pgregory.net/rapid"
)

// A model is what a stock should be.
type model struct {
	strings     map[string]String
	instruments map[string]Instrument
}

// same tells whether two measurements are one.
func same(a, b Measurement) bool {
	a.ID, a.SetAside = b.ID, b.SetAside
	return a == b
}

// add adds measurements that are not there.
func (x *String) add(all []Measurement) {
	x.Measurements = slices.Clone(x.Measurements)
	for _, m := range all {
		if !slices.ContainsFunc(x.Measurements, func(is Measurement) bool { return same(is, m) }) {
			x.Measurements = append(x.Measurements, m)
		}
	}
}

// keep says more of a string, or begins it; it tells whether that contradicts.
func (m *model) keep(x String) (contradicts bool) {
	is, has := m.strings[x.Name]
	if !has {
		is = x
		is.Measurements = nil
	}
	if is.Kind != 0 && x.Kind != 0 && is.Kind != x.Kind || is.Material != "" && x.Material != "" && is.Material != x.Material ||
		is.Label != "" && x.Label != "" && is.Label != x.Label || is.Left >= 0 && x.Left >= 0 && is.Left != x.Left {
		return true
	}
	is.Kind, is.Material, is.Label, is.Left = max(is.Kind, x.Kind), max(is.Material, x.Material), max(is.Label, x.Label), max(is.Left, x.Left)
	is.add(x.Measurements)
	m.strings[x.Name] = is
	return false
}

// check compares a stock with the model.
func (m *model) check(t *rapid.T, s *Store) {
	all, err := s.Strings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	want := slices.SortedFunc(maps.Values(m.strings), func(a, b String) int { return strings.Compare(a.Name, b.Name) })
	if len(all) != len(want) {
		t.Fatalf("%d strings, not %d", len(all), len(want))
	}
	for i := range want {
		got, want := all[i], want[i]
		if len(got.Measurements) != len(want.Measurements) {
			t.Fatalf("%q has %d measurements, not %d", got.Name, len(got.Measurements), len(want.Measurements))
		}
		want.Measurements = slices.Clone(want.Measurements)
		for j, m := range got.Measurements {
			if j > 0 && m.ID <= got.Measurements[j-1].ID {
				t.Fatalf("%q: number %d comes after %d", got.Name, m.ID, got.Measurements[j-1].ID)
			}
			want.Measurements[j].ID = m.ID
		}
		want.settle()
		if !reflect.DeepEqual(got, want) && len(want.Measurements) > 0 {
			t.Fatalf("%+v, not\n%+v", got, want)
		}
	}
	instruments, err := s.Instruments(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	wanted := slices.SortedFunc(maps.Values(m.instruments), func(a, b Instrument) int { return strings.Compare(a.Name, b.Name) })
	if len(instruments) != len(wanted) {
		t.Fatalf("%d instruments, not %d", len(instruments), len(wanted))
	}
	for i, want := range wanted {
		if want, err = want.tuned(); err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(instruments[i], want) {
			t.Fatalf("%+v, not\n%+v", instruments[i], want)
		}
	}
}

// names lists what there is, sorted.
func names[T any](of map[string]T) []string { return slices.Sorted(maps.Keys(of)) }

// empty drops all that a stock has.
func empty(t *rapid.T, s *Store) {
	if _, err := s.db.Exec("DELETE FROM positions; DELETE FROM instruments; DELETE FROM strings"); err != nil {
		t.Fatal(err)
	}
}
