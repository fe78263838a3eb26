package detect

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// dying is a fit with a glide whose partials, from the first on, die as low does at
// the fundamental.
func dying(low float64, first int, gl glide, ug, uln float64) *fit {
	f := &fit{law: law{110, 1e-4}, gl: gl, cov: mat.NewSymDense(params, nil), secs: 2.5}
	f.cov.SetSym(2, 2, ug*ug)
	f.cov.SetSym(3, 3, uln*uln)
	for n := first; n < first+8; n++ {
		f.lines = append(f.lines, &line{n: n, hz: f.hz(n), alpha: low + 0.02*float64(n*n-1), amp: 1, snr: 1e4, used: true})
	}
	return f
}

// TestAlien: a string's own glide is no reason to doubt, one that dies at another
// rate or rises is, by what the fit makes of it after the sound.
func TestAlien(t *testing.T) {
	const low = 1.0
	heard := dying(low, 1, glide{}, 0, 0).lowDecay()
	left := func(g, alpha float64) float64 { return g * math.Exp(-2*alpha/heard) }
	for _, c := range []struct {
		name       string
		g, alpha   float64 // cents, 1/s
		ug, uln    float64
		first      int
		least, top float64 // cents
	}{
		{"none", 0, 1, 0.1, 0.05, 1, 0, 0},
		{"a string's own", 15, 1.1, 0.1, 0.05, 1, 0, 0.01},
		{"a string's own, some way off", 15, 0.75, 0.1, 0.05, 1, 0, 0.2},
		{"too slow", 15, 0.25, 0.1, 0.05, 1, 0.99 * left(15, 0.25), left(15, 0.25)},
		{"too slow, perhaps", 15, 0.4, 0.1, 0.8, 1, 0.3 * left(15, 0.4), 0.9 * left(15, 0.4)},
		{"too fast: over long before the sound is", 15, 6, 0.1, 0.05, 1, 0, 0.01},
		{"rising", -6, 0.8, 0.1, 0.05, 1, left(-6, 0.8), 0.999 * left(-6, 0.8)},
		{"too little to tell", 0.2, 0.25, 0.2, 0.05, 1, 0, 0.01},
		// Partials 5 and up die half as fast again and more; the string's stretch does not.
		{"the lowest partials unheard", 15, 0.95, 0.1, 0.05, 5, 0, 0.3},
	} {
		got := dying(low, c.first, glide{g: c.g * cent, alpha: c.alpha}, c.ug*cent, c.uln).alien() / cent
		if !(got >= c.least-1e-9 && got <= c.top+1e-9) {
			t.Errorf("%s: %.3f cents, want %.3f to %.3f", c.name, got, c.least, c.top)
		}
	}
	if got := (&fit{law: law{110, 0}, gl: glide{g: 9 * cent, alpha: 9}}).alien(); got != 0 {
		t.Errorf("a string of which nothing is heard: %g", got)
	}
}

// TestUnsettle: f0 lies half-way between where the pitch was heard last and where a
// strange glide was to end, and neither is ruled out; what moves the pitch of each
// partial by so much moves B by what a regression makes of it.
func TestUnsettle(t *testing.T) {
	f := dying(1, 1, glide{g: 10 * cent, alpha: 0.2}, 0.1*cent, 0.05)
	for i, l := range f.lines {
		l.info[0][0] = 1e6
		l.alpha += float64(i)
	}
	p := Pluck{F0: Value{110, 0}, F1: Value{110, 0}, alien: 6 * cent, GlideCents: 10, mayGlide: 10 * cent}
	p.unsettle(&listener{}, f)
	near(t, "f0, cents", cents(p.F0.V, 110), 3, 1e-9)
	near(t, "u of f0, cents", p.F0.U/p.F0.V/cent, 3, 1e-9)
	near(t, "f1, cents", cents(p.F1.V, 110), 3, 1e-9)
	// Where none is said to be there, f0 is where it was heard, and as uncertain as a
	// glide is likely.
	p = Pluck{F0: Value{110, 0}, F1: Value{110, 0}, alien: 6 * cent, mayGlide: 4 * cent}
	p.unsettle(&listener{}, f)
	near(t, "f0 without a glide, cents", cents(p.F0.V, 110), 0, 1e-9)
	near(t, "and its u, cents", p.F0.U/p.F0.V/cent, 3*0.4, 1e-9)

	for i, c := range []struct{ alien, stray float64 }{{0, 0}, {0, 2}, {-6, 0}, {-3, 4}} {
		p := Pluck{F0: Value{110, 110 * 0.5 * cent}, F1: Value{110, 1}, B: Value{1e-4, 0}, alien: c.alien * cent, stray: c.stray * cent}
		p.unsettle(&listener{}, f)
		want := 0.5
		if i > 0 {
			want = math.Hypot(want, math.Hypot(c.alien, fitTakes*c.stray))
		}
		near(t, "f0 stays", p.F0.V, 110, 0)
		near(t, "u of f0, cents", p.F0.U/p.F0.V/cent, want, 1e-6)
		near(t, "u of B", p.B.U, math.Hypot(c.alien, fitTakes*c.stray)*cent*f.tilt(), 1e-12)
	}

	// Of two partials B is their difference over that of n²/2.
	two := &fit{law: law{110, 0}, lines: f.lines[:2]}
	near(t, "tilt of two", two.tilt(), math.Sqrt2/((4.-1)/2), 1e-6)
	near(t, "tilt of one", (&fit{law: law{110, 0}, lines: f.lines[:1]}).tilt(), 0, 0)
}
