package choose

import (
	"fmt"
	"testing"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// drawer is an invented stock of plausible builds: plain steel, and steel cores with one
// close wrap, an eightieth of a millimetre apart and 3 %.
func drawer(t *testing.T) (out []traits.String) {
	material := func(name string) physics.Material {
		m, err := physics.ParseMaterial(name)
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	add := func(kind traits.Kind, b physics.Build) {
		w, err := b.UnitWeight()
		if err != nil {
			return // too thick a wire for its core
		}
		d, err := b.Outside()
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, traits.String{Name: fmt.Sprint(len(out)), Kind: kind, UnitWeight: w.Measured, Outside: d.Measured, Core: b.Core, Left: 1})
	}
	for mm := 0.20; mm < 0.6; mm += 0.0125 {
		add(traits.Plain, physics.Build{Core: physics.Core{Size: physics.CoreSize.Assume(physics.Length(mm) * physics.Millimetre), Of: material("steel")}})
	}
	for _, core := range []float64{0.3, 0.36, 0.42, 0.48, 0.54} {
		for wrap := 0.08; wrap < 1.3; wrap *= 1.03 {
			add(traits.Wound, physics.Build{
				Core:  physics.Core{Size: physics.CoreSize.Assume(physics.Length(core) * physics.Millimetre), Of: material("steel")},
				Wraps: []physics.Wrap{{Wire: physics.WrapWire.Assume(physics.Length(wrap) * physics.Millimetre), Of: material("nickel-plated steel")}},
			})
		}
	}
	return out
}

// Out of strings of plausible build, what is chosen for a pull of common practice pulls
// about as wished, keeps within what is usual there and leaves the core its margin; and
// where nothing is in stock, the string that is needed can be built. The ranges, in pounds
// by the scale length, are common practice, no source.
func TestCommonPractice(t *testing.T) {
	stock := drawer(t)
	for _, tt := range []struct {
		name            string
		inches          []float64
		notes           []string
		lowest, highest physics.Force // lbf
	}{
		{"bass", []float64{34, 35}, []string{"G2", "D2", "A1", "E1"}, 32, 48},
		{"long bass", []float64{36, 37}, []string{"G2", "D2", "A1", "E1"}, 33, 49},
		{"very long bass", []float64{39, 40}, []string{"G2", "D2", "A1", "E1"}, 34, 50},
		{"six-string bass", []float64{30}, []string{"E3", "B2", "G2", "D2", "A1", "E1"}, 25, 33},
		{"low guitar", []float64{29, 30}, []string{"B3", "F#3", "D3", "A2", "E2", "B1"}, 25, 33},
		{"guitar", []float64{25, 26}, []string{"E4", "B3", "G3", "D3", "A2", "E2"}, 16, 20},
		{"long guitar", []float64{27, 28}, []string{"D4", "A3", "F3", "C3", "G2", "D2"}, 20, 26},
	} {
		for _, inches := range tt.inches {
			q := Question{Strings: stock, Limits: Limits{MostLoad: 0.8}}
			for _, name := range tt.notes {
				n, err := physics.ParseNote(name)
				if err != nil {
					t.Fatal(err)
				}
				f0, err := n.Frequency(physics.ConcertPitch)
				if err != nil {
					t.Fatal(err)
				}
				q.Positions = append(q.Positions, Position{Note: name, F0: f0, Length: physics.SpeakingLength.Assume(physics.Length(inches) * physics.Inch)})
			}
			for _, share := range []physics.Force{0.3, 0.5, 0.7} {
				level := (tt.lowest + share*(tt.highest-tt.lowest)) * physics.PoundForce
				q.Wish = Level(len(q.Positions), level)
				c, err := q.Best()
				if err != nil {
					t.Fatal(err)
				}
				for _, p := range c.Picks {
					if p.String == Empty || p.Pull.Value < tt.lowest*physics.PoundForce || p.Pull.Value > tt.highest*physics.PoundForce || p.Load == nil || p.Load.Load.Value > 0.8 {
						t.Errorf("%s, %v in, %v: %s has %+v", tt.name, inches, level, q.Positions[p.Position].Note, p.Pull.Value.In(physics.PoundForce))
					}
				}
				bare := q
				bare.Strings = nil
				c, err = bare.Best()
				if err != nil {
					t.Fatal(err)
				}
				for _, p := range c.Picks {
					if p.Need == nil || p.Need.Build.Core.Size.Value == 0 {
						t.Errorf("%s, %v in, %v: no build for %s", tt.name, inches, level, q.Positions[p.Position].Note)
					}
				}
			}
		}
	}
}
