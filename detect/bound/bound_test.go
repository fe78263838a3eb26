package bound

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

func limits(t *testing.T, s Signal, samples int, k Known) Bound {
	t.Helper()
	in, err := s.Information(0, samples)
	if err != nil {
		t.Fatal(err)
	}
	b, err := in.Bound(k)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func within(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got/want-1) <= relative) {
		t.Errorf("%s: %.6g, want %.6g within %g", what, got, want, relative)
	}
}

// One undamped sinusoid of unknown frequency, amplitude and phase: var f ≥
// 6 f_s²σ²/(π²A²N(N²−1)) (Kay, Estimation Theory, example 3.14; number from memory).
// That its decay is unknown as well costs nothing.
func TestOneSinusoid(t *testing.T) {
	for _, c := range []struct {
		f0, rate, amp, sigma float64
		n                    int
	}{
		{440, 8000, 0.3, 0.01, 8000},
		{100, 48000, 1, 1, 24000},
		{1234.5, 16000, 1e-6, 1e-3, 20000},
	} {
		s := Signal{F0: c.f0, GlideDecay: 1, Rate: c.rate, Sigma: c.sigma, Partials: []Partial{{1, c.amp, 0.7, 0}}}
		n := float64(c.n)
		want := math.Sqrt(6 * c.rate * c.rate * c.sigma * c.sigma / (math.Pi * math.Pi * c.amp * c.amp * n * (n*n - 1)))
		within(t, "f0", limits(t, s, c.n, Soft).F0, want, 1e-3)
	}
}

// A sinusoid that dies within the samples. With e_k = Σ t^k exp(−2αt) A²/2σ², of
// which the sum is the integral k!/(2α)^(k+1) times the rate, the frequency's own
// information is (2π)²(e₂ − e₁²/e₀), so that var f = 4α³σ²/(π²A²f_s) (derived).
func TestDampedSinusoid(t *testing.T) {
	for _, alpha := range []float64{10, 30} {
		const f0, rate, amp, sigma = 1000.0, 16000.0, 0.2, 0.01
		s := Signal{F0: f0, GlideDecay: 1, Rate: rate, Sigma: sigma, Partials: []Partial{{1, amp, -1, alpha}}}
		want := math.Sqrt(4 * alpha * alpha * alpha * sigma * sigma / (math.Pi * math.Pi * amp * amp * rate))
		within(t, "f0", limits(t, s, int(12/alpha*rate), Soft).F0, want, 3e-3)
	}
}

// Undamped partials k of a string, f0 and B unknown: with S_m = Σ A_k² k^m, W =
// π²N(N²−1)/(6 f_s²σ²) and D = S₂S₆ − S₄², var f0 ≥ S₆/(WD) and var B ≥
// 4S₂/(f0²WD) (derived for small B, from the sinusoid's bound and orthogonal partials).
func TestUndampedString(t *testing.T) {
	const f0, rate, sigma, n = 110.0, 16000.0, 0.02, 32000
	s := Signal{F0: f0, B: 1e-7, GlideDecay: 1, Rate: rate, Sigma: sigma}
	m := map[int]float64{}
	for k := 1; k <= 20; k++ {
		a := 0.1 / float64(k)
		s.Partials = append(s.Partials, Partial{k, a, float64(k * k), 0})
		for _, p := range []int{2, 4, 6} {
			m[p] += a * a * math.Pow(float64(k), float64(p))
		}
	}
	w := math.Pi * math.Pi * n * (n*float64(n) - 1) / (6 * rate * rate * sigma * sigma)
	d := m[2]*m[6] - m[4]*m[4]
	got := limits(t, s, n, Steady)
	within(t, "f0", got.F0, math.Sqrt(m[6]/(w*d)), 2e-3)
	within(t, "B", got.B, math.Sqrt(4*m[2]/(f0*f0*w*d)), 2e-3)
	within(t, "f0 with B known", limits(t, s, n, Soft).F0, math.Sqrt(1/(w*m[2])), 2e-3)
	if g := limits(t, s, n, Gliding); g.F0 < got.F0 || g.B < got.B*(1-1e-9) {
		t.Errorf("an unknown glide lowers the bound from %v to %v", got, g)
	}
}

