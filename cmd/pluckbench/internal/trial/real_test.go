package trial

import (
	"math"
	"math/rand/v2"
	"testing"

	"pluckweigh/detect"
	"pluckweigh/detect/detecttest"
)

// apart is a pluck whose odd partials lie so many cents above where the even ones
// put them, with a scatter about the law.
func apart(cents, scatter float64, count int) detect.Pluck {
	r := rand.New(rand.NewPCG(3, 4))
	const f0, b = 82.4, 1.1e-4
	p := detect.Pluck{F0: detect.Value{V: f0 * 1.0003}, B: detect.Value{V: 1.05e-4}} // as fitted, not as it is
	for n := 1; n <= count; n++ {
		k := float64(n)
		c := scatter * r.NormFloat64()
		if n%2 == 1 {
			c += cents
		}
		hz := k * f0 * math.Sqrt(1+b*k*k) * math.Exp2(c/1200)
		p.Partials = append(p.Partials, detect.Partial{N: n, Used: true, Freq: detect.Value{V: hz, U: hz * 1e-6 * k}})
	}
	return p
}

func TestOddOverEven(t *testing.T) {
	for _, c := range []struct {
		cents, scatter float64
		count          int
		tol            float64
	}{
		{0, 0, 20, 1e-3}, {0.4, 0, 20, 1e-3}, {-1.5, 0, 6, 0.02},
		{0.4, 0.3, 40, 0.3}, // 40 partials of 0.3 cents tell it to 0.1
	} {
		got, ok := oddOverEven(apart(c.cents, c.scatter, c.count))
		if !ok || math.Abs(got-c.cents) > c.tol {
			t.Errorf("%+v: %.4f, %v", c, got, ok)
		}
	}
	few := apart(0, 0, 20)
	few.Partials = few.Partials[:5] // two even ones
	unused := apart(0, 0, 20)
	for i := range unused.Partials {
		unused.Partials[i].Used = i%2 == 0
	}
	for i, p := range []detect.Pluck{few, unused, {}} {
		if d, ok := oddOverEven(p); ok {
			t.Errorf("%d: %g cents from too few partials", i, d)
		}
	}
}

func TestFrets(t *testing.T) {
	note := func(family string, fret int) detecttest.Note {
		return detecttest.Note{Family: family, String: "E", Fret: fret, FretLaw: true}
	}
	take := func(b float64) detect.Take {
		return detect.Take{Reading: &detect.Reading{B: detect.Value{V: b}, BKnown: true}}
	}
	var r Recorded
	r.frets(
		[]detecttest.Note{note("a", 2), note("a", 0), note("b", 0), note("b", 4), note("c", 2), note("b", 2)},
		[]detect.Take{take(1e-4 * math.Exp2(2./6)), take(1e-4), take(1.2e-4), take(1.2e-4 * 1.1 * math.Exp2(4./6)), take(1e-4), {}},
	)
	if len(r.Frets) != 2 {
		t.Fatalf("%+v", r.Frets)
	}
	near(t, "on the law", float64(r.Frets[0].Off), 0, 1e-9)
	near(t, "off the law, %", float64(r.Frets[1].Off), 10, 1e-9)
	near(t, "most, %", float64(r.FretsMost), 10, 1e-9)
	near(t, "open strings, %", float64(r.OpenMost), 20, 1e-9)
	var none Recorded
	none.frets(nil, nil)
	if !math.IsNaN(float64(none.FretsMost)) || !math.IsNaN(float64(none.OpenMost)) {
		t.Errorf("of nothing: %+v", none)
	}
}

func TestReal(t *testing.T) {
	_, err := detecttest.Notes()
	detecttest.Need(t, err)
	r, err := Real(t.Context(), Options{Takes: 1, Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	if r.Notes != 1 || r.Halves+len(r.Wrong)+len(r.Refused) != 1 || !(r.KeyMax < wrongCents) {
		t.Errorf("%+v", r)
	}
}
