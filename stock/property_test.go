package stock

import (
	"context"
	"errors"
	"maps"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"pluckweigh/physics"
	"pluckweigh/stock/choose"
	"pluckweigh/stock/traits"
)

// newHastyStore is a stock that waits for no disk: nobody cuts the power here.
func newHastyStore(t *testing.T) *Store {
	s := newStore(t)
	s.db.SetMaxOpenConns(1)
	if _, err := s.db.Exec("PRAGMA synchronous = OFF"); err != nil {
		t.Fatal(err)
	}
	return s
}

// What names and texts are made of: all that has a meaning in CSV or to a spreadsheet,
// and letters of several bytes.
var oddRunes = []rune("aB9 \"',;\t\n\r=+-@\\%_*?()éß字🎸\u00a0\u2028\ufeff")

// oddText is a text that can be kept.
func oddText(what string) *rapid.Generator[string] {
	return rapid.StringOfN(rapid.OneOf(rapid.SampledFrom(oddRunes), rapid.Rune()), 0, 12, longest).Filter(func(s string) bool { return checkText(what, s) == nil })
}

// someName is a name that can be kept; of few, so that they meet.
func someName() *rapid.Generator[string] {
	return rapid.OneOf(rapid.SampledFrom([]string{"E", "E 46", `=1+"2"`, "A, wound;x", "ﬁ", "\ufeffB"}),
		oddText("name").Filter(func(s string) bool { return checkName("name", s) == nil }))
}

// between is a number from least to most, of any size between alike.
func between(t *rapid.T, what string, least, most float64) float64 {
	return min(max(math.Exp(rapid.Float64Range(math.Log(least), math.Log(most)).Draw(t, what)), least), most)
}

func someMeasurement(t *rapid.T) Measurement {
	m := Measurement{
		Property: rapid.SampledFrom(Properties()).Draw(t, "property"),
		Assumed:  rapid.Bool().Draw(t, "assumed"),
		Route:    rapid.OneOf(rapid.SampledFrom([]string{"clip", "balance"}), oddText("route")).Filter(func(s string) bool { return s != "" }).Draw(t, "route"),
		Reading:  oddText("reading").Draw(t, "reading"),
		SetAside: rapid.OneOf(rapid.Just(""), oddText("why")).Draw(t, "set aside"),
	}
	var least, most float64
	switch m.Property {
	case UnitWeight:
		a, b := physics.StringWeight.Range()
		least, most = float64(a), float64(b)
	case Outside:
		a, b := physics.Gauge.Range()
		least, most = float64(a), float64(b)
	default:
		a, b := physics.Role[physics.BendingStiffness](Stiffness).Range()
		least, most = max(float64(a), 1e-9), min(float64(b), 1)
	}
	m.Value = between(t, "value", least, most)
	m.U = m.Value * between(t, "relative u", 1e-9, roughest)
	if rapid.Bool().Draw(t, "few") {
		m.DoF = between(t, "degrees of freedom", 0.5, 1e6)
	}
	if rapid.Bool().Draw(t, "dated") {
		m.Made = time.Unix(rapid.Int64Range(-60_000_000_000, 250_000_000_000).Draw(t, "made"), 0).UTC()
	}
	return m
}

func someString(t *rapid.T) String {
	x := String{String: traits.String{Name: someName().Draw(t, "name"), Kind: traits.Kind(rapid.IntRange(0, 2).Draw(t, "kind")),
		Left: rapid.IntRange(-1, 3).Draw(t, "left")}, Label: oddText("label").Draw(t, "label"),
		Material: rapid.SampledFrom([]string{"", "music wire", "gut"}).Draw(t, "material")}
	for range rapid.IntRange(0, 3).Draw(t, "measurements") {
		x.Measurements = append(x.Measurements, someMeasurement(t))
	}
	return x
}

func someInstrument(t *rapid.T, strings []string) Instrument {
	x := Instrument{Name: someName().Draw(t, "name of the instrument"), A4: physics.Frequency(rapid.Float64Range(390, 470).Draw(t, "A4")),
		Most: physics.Force(rapid.SampledFrom([]float64{0, 0.1 + 0.2, 900, 1e5 / 3}).Draw(t, "most"))}
	if d := rapid.SampledFrom([]string{"", "19", "13of3/1", "9of701.955c", "88c"}).Draw(t, "division"); d != "" {
		x.Division, _ = physics.ParseDivision(d)
	}
	length := func(what string) physics.Length {
		return physics.Length(between(t, what, 3e-4, 2e-3))
	}
	for range rapid.IntRange(1, 4).Draw(t, "positions") {
		p := Position{Length: physics.Stated(physics.Length(between(t, "length", 0.1, 2)), length("u of it")),
			Kind: traits.Kind(rapid.IntRange(0, 2).Draw(t, "kind")), Strung: rapid.SampledFrom(append([]string{""}, strings...)).Draw(t, "strung")}
		p.Length.Assumed = rapid.Bool().Draw(t, "assumed")
		if rapid.Bool().Draw(t, "slot") {
			p.Slot = choose.Slot{Least: length("least"), Most: 2e-3}
		}
		if p.Said = rapid.SampledFrom([]string{"", "55Hz", "A1*3/2", "C4-7steps", "E2+1step"}).Draw(t, "said"); p.Said == "" {
			p.Note = physics.Note{Semitones: rapid.IntRange(-40, 20).Draw(t, "semitones"), Cents: rapid.Float64Range(-50, 50).Draw(t, "cents")}
		}
		x.Positions = append(x.Positions, p)
	}
	return x
}

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

