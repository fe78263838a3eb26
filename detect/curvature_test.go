package detect

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// pairFrame is a frame with n lines at the partials of 110 Hz fitted as one mode
// each, while two sound, the second off by split, ratio and decay as c says; noise
// of the given standard deviation per part of a bin.
func pairFrame(n int, c coupling, noise float64, seed uint64) *fit {
	const rate, size = 8000.0, 16000
	still := glide{alpha: 1}
	f := &fit{law: law{110, 1e-4}, gl: still, hint: still, gHint: gSpread, slowest: 0.1, fastest: 30, cov: handMade(none)}
	f.fr = blankFrame(size, rate)
	f.fr.now, f.fr.out = still, still
	for i := 1; i <= n; i++ {
		hz := f.hz(i)
		l := &line{n: i, hz: hz, alpha: 0.8 + 1e-6*hz*hz, amp: complex(1/float64(i), 0.3), used: true}
		f.lines = append(f.lines, l)
	}
	f.setPlaces()
	for _, l := range f.lines {
		a := l.amp / complex(1+c.ratio, 0)
		first := mode{l.hz * (1 - c.split*c.ratio/(1+c.ratio)), l.alpha, a}
		second := mode{first.hz * (1 + c.split), l.alpha * math.Exp(c.decay), a * complex(c.ratio, 0)}
		for _, m := range []mode{first, second} {
			m.amp *= -1
			v := f.fr.wave(m)
			f.fr.subtract(f.fr.spec, &v, 1, len(f.fr.spec)-1)
		}
	}
	r := rand.New(rand.NewPCG(seed, 3))
	for k := range f.fr.spec {
		f.fr.spec[k] += complex(noise*r.NormFloat64(), noise*r.NormFloat64())
	}
	f.residual(true)
	f.converge(10)
	return f
}

// TestBendOf: lines that hide two modes bend as the second cumulant of the two
// says; lines that are one mode do not, beyond noise.
func TestBendOf(t *testing.T) {
	for _, c := range []coupling{
		{split: 0.05 * cent, ratio: 0.5},
		{split: 0.08 * cent, ratio: 0.3, decay: 0.2},
		{split: -0.08 * cent, ratio: 0.3, decay: 0.2},
	} {
		f := pairFrame(5, c, 1e-5, 1)
		f.gHint, f.gl.g = none, 0 // a glide would take part of it
		f.converge(10)
		for _, l := range f.lines {
			b, ok := f.fr.bendOf(l)
			if !ok {
				t.Fatalf("%+v: partial %d has no bend", c, l.n)
			}
			p := c.ratio / (1 + c.ratio)
			k := -math.Expm1(c.decay) * b.rate
			want := complex(p*(1-p), 0) * complex(k, c.split) * complex(k, c.split)
			// The window is finite: the third cumulant shows, too.
			if d := math.Sqrt(sq(b.z - want)); d > 0.35*math.Sqrt(sq(want))+4*b.u {
				t.Errorf("%+v: partial %d bends by %.3g, want %.3g (u %.2g)", c, l.n, b.z, want, b.u)
			}
		}
	}
	sum, count := 0.0, 0.0
	for seed := range uint64(8) {
		f := pairFrame(5, coupling{}, 1, seed)
		for _, b := range f.bends() {
			sum += sq(b.z) / (b.u * b.u)
			count += 2
		}
	}
	near(t, "chi² of lines that do not bend, per degree of freedom", sum/count, 1, 4*math.Sqrt(2/count))
}

// TestExcess: what bends is told from what does not.
func TestExcess(t *testing.T) {
	if e := excess(nil); e != 0 {
		t.Errorf("of no lines %g", e)
	}
	if e := excess(pairFrame(8, coupling{}, 1, 4).bends()); math.Abs(e) > clearBend {
		t.Errorf("single lines bend by %.1f standard deviations", e)
	}
	if e := excess(pairFrame(8, coupling{split: 0.4 * cent, ratio: 0.4}, 0.1, 4).bends()); e < 2*clearBend {
		t.Errorf("pairs bend by %.1f standard deviations only", e)
	}
}

