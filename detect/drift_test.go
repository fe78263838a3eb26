package detect

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
)

// drifting is a pitch over time of n frames, a frame every 25 ms, each weighing what
// a sound that dies by alpha leaves of it, and noise of standard deviation sigma in
// a frame of weight 1.
func drifting(n int, alpha, sigma float64, seed uint64, shift func(t float64) float64) bend {
	r := rand.New(rand.NewPCG(seed, 11))
	var b bend
	for i := range n {
		t := 0.05 + 0.025*float64(i)
		w := math.Exp(-2 * alpha * t)
		b.t = append(b.t, t)
		b.weight = append(b.weight, w)
		b.shift = append(b.shift, shift(t)+sigma/math.Sqrt(w)*r.NormFloat64())
	}
	return b
}

// TestFall: least squares give a curve of their own kind back, exactly where there
// is no noise, and with noise as often within varG as a normal error is; what is
// left then is that of the degrees of freedom.
func TestFall(t *testing.T) {
	const rest, g, slope, a = 12 * cent, 9 * cent, -7 * cent, 1.3
	curve := func(s float64) func(t float64) float64 {
		return func(t float64) float64 { return rest + g*math.Exp(-2*a*t) + s*t }
	}
	for _, c := range []struct {
		name    string
		sloping bool
		slope   float64
		dof     float64
	}{
		{"a glide", false, 0, 58},
		{"a glide, a slope thought of", true, 0, 57},
		{"a glide and a slope", true, slope, 57},
	} {
		got := drifting(60, a, 0, 0, curve(c.slope)).fall(a, c.sloping)
		if !got.ok {
			t.Fatalf("%s: no fit", c.name)
		}
		near(t, c.name+": rest", got.rest, rest, 1e-12)
		near(t, c.name+": g", got.g, g, 1e-12)
		near(t, c.name+": slope", got.slope, c.slope, 1e-12)
		near(t, c.name+": left", got.left, 0, 1e-20)

		const sigma, runs = 0.5 * cent, 400
		var pull, left []float64
		for i := range uint64(runs) {
			got := drifting(60, a, sigma, i, curve(c.slope)).fall(a, c.sloping)
			pull = append(pull, (got.g-g)/(sigma*math.Sqrt(got.varG)))
			left = append(left, got.left/(sigma*sigma))
		}
		m, sd := stat.MeanStdDev(pull, nil)
		near(t, c.name+": mean pull of g", m, 0, 4/math.Sqrt(runs))
		near(t, c.name+": spread of its pulls", sd, 1, 4/math.Sqrt(2*runs))
		m, _ = stat.MeanStdDev(left, nil)
		near(t, c.name+": squares left", m, c.dof, 4*math.Sqrt(2*c.dof/runs))
	}
	if c := (bend{}).fall(a, false); c.ok {
		t.Error("nothing has a fit")
	}
	if c := drifting(2, a, 0, 0, curve(slope)).fall(a, true); c.ok {
		t.Error("two frames have a fit of three parameters")
	}
}

// TestGlideSlopes: a peg that turns is told from a glide and from noise, and never
// where no slope is thought of.
func TestGlideSlopes(t *testing.T) {
	const a = 1.2
	gliding := func(g float64) func(float64) float64 {
		return func(t float64) float64 { return g * cent * math.Exp(-2*a*t) }
	}
	tests := []struct {
		name   string
		frames int
		shift  func(t float64) float64
		want   float64 // slope, cents a second
		tol    float64
	}{
		{"steady", 100, func(float64) float64 { return 0 }, 0, 0},
		{"a glide of 2 cents", 100, gliding(2), 0, 0},
		{"a glide of 15 cents", 100, gliding(15), 0, 0},
		{"turned up", 100, func(t float64) float64 { return 20 * cent * t }, 20, 0.2},
		{"turned down", 100, func(t float64) float64 { return -3 * cent * t }, -3, 0.2},
		{"turned up while it glides", 100, func(t float64) float64 { return gliding(10)(t) + 5*cent*t }, 5, 0.5},
		{"turned down while it glides", 100, func(t float64) float64 { return gliding(10)(t) - 5*cent*t }, -5, 0.5},
		{"less than a cent in all", 100, func(t float64) float64 { return 0.3 * cent * t }, 0, 0},
		{"too few frames", 8, func(t float64) float64 { return 60 * cent * t }, 0, 0},
	}
	for _, tt := range tests {
		b := drifting(tt.frames, a, 0.1*cent, 7, tt.shift)
		_, gl, u := b.glide(a/glideTie, a*glideTie, true)
		near(t, tt.name+": slope, cents a second", gl.slope/cent, tt.want, tt.tol)
		if gl.slope != 0 && u != gSpread {
			t.Errorf("%s: with a slope the glide is known to %g", tt.name, u)
		}
		if _, gl, _ := b.glide(a/glideTie, a*glideTie, false); gl.slope != 0 {
			t.Errorf("%s: a slope that nobody asked for, %g", tt.name, gl.slope)
		}
	}
}