// rigid is a signal with all that a signal may have.
func rigid() Signal {
	return Signal{F0: 82.4, B: 1.2e-4, Glide: 0.004, GlideDecay: 3, Rate: 8000, Sigma: 0.01,
		Partials: []Partial{{1, 0.2, 0.3, 1.5}, {2, 0.15, 2, 2}, {3, 0.1, -1, 2.5}, {7, 0.05, 1, 6}, {12, 0.02, 4, 40}}}
}

// sample is the signal's definition, written out.
func sample(s Signal, t float64) (x float64) {
	w := t + s.Glide*(1-math.Exp(-s.GlideDecay*t))/s.GlideDecay
	for _, p := range s.Partials {
		n := float64(p.N)
		x += p.Amp * math.Exp(-p.Decay*t) * math.Cos(2*math.Pi*n*s.F0*math.Sqrt(1+s.B*n*n)*w+p.Phase)
	}
	return x
}

// TestDerivatives holds the columns against central differences of the samples.
func TestDerivatives(t *testing.T) {
	base := rigid()
	change := func(i int, by float64) Signal {
		s := base
		s.Partials = append([]Partial(nil), base.Partials...)
		switch {
		case i == iLogF0:
			s.F0 *= math.Exp(by)
		case i == iB:
			s.B += by
		case i == iGlide:
			s.Glide += by
		default:
			p := &s.Partials[(i-common)/own]
			*[]*float64{&p.Amp, &p.Phase, &p.Decay}[(i-common)%own] += by
		}
		return s
	}
	all := []int{0, 1, 2, 3, 4}
	row := make([]float64, common+own*len(all))
	for _, at := range []float64{0, 0.013, 0.4, 1.7} {
		base.derivatives(row, at, all)
		for i, got := range row {
			h := 1e-7
			if i == iB {
				h = 1e-9 // which turns the 12th partial as far
			}
			want := (sample(change(i, h), at) - sample(change(i, -h), at)) / (2 * h)
			if math.Abs(got-want) > 1e-6*(1+math.Abs(want)) {
				t.Errorf("unknown %d at %g s: %.9g, differences say %.9g", i, at, got, want)
			}
		}
	}
}

// TestBlocks: leaving out spent partials, and cutting the samples, changes nothing.
func TestBlocks(t *testing.T) {
	s := rigid()
	const n = 12000
	whole, err := s.Information(0, n)
	if err != nil {
		t.Fatal(err)
	}
	j := mat.NewDense(n, whole.f.SymmetricDim(), nil)
	for k := range n {
		s.derivatives(j.RawRowView(k), float64(k)/s.Rate, []int{0, 1, 2, 3, 4})
	}
	var slow mat.Dense
	slow.Mul(j.T(), j)
	slow.Scale(1/(s.Sigma*s.Sigma), &slow)
	const cut = 777
	head, err1 := s.Information(0, cut)
	tail, err2 := s.Information(cut/s.Rate, n-cut)
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	sum := head.Plus(tail)
	for a := range common + own*len(s.Partials) {
		for b := range common + own*len(s.Partials) {
			want, tol := slow.At(a, b), 1e-9*math.Sqrt(slow.At(a, a)*slow.At(b, b))
			if math.Abs(whole.f.At(a, b)-want) > tol || math.Abs(sum.f.At(a, b)-want) > tol {
				t.Errorf("unknowns %d, %d: %g by blocks, %g of two cuts, %g of all columns at once",
					a, b, whole.f.At(a, b), sum.f.At(a, b), want)
			}
		}
	}
	for _, k := range []Known{Steady, Gliding, Soft} {
		a, err1 := whole.Bound(k)
		b, err2 := tail.Bound(k)
		if err := errors.Join(err1, err2); err != nil || b.F0 < a.F0 || b.B < a.B {
			t.Errorf("%d: less sound lowers the bound from %v to %v, %v", k, a, b, err)
		}
	}
}

