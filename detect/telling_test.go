package detect

import (
	"fmt"
	"math"
	"testing"
)

// TestTellingsOfOne: lines that are one mode each are told so, and by nothing else.
func TestTellingsOfOne(t *testing.T) {
	for seed := range uint64(5) {
		f := pairFrame(10, coupling{}, 0.3, seed)
		ts := f.tellings()
		if ts[0].pair != nil || len(ts[0].seconds()) > 0 {
			t.Errorf("seed %d: one mode a line is told as two, %+v", seed, ts[0].pair)
		}
	}
}

// TestTellingsOfTwo: what two modes a line sound is told so, with the coupling and
// the law of the first, where a single mode would be far off for what it claims to know.
func TestTellingsOfTwo(t *testing.T) {
	for _, c := range []coupling{
		{split: 1.2 * cent, ratio: 0.5, decay: 0.15},
		{split: -0.6 * cent, ratio: 0.3, decay: -0.2},
		{split: 2.5 * cent, ratio: 0.2},
		{split: -0.25 * cent, ratio: 0.6, decay: 0.1},
	} {
		f := pairFrame(12, c, 0.1, 7)
		truth := 110 * (1 - c.split*c.ratio/(1+c.ratio))
		single, u := cents(f.f0, truth), math.Sqrt(f.cov.At(0, 0))/cent
		ts := f.tellings()
		best := ts[0]
		if best.pair == nil {
			t.Errorf("%+v is told as one mode a line", c)
			continue
		}
		name := fmt.Sprintf("%+v", c)
		near(t, name+": split, cents", best.pair.split/cent, c.split/cent, 0.05+0.03*math.Abs(c.split/cent))
		near(t, name+": ratio", best.second(), c.ratio, 0.08)
		off, v := cents(best.f0, truth), math.Sqrt(best.cov.At(0, 0))/cent
		if math.Abs(off) > 4*v || v > 0.1 {
			t.Errorf("%s: f0 is off by %.5f cents, u %.5f", name, off, v)
		}
		if math.Abs(single) < 4*u && math.Abs(single) < 3*math.Abs(off) {
			t.Errorf("%s: the single mode, off by %.5f cents, u %.5f, does as well: the test tells nothing", name, single, u)
		}
	}
}

// TestMirror: turned round, a pair sounds the same to second order, and turned
// back it is what it was.
func TestMirror(t *testing.T) {
	f := pairFrame(6, coupling{split: 0.05 * cent, ratio: 0.4, decay: 0.1}, 1e-3, 2)
	g := f.clone()
	g.couple(coupling{split: 0.05 * cent, ratio: 0.4, decay: 0.1})
	g.converge(pairIter)
	was := *g.pair
	f0 := g.f0
	g.mirror()
	if g.pair.split != -was.split || g.pair.decay != -was.decay {
		t.Errorf("mirrored %+v is %+v", was, *g.pair)
	}
	p := was.ratio / (1 + was.ratio)
	near(t, "centre, cents", cents(g.f0*(1-was.split*p), f0*(1+was.split*p)), 0, 1e-6)
	g.mirror()
	near(t, "f0, mirrored twice, cents", cents(g.f0, f0), 0, 1e-6)
}

// TestSwap: which of the two modes is called the first is nothing that sounds.
func TestSwap(t *testing.T) {
	for _, free := range []bool{false, true} {
		f := pairFrame(6, coupling{split: 1 * cent, ratio: 0.5, decay: 0.2}, 1e-2, 2)
		g := f.clone()
		g.couple(coupling{split: 1 * cent, ratio: 0.5, decay: 0.2})
		g.converge(pairIter)
		if free {
			g.loosen()
		}
		var before []float64
		g.residual(true)
		for _, l := range g.used() {
			before = append(before, g.fr.left(l))
		}
		f0, split := g.f0, g.pair.split
		g.swap()
		for i, l := range g.used() {
			near(t, "power left", g.fr.left(l)/before[i], 1, 1e-6)
		}
		near(t, "f0, cents", cents(g.f0, f0*(1+split)), 0, 1e-9)
		near(t, "second over first", g.second(), 2, 0.2)
	}
}

// TestClone: what is done to a clone leaves the fit alone.
func TestClone(t *testing.T) {
	f := pairFrame(4, coupling{}, 0.1, 1)
	f0, alpha, rest := f.f0, f.lines[0].alpha, f.fr.rest[f.lines[0].lo]
	g := f.clone()
	g.couple(coupling{split: cent, ratio: 0.5, free: true})
	g.f0 *= 1.01
	g.lines[0].alpha = 99
	g.residual(true)
	if f.f0 != f0 || f.pair != nil || f.lines[0].pair != nil || f.lines[0].alpha != alpha || f.fr.rest[f.lines[0].lo] != rest {
		t.Error("the fit has changed with its clone")
	}
	h := g.clone()
	h.pair.split = 0
	if g.pair.split != cent || h.lines[0].pair != h.pair {
		t.Error("clones share their coupling")
	}
}

// TestLikeliest: the best first, others only if they may be so, none twice.
func TestLikeliest(t *testing.T) {
	tell := func(nats float64, c *coupling) telling { return telling{&fit{pair: c}, nats} }
	ts := likeliest([]telling{
		tell(-20, nil), tell(-3, &coupling{split: 1, ratio: 0.4}), tell(-2, nil),
		tell(-3.5, &coupling{split: 1.01, ratio: 0.4}), tell(-4, &coupling{split: -1, ratio: 0.4}),
	})
	want := []float64{-2, -3, -4}
	if len(ts) != len(want) {
		t.Fatalf("%d tellings, want %d", len(ts), len(want))
	}
	for i, w := range want {
		if ts[i].nats != w {
			t.Errorf("telling %d has %g nats, want %g", i, ts[i].nats, w)
		}
	}
}

// TestEvidence: of two fits to the same bins the truer has more, and one that has
// parameters which bring nothing has less.
func TestEvidence(t *testing.T) {
	c := coupling{split: 1.5 * cent, ratio: 0.4}
	f := pairFrame(8, c, 0.1, 3)
	two := f.told(func(g *fit) {
		g.couple(c)
		g.converge(pairIter)
	})
	if gain := two.nats - f.evidence(); gain < 50 {
		t.Errorf("two modes a line, where there are two, bring %.1f nats", gain)
	}
	f = pairFrame(8, coupling{}, 0.1, 3)
	two = f.told(func(g *fit) {
		g.couple(coupling{split: cent, free: true})
		g.converge(pairIter)
	})
	if gain := two.nats - f.evidence(); gain > -5 {
		t.Errorf("two modes a line, where there is one, bring %.1f nats", gain)
	}
}