// TestBeatsAreNoSlope: the partials of a string with two polarisations beat each at
// a rate of its own, so that together they do not look like a turning peg.
func TestBeatsAreNoSlope(t *testing.T) {
	const rate, a = 22050.0, 1.2
	for _, f0 := range []float64{55, 110, 220} {
		for _, off := range []float64{-3, -1.5, -0.5, 0.5, 1.5, 3} {
			l := law{f0, 1e-4}
			x := whiteNoise(int(2.5*rate), 1e-5, 4)
			for n := 1; n <= 10; n++ {
				amp, phase := 0.1/float64(n), float64(n)
				x = plus(x, damped(len(x), rate, l.hz(n), a, amp, phase))
				x = plus(x, damped(len(x), rate, l.hz(n)*math.Exp(off*cent), 0.8*a, 0.5*amp, phase))
			}
			b := follow(x, 0, rate, 2.5, hypothesisOf(l, 10), nil)
			if _, gl, _ := b.glide(a/glideTie, a*glideTie, true); gl.slope != 0 {
				t.Errorf("%g Hz, two polarisations %g cents apart: slope of %.2f cents a second", f0, off, gl.slope/cent)
			}
		}
	}
}

// TestGlideRecovers: rest and glide come back within their scatter, and without
// frames enough there is no glide.
func TestGlideRecovers(t *testing.T) {
	const rest, g, a, sigma = -4 * cent, 8 * cent, 1.5, 0.2 * cent
	for i := range uint64(20) {
		b := drifting(80, a, sigma, i, func(t float64) float64 { return rest + g*math.Exp(-2*a*t) })
		for _, sloping := range []bool{false, true} {
			what := fmt.Sprintf("run %d, sloping %v: ", i, sloping)
			got, gl, u := b.glide(slowGlide, fastGlide, sloping)
			// α is tried in steps of a quarter, which moves the others.
			near(t, what+"rest, cents", got/cent, rest/cent, 1)
			near(t, what+"glide, cents", gl.g/cent, g/cent, 1.5)
			near(t, what+"ln α", math.Log(gl.alpha/a), 0, math.Log(1.4))
			if gl.slope != 0 {
				t.Errorf("%sslope %g", what, gl.slope)
			}
			if known := sigma * math.Sqrt(b.fall(gl.alpha, false).varG); u < 0.7*known || u > 1.5*known {
				t.Errorf("%sg known to %.3f cents, want %.3f", what, u/cent, known/cent)
			}
		}
		few := bend{b.t[:3], b.shift[:3], b.weight[:3]}
		if rest, gl, u := few.glide(slowGlide, fastGlide, true); rest != 0 || gl.g != 0 || gl.slope != 0 || u != gSpread {
			t.Errorf("of three frames: rest %g, glide %v, u %g", rest, gl, u)
		}
	}
}

// TestOddGlide: what falls as the string dies is a glide, and anything else may be a
// peg.
func TestOddGlide(t *testing.T) {
	const low = 1.5
	turning := drifting(100, low, 0.1*cent, 3, func(t float64) float64 { return 6 * cent * t })
	for _, c := range []struct {
		name string
		gl   glide
		u    float64 // of ln α
		b    bend
		want bool
	}{
		{"none", glide{g: 0, alpha: 5}, 0.05, bend{}, false},
		{"a glide that dies as the string does", glide{g: 9 * cent, alpha: 1.6}, 0.05, bend{}, false},
		{"too small to tell", glide{g: 0.4 * cent, alpha: 0.5}, 0.05, bend{}, false},
		{"too slow", glide{g: 2 * cent, alpha: 1.1}, 0.05, bend{}, true},
		{"too slow, perhaps", glide{g: 2 * cent, alpha: 1.1}, 0.3, bend{}, false},
		{"too fast", glide{g: 2 * cent, alpha: 2}, 0.05, bend{}, true},
		{"rising", glide{g: -0.5 * cent, alpha: low}, 0.05, bend{}, true},
		{"a slope in the pitch over time", glide{g: 0, alpha: low}, 0.05, turning, true},
	} {
		f := &fit{law: law{110, 1e-4}, gl: c.gl, bend: c.b, cov: mat.NewSymDense(params, nil)}
		f.cov.SetSym(3, 3, c.u*c.u)
		for n := 1; n <= 6; n++ {
			// The lowest hold the stretch, however fast the highest die.
			f.lines = append(f.lines, &line{n: n, alpha: low + 0.01*float64(n*n-1), amp: 1, snr: 1e4, used: true})
		}
		if got := f.oddGlide(); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
	f := &fit{law: law{110, 1e-4}, gl: glide{g: 9 * cent, alpha: 9}, bend: turning}
	if f.oddGlide() {
		t.Error("a string of which nothing is heard has a glide")
	}
}

// TestTied: a fit that is tied keeps the glide's decay within bounds of the
// string's and may have a slope; one that is not may have none.
func TestTied(t *testing.T) {
	h := hypothesisOf(law{110, 1e-4}, 6)
	turning := drifting(100, 1, 0.1*cent, 3, func(t float64) float64 { return 6 * cent * t })
	free := newFit(h, turning, false)
	tied := newFit(h, turning, true)
	near(t, "slope of the tied, cents a second", tied.gl.slope/cent, 6, 0.2)
	if free.gl.slope != 0 {
		t.Errorf("slope of the free %g", free.gl.slope)
	}
	if s := free.slopeSpread(); s > 1e-6*cent {
		t.Errorf("the free may have a slope of %g", s)
	}
	if s := tied.slopeSpread(); s < sSpread || s < 0.3*5*cent {
		t.Errorf("the tied may be off by %g only", s)
	}
	tied.expect(0.8, 2)
	if tied.slowest != 0.8 || tied.fastest != 2 || tied.gl.alpha < 0.8 || tied.gl.alpha > 2 {
		t.Errorf("tied to 0.8 … 2, it may lie within %g … %g and is %g", tied.slowest, tied.fastest, tied.gl.alpha)
	}
}