// Whatever is done with a stock, in any order, it is what a map in memory would be.
func TestStoreIsLikeAModel(t *testing.T) {
	ctx, s := t.Context(), newHastyStore(t)
	rapid.Check(t, func(t *rapid.T) {
		empty(t, s)
		m := model{map[string]String{}, map[string]Instrument{}}
		anyString := func(t *rapid.T) string {
			return rapid.OneOf(rapid.SampledFrom(append(names(m.strings), "nobody")), someName()).Draw(t, "which")
		}
		anyInstrument := func(t *rapid.T) string {
			return rapid.SampledFrom(append(names(m.instruments), "nobody")).Draw(t, "which instrument")
		}
		wantMissing := func(t *rapid.T, has bool, err error) {
			var missing *MissingError
			if has && err != nil || !has && !errors.As(err, &missing) {
				t.Fatalf("it is there: %v; %v", has, err)
			}
		}
		t.Repeat(map[string]func(*rapid.T){
			"": func(t *rapid.T) { m.check(t, s) },
			"add": func(t *rapid.T) {
				x := someString(t)
				_, has := m.strings[x.Name]
				err := s.Add(ctx, x)
				var taken *TakenError
				if has != errors.As(err, &taken) || !has && err != nil {
					t.Fatal(err)
				}
				if !has {
					m.keep(x)
				}
			},
			"keep": func(t *rapid.T) {
				x := someString(t)
				_, has := m.strings[x.Name]
				contradicts := m.keep(x)
				_, fresh, err := s.Keep(ctx, x)
				var input *physics.InputError
				if contradicts != errors.As(err, &input) || !contradicts && (err != nil || fresh == has) {
					t.Fatalf("contradicts: %v; has: %v; %v, %v", contradicts, has, fresh, err)
				}
			},
			"edit": func(t *rapid.T) {
				name, to := anyString(t), someString(t)
				is, has := m.strings[name]
				rename, aside := rapid.Bool().Draw(t, "rename"), rapid.Bool().Draw(t, "set aside")
				if !rename {
					to.Name = name
				}
				_, taken := m.strings[to.Name]
				taken = taken && to.Name != name
				change := func(x *String) error {
					x.Name, x.Kind, x.Left, x.Label, x.Material = to.Name, to.Kind, to.Left, to.Label, to.Material
					if aside {
						for i := range x.Measurements {
							x.Measurements[i].SetAside = "edited"
						}
					}
					return nil
				}
				err := s.Edit(ctx, name, func(x *String) error {
					x.Measurements = append(x.Measurements, to.Measurements...)
					had := x.Measurements[:len(x.Measurements)-len(to.Measurements)]
					y := *x
					y.Measurements = had
					err := change(&y)
					x.Name, x.Kind, x.Left, x.Label, x.Material = y.Name, y.Kind, y.Left, y.Label, y.Material
					return err
				})
				var takenError *TakenError
				if has && taken {
					if !errors.As(err, &takenError) {
						t.Fatal(err)
					}
					return
				}
				wantMissing(t, has, err)
				if !has {
					return
				}
				is.Measurements = slices.Clone(is.Measurements)
				if err := change(&is); err != nil {
					t.Fatal(err)
				}
				is.add(to.Measurements)
				delete(m.strings, name)
				m.strings[is.Name] = is
				for _, i := range m.instruments {
					for n := range i.Positions {
						if i.Positions[n].Strung == name {
							i.Positions[n].Strung = is.Name
						}
					}
				}
			},
			"an edit that fails": func(t *rapid.T) {
				wanted := errors.New("no")
				name := anyString(t)
				err := s.Edit(ctx, name, func(x *String) error { x.Name, x.Left = "changed", 7; return wanted })
				if _, has := m.strings[name]; has && !errors.Is(err, wanted) {
					t.Fatal(err)
				}
			},
			"remove": func(t *rapid.T) {
				name := anyString(t)
				_, has := m.strings[name]
				wantMissing(t, has, s.Remove(ctx, name))
				delete(m.strings, name)
				for _, i := range m.instruments {
					for n := range i.Positions {
						if i.Positions[n].Strung == name {
							i.Positions[n].Strung = ""
						}
					}
				}
			},
			"add an instrument": func(t *rapid.T) {
				x := someInstrument(t, names(m.strings))
				_, has := m.instruments[x.Name]
				err := s.AddInstrument(ctx, x)
				var taken *TakenError
				if has != errors.As(err, &taken) || !has && err != nil {
					t.Fatal(err)
				}
				if !has {
					m.instruments[x.Name] = x
				}
			},
			"edit an instrument": func(t *rapid.T) {
				name, to := anyInstrument(t), someInstrument(t, names(m.strings))
				_, has := m.instruments[name]
				to.Name = name
				wantMissing(t, has, s.EditInstrument(ctx, name, func(x *Instrument) error { *x = to; return nil }))
				if has {
					m.instruments[name] = to
				}
			},
			"remove an instrument": func(t *rapid.T) {
				name := anyInstrument(t)
				_, has := m.instruments[name]
				wantMissing(t, has, s.RemoveInstrument(ctx, name))
				delete(m.instruments, name)
			},
			"open again": func(t *rapid.T) {
				other, err := OpenToRead(ctx, s.path)
				if err != nil {
					t.Fatal(err)
				}
				defer other.Close()
				m.check(t, other)
			},
		})
	})
}
