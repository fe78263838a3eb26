package stock

import (
	"errors"
	"math"
	"slices"
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
	x.Wish = someWish(t, x)
	return x
}

// someWish is one that the instrument can have: forces that its lengths can bear.
func someWish(t *rapid.T, x Instrument) Wish {
	w := Wish{Kind: WishKind(rapid.IntRange(0, 4).Draw(t, "wish"))}
	force := func() physics.Force { return physics.Force(rapid.Float64Range(20, 300).Draw(t, "wished")) }
	switch w.Kind {
	case NoWish:
		return w
	case PullWish:
		for range rapid.SampledFrom([]int{1, len(x.Positions)}).Draw(t, "forces") {
			w.Forces = append(w.Forces, force())
		}
	case SlopeWish:
		w.Forces = []physics.Force{force(), force()}
	case EvenWish:
		w.Forces = []physics.Force{force()}
	case LikeWish:
		w.Like = "as " + x.Name
		if len(w.Like) > longest {
			return Wish{}
		}
	}
	if rapid.Bool().Draw(t, "within") {
		w.Within = force()
	}
	return w
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
				_, err := s.Remove(ctx, name)
				wantMissing(t, has, err)
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