// TestAttained: least squares from the truth, on many draws of the noise, scatters
// as the bound says.
func TestAttained(t *testing.T) {
	s := Signal{F0: 110, B: 3e-4, GlideDecay: 2, Rate: 2000, Sigma: 0.02,
		Partials: []Partial{{1, 0.3, 1, 3}, {2, 0.2, 2, 4}, {4, 0.2, -1, 6}}}
	const n, draws = 800, 400
	least := limits(t, s, n, Steady)
	r := rand.New(rand.NewPCG(5, 6))
	active := []int{0, 1, 2}
	row := make([]float64, common+own*len(active))
	var f0, b float64
	for range draws {
		noise := make([]float64, n)
		for k := range noise {
			noise[k] = s.Sigma * r.NormFloat64()
		}
		fit := s
		fit.Partials = append([]Partial(nil), s.Partials...)
		for range 3 {
			j, y := mat.NewDense(n, len(row)-1, nil), mat.NewVecDense(n, nil)
			for k := range n {
				at := float64(k) / s.Rate
				fit.derivatives(row, at, active)
				j.SetRow(k, append([]float64{row[iLogF0], row[iB]}, row[common:]...))
				y.SetVec(k, sample(s, at)+noise[k]-sample(fit, at))
			}
			var x mat.VecDense
			if err := x.SolveVec(j, y); err != nil {
				t.Fatal(err)
			}
			fit.F0 *= math.Exp(x.AtVec(0))
			fit.B += x.AtVec(1)
			for i := range fit.Partials {
				p := &fit.Partials[i]
				p.Amp += x.AtVec(2 + own*i + dAmp)
				p.Phase += x.AtVec(2 + own*i + dPhase)
				p.Decay += x.AtVec(2 + own*i + dDecay)
			}
		}
		f0 += (fit.F0 - s.F0) * (fit.F0 - s.F0) / draws
		b += (fit.B - s.B) * (fit.B - s.B) / draws
	}
	// 400 draws tell a standard deviation to 3.5 %.
	within(t, "scatter of f0", math.Sqrt(f0), least.F0, 0.1)
	within(t, "scatter of B", math.Sqrt(b), least.B, 0.1)
}

func TestNoBound(t *testing.T) {
	one := rigid()
	one.Partials = one.Partials[:1]
	none := rigid()
	none.Partials = nil
	for _, c := range []struct {
		name string
		s    Signal
		n    int
		k    Known
	}{
		{"B from one partial", one, 8000, Steady},
		{"no partials", none, 8000, Soft},
		{"no samples", rigid(), 0, Steady},
		{"fewer samples than unknowns", rigid(), 10, Steady},
	} {
		in, err := c.s.Information(0, c.n)
		if err != nil {
			t.Fatal(err)
		}
		if b, err := in.Bound(c.k); !errors.Is(err, ErrNoBound) || b != (Bound{}) {
			t.Errorf("%s: %v, %v", c.name, b, err)
		}
	}
	if _, err := rigid().Information(math.NaN(), 5); err == nil {
		t.Error("NaN as a time is accepted")
	}
	nan := math.NaN()
	for name, spoil := range map[string]func(*Signal){
		"f0":             func(s *Signal) { s.F0 = 0 },
		"B":              func(s *Signal) { s.B = nan },
		"glide":          func(s *Signal) { s.Glide = -1 },
		"glide decay":    func(s *Signal) { s.GlideDecay = 0 },
		"rate":           func(s *Signal) { s.Rate = math.Inf(1) },
		"noise":          func(s *Signal) { s.Sigma = nan },
		"number":         func(s *Signal) { s.Partials[0].N = 0 },
		"twice a number": func(s *Signal) { s.Partials[0].N = 2 },
		"amplitude":      func(s *Signal) { s.Partials[0].Amp = 0 },
		"phase":          func(s *Signal) { s.Partials[0].Phase = nan },
		"decay":          func(s *Signal) { s.Partials[0].Decay = -1 },
		"Nyquist":        func(s *Signal) { s.Partials[0].N = 60 },
	} {
		s := rigid()
		spoil(&s)
		if _, err := s.Information(0, 100); err == nil {
			t.Errorf("a wrong %s is accepted", name)
		}
	}
}

func BenchmarkInformation(b *testing.B) {
	s := Signal{F0: 55, B: 5e-5, GlideDecay: 1, Rate: 48000, Sigma: 0.01}
	for k := 1; k <= 40; k++ {
		s.Partials = append(s.Partials, Partial{k, 0.1, 1, 0.8 + 2*math.Pow(0.055*float64(k), 2)})
	}
	for b.Loop() {
		in, err := s.Information(0, 96000)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := in.Bound(Steady); err != nil {
			b.Fatal(err)
		}
	}
}