// TestHide: bends that a coupling makes lead back to it, to its shift among
// what may be; none leave a shift that is likely none.
func TestHide(t *testing.T) {
	lines := func(c coupling, u float64) (bs []bending) {
		p := c.ratio / (1 + c.ratio)
		for n := 1; n <= 12; n++ {
			rate := (0.8 + 0.02*float64(n*n)) / (2 * math.Pi * 110 * float64(n))
			z := complex(-math.Expm1(c.decay)*rate, c.split)
			bs = append(bs, bending{complex(p*(1-p), 0) * z * z, u, rate, 1 / (2 * math.Pi * 110 * float64(n))})
		}
		return bs
	}
	for _, c := range []coupling{
		{split: 0.3 * cent, ratio: 0.35, decay: decaySpread * 0.75},
		{split: -0.3 * cent, ratio: 0.35, decay: decaySpread * 0.75},
		{split: 1 * cent, ratio: 0.6},
	} {
		h := hide(lines(c, 1e-10))
		if h.nats < bentNats {
			t.Errorf("%+v is not seen: %.1f nats", c, h.nats)
		}
		same := h.likely.split*c.split > 0 && h.likely.decay*c.decay >= 0
		// A change of both signs bends alike.
		alike := h.likely.split*c.split < 0 && h.likely.decay*c.decay < 0
		if !same && !alike && c.decay != 0 {
			t.Errorf("%+v taken for %+v", c, h.likely)
		}
		near(t, fmt.Sprintf("%+v: split", c), math.Abs(h.likely.split/c.split), 1, 0.7)
		total, in := 0.0, 0.0
		shift := func(c coupling) float64 { return math.Abs(c.split) * c.ratio / (1 + c.ratio) }
		for _, m := range h.may {
			total += m.w
			if math.Abs(shift(m.coupling)-shift(c)) < 0.6*shift(c) {
				in += m.w
			}
		}
		near(t, "probabilities", total, 1, 1e-12)
		if in < 0.6 {
			t.Errorf("%+v: the true shift has a probability of %.2f only", c, in)
		}
	}
	h := hide(lines(coupling{}, 1e-12))
	if h.may[0].split != 0 || h.may[0].w < 0.8 {
		t.Errorf("of lines that do not bend, no coupling has a probability of %.3f", h.may[0].w)
	}
	if h := hide(nil); h.nats != 0 {
		t.Errorf("no lines say %.1f nats", h.nats)
	}
}

// TestHidden: what a hidden coupling is said to make of ln f0 and B is what a fit of one mode
// makes of two.
func TestHidden(t *testing.T) {
	for _, c := range []coupling{
		{split: 0.05 * cent, ratio: 0.2},
		{split: 0.1 * cent, ratio: 0.35, decay: 0.2},
		{split: -0.2 * cent, ratio: 0.15, decay: -0.2},
		{split: 0.3 * cent, ratio: 0.1},
	} {
		f := pairFrame(12, c, 1e-4, 1)
		f.gHint, f.gl.g = none, 0
		f.converge(10)
		off := f.sways().to(&c)
		p := c.ratio / (1 + c.ratio)
		first := 110 * (1 - c.split*p) // as pairFrame has it
		got := [2]float64{math.Log(f.f0 / first), f.b - 1e-4}
		t.Logf("%+v: ln f0 off by %.4g, said %.4g; B by %.4g, said %.4g", c, got[0], off[0], got[1], off[1])
		near(t, fmt.Sprintf("%+v: ln f0", c), off[0], got[0], 0.1*math.Abs(got[0]))
		near(t, fmt.Sprintf("%+v: B", c), off[1], got[1], 0.1*math.Abs(got[1])+2e-9)
	}
}
