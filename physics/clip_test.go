package physics

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// clipped is the bass of other tests with a clip of 5 % of its mass.
func clipped() Clip {
	s, w := bass()
	return Clip{
		Mass:   Stated(Mass(0.05*float64(w.Value)*float64(s.Length.Value)), 1*Milligram),
		Length: s.Length, Ratio: 0.05, RatioU: 5e-5, F0: s.F0, Correlation: 0.4, B: s.B,
	}
}

// Pinned ends: the numbers go in as they came out.
func TestClipPinned(t *testing.T) {
	s, w := bass()
	c := clipped()
	c.Ends = EndsPinned
	mu, pull := must(c.UnitWeight()), must(c.Tension())
	if math.Abs(float64(mu.Value/w.Value)-1) > 1e-12 {
		t.Errorf("unit weight %v, want %v", mu.Value, w.Value)
	}
	if want := TensionOf(w.Value, s.Length.Value, s.F0.Value); math.Abs(float64(pull.Value/want)-1) > 1e-12 {
		t.Errorf("tension %v, want %v", pull.Value, want)
	}
	for _, input := range []string{"mass of the clip", "speaking length", "shift heard"} {
		if !has(mu.Budget, input, false) || !has(pull.Budget, input, false) {
			t.Errorf("%s is missing in %+v or %+v", input, mu.Budget, pull.Budget)
		}
	}
}

// A flexible string: µ = (m/L) a tan a, a = πr/2, r the loaded first partial over the
// bare one (derived; the detector's partials are checked against an eigenproblem).
func TestClipRatio(t *testing.T) {
	for _, cents := range []float64{1, 30, 80, 150, 400} {
		a := math.Pi / 2 * math.Exp2(-cents/1200)
		if got, want := 1/ClipRatio(cents), a*math.Tan(a); math.Abs(got/want-1) > 1e-12 {
			t.Errorf("%g cents: the string weighs %g clips, want %g", cents, got, want)
		}
	}
	least, most := ClipsFor(18*GramPerMetre, 0.85)
	if math.Abs(float64(least)/(0.0153*0.01748)-1) > 2e-3 || math.Abs(float64(most)/(0.0153*0.0910)-1) > 2e-3 {
		t.Errorf("clips of %v to %v", least, most)
	}
}

// beam is the lowest frequencies, Hz, of a stiff string between two ends, with a mass
// in the middle, by finite elements: cubic ones, which bend as beams do, short at the
// ends and in the middle, where the string bends most.
func beam(length, pull, w, bending, mass float64, clamped bool, count int) []float64 {
	const elements = 160       // even, so that a node lies in the middle
	size := 2 * (elements + 1) // deflection and slope at every node
	K, M := mat.NewSymDense(size, nil), mat.NewSymDense(size, nil)
	node := func(i int) float64 {
		s := float64(i) / elements
		return length * (s - 0.9*math.Sin(4*math.Pi*s)/(4*math.Pi))
	}
	for e := range elements {
		h := node(e+1) - node(e)
		bend := [4][4]float64{{12, 6 * h, -12, 6 * h}, {0, 4 * h * h, -6 * h, 2 * h * h}, {0, 0, 12, -6 * h}, {0, 0, 0, 4 * h * h}}
		pulled := [4][4]float64{{36, 3 * h, -36, 3 * h}, {0, 4 * h * h, -3 * h, -h * h}, {0, 0, 36, -3 * h}, {0, 0, 0, 4 * h * h}}
		heavy := [4][4]float64{{156, 22 * h, 54, -13 * h}, {0, 4 * h * h, 13 * h, -3 * h * h}, {0, 0, 156, -22 * h}, {0, 0, 0, 4 * h * h}}
		for i := range 4 {
			for j := i; j < 4; j++ {
				a, b := 2*e+i, 2*e+j
				K.SetSym(a, b, K.At(a, b)+bending/(h*h*h)*bend[i][j]+pull/(30*h)*pulled[i][j])
				M.SetSym(a, b, M.At(a, b)+w*h/420*heavy[i][j])
			}
		}
	}
	M.SetSym(elements, elements, M.At(elements, elements)+mass)
	var free []int
	for i := range size {
		end := i < 2 || i >= size-2
		if end && (i%2 == 0 || clamped) {
			continue
		}
		free = append(free, i)
	}
	k, m := mat.NewSymDense(len(free), nil), mat.NewSymDense(len(free), nil)
	for i, a := range free {
		for j := i; j < len(free); j++ {
			k.SetSym(i, j, K.At(a, free[j]))
			m.SetSym(i, j, M.At(a, free[j]))
		}
	}
	var ch mat.Cholesky
	if !ch.Factorize(m) {
		panic("mass matrix is not positive")
	}
	var l mat.TriDense
	ch.LTo(&l)
	var half, whole mat.Dense
	if half.Solve(&l, k) != nil || whole.Solve(&l, half.T()) != nil {
		panic("singular")
	}
	sym := mat.NewSymDense(len(free), nil)
	for i := range free {
		for j := i; j < len(free); j++ {
			sym.SetSym(i, j, (whole.At(i, j)+whole.At(j, i))/2)
		}
	}
	var eig mat.EigenSym
	if !eig.Factorize(sym, false) {
		panic("no eigenvalues")
	}
	f := eig.Values(nil)[:count]
	for i, v := range f {
		f[i] = math.Sqrt(v) / (2 * math.Pi)
	}
	return f
}

// A clamped string with a clip sounds as a pinned one that is shorter by what clamping
// takes, of the same mass per length and the same clip: what is heard as if of pinned
// ends is undone by raise. (Fletcher's law is that of the same B for both, which the
// shorter string has if it bends the more easily.)
func TestClampedClipIsAShorterPinnedOne(t *testing.T) {
	const length, pull, w, mass = 0.864, 160.0, 0.018, 0.8e-3
	for _, k := range []struct {
		b      Inharmonicity
		within float64 // cents; a clip's effect is some tens
	}{{5e-5, 0.02}, {3e-4, 0.2}} {
		b := k.b
		bending := float64(StiffnessOf(b, pull, length))
		c := ClampRaise(b)
		clamped := beam(length, pull, w, bending, mass, true, 10)
		pinned := beam(length/c, pull, w, bending/(c*c), mass, false, 10)
		for i := range clamped {
			if off := 1200 * math.Log2(clamped[i]/pinned[i]); math.Abs(off) > k.within {
				t.Errorf("B %g: partial %d clamped lies %.4f cents off that of the shorter string", float64(b), i+1, off)
			}
		}
		heard := Clip{
			Mass: Stated[Mass](mass, 1e-6), Length: Stated[Length](length, 0), Ratio: mass / (w * length / c), RatioU: 1e-6,
			F0: Stated(FrequencyOf(pull, w, Length(length/c)), 0), B: Stated(b, 0), Ends: EndsClamped,
		}
		if mu := must(heard.UnitWeight()); math.Abs(float64(mu.Value)/w-1) > 1e-9 {
			t.Errorf("B %g: unit weight %v, want %v", float64(b), mu.Value, w)
		}
		if got := must(heard.Tension()); math.Abs(float64(got.Value)/pull-1) > 1e-9 {
			t.Errorf("B %g: tension %v, want %v", float64(b), got.Value, pull)
		}
	}
}

// The distributions themselves (JCGM 101:2008) beside the budget.
func TestClipMonteCarlo(t *testing.T) {
	c := clipped()
	c.Clock = Relative{U: 58e-6}
	c.RatioU, c.F0.U = 1e-4, 2e-3*c.F0.Value // of a size that their correlation matters
	mu, pull := must(c.UnitWeight()), must(c.Tension())
	r := rand.New(rand.NewPCG(3, 4))
	const draws = 200_000
	var m1, m2, t1, t2 float64
	raise := ClampRaise(c.B.Value)
	for range draws {
		x, y := r.NormFloat64(), r.NormFloat64()
		ratio := c.Ratio + c.RatioU*x
		f := float64(c.F0.Value) + float64(c.F0.U)*(c.Correlation*x+math.Sqrt(1-c.Correlation*c.Correlation)*y)
		f *= 1 + c.Clock.U*r.NormFloat64()
		mass := float64(c.Mass.Value) + float64(c.Mass.U)*r.NormFloat64()
		length := float64(c.Length.Value) + float64(c.Length.U)*r.NormFloat64()
		e := 1 + (raise-1)*r.Float64()
		w := mass / (ratio * length) * e
		p := 4 * w * (length / e) * (length / e) * f * f
		m1, m2, t1, t2 = m1+w, m2+w*w, t1+p, t2+p*p
	}
	for _, k := range []struct {
		what       string
		v, u, a, b float64
	}{{"unit weight", float64(mu.Value), float64(mu.U), m1, m2}, {"tension", float64(pull.Value), float64(pull.U), t1, t2}} {
		mean := k.a / draws
		sd := math.Sqrt(k.b/draws - mean*mean)
		if math.Abs(sd/k.u-1) > 0.015 || math.Abs(mean-k.v) > 0.02*k.u {
			t.Errorf("%s: %v ± %v, Monte Carlo %v ± %v", k.what, k.v, k.u, mean, sd)
		}
	}
}

// A workshop: whole measurements with random truths, ends anywhere between pinned and
// clamped, a balance, a rule and a sound that each err as they say. U holds the truth as
// often as it should.
func TestClipWorkshop(t *testing.T) {
	const count = 4000
	r := rand.New(rand.NewPCG(5, 6))
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	inW, inT := 0, 0
	for range count {
		length, w, pull := between(0.6, 1), between(0.5e-3, 20e-3), between(50, 200)
		b := Inharmonicity(between(1e-5, 3e-4))
		e := 1 + (ClampRaise(b)-1)*r.Float64() // by what the ends raise the frequencies
		mass := between(0.03, 0.12) * w * length
		ratio, f0 := mass/(w*length/e), float64(FrequencyOf(Force(pull), UnitWeight(w), Length(length)))*e
		c := Clip{Correlation: between(-0.5, 0.9), B: Stated(b, b*0.01), Clock: Relative{U: 58e-6}}
		c.RatioU = ratio * between(1e-4, 2e-3)
		c.F0.U = Frequency(f0 * between(1e-5, 2e-4))
		c.Mass.U, c.Length.U = Mass(mass*between(1e-3, 5e-3)), Length(between(0.2e-3, 1e-3))
		x, y := r.NormFloat64(), r.NormFloat64()
		c.Ratio = ratio + c.RatioU*x
		c.F0.Value = Frequency(f0+float64(c.F0.U)*(c.Correlation*x+math.Sqrt(1-c.Correlation*c.Correlation)*y)) * Frequency(1+c.Clock.U*r.NormFloat64())
		c.Mass.Value = Mass(mass) + c.Mass.U*Mass(r.NormFloat64())
		c.Length.Value = Length(length) + c.Length.U*Length(r.NormFloat64())
		mu, got := must(c.UnitWeight()), must(c.Tension())
		if math.Abs(float64(mu.Value)-w) < Coverage*float64(mu.U) {
			inW++
		}
		if math.Abs(float64(got.Value)-pull) < Coverage*float64(got.U) {
			inT++
		}
	}
	for what, in := range map[string]int{"unit weight": inW, "tension": inT} {
		// 95.4 % of normal ones; ends weigh in with a rectangle's, which U holds whole.
		if share := float64(in) / count; share < 0.945 || share > 0.975 {
			t.Errorf("%s: U holds %.1f %% of the truths", what, 100*share)
		}
	}
}

func TestClipRefused(t *testing.T) {
	for _, k := range []struct {
		change    func(*Clip)
		say, hint string
	}{
		{func(c *Clip) { c.Ratio = 0.4 }, "more than a third", "take one between"},
		{func(c *Clip) { c.Ratio = 0 }, "share of the mass must be positive", ""},
		{func(c *Clip) { c.Ratio = math.NaN() }, "share of the mass must be positive", ""},
		{func(c *Clip) { c.RatioU = math.Inf(1) }, "finite uncertainty", ""},
		{func(c *Clip) { c.Mass.Value = -1 }, "mass of the clip must be positive", ""},
		{func(c *Clip) { c.Length.Value = 0 }, "speaking length must be positive", ""},
		{func(c *Clip) { c.F0.Value = 0 }, "f0 must be positive", ""},
		{func(c *Clip) { c.Correlation = 1.5 }, "correlation", ""},
		{func(c *Clip) { c.B.Value = 2 }, "inharmonicity", ""},
		{func(c *Clip) { c.Ends = 9 }, "ends", "EndsPinned"},
		{func(c *Clip) { c.Clock.U = -1 }, "recorder clock", ""},
	} {
		c := clipped()
		k.change(&c)
		_, err := c.UnitWeight()
		_, too := c.Tension()
		var input *InputError
		if !errors.As(err, &input) || !errors.As(too, &input) {
			t.Errorf("%q: %v, %v", k.say, err, too)
			continue
		}
		if !strings.Contains(err.Error(), k.say) || !strings.Contains(input.Hint(), k.hint) {
			t.Errorf("%q, hint %q; want %q, %q", err, input.Hint(), k.say, k.hint)
		}
	}
}
