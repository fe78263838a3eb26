package detect

import (
	"fmt"
	"math"
	"math/cmplx"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
)

// blankFrame is a frame of n samples in which nothing sounds and nothing glides.
func blankFrame(n int, rate float64) *frame {
	bins := n/2 + 1
	return &frame{rate: rate, n: n, spec: make([]complex128, bins), rest: make([]complex128, bins),
		tw: twiddles(n), out: glide{alpha: 1}, now: glide{alpha: 1}}
}

// sound synthesises modes in time, each by its own exponential.
func sound(n int, rate float64, ms []mode) []float64 {
	x := make([]float64, n)
	for _, m := range ms {
		for i, v := range damped(n, rate, m.hz, m.alpha, cmplx.Abs(m.amp), cmplx.Phase(m.amp)) {
			x[i] += v
		}
	}
	return x
}

// lineAt is a line with bins [lo, hi).
func lineAt(m mode, lo, hi int) *line {
	return &line{hz: m.hz, alpha: m.alpha, amp: m.amp, lo: lo, hi: hi, used: true}
}

// nodeError is what interpolation in n Chebyshev nodes may make of 1/(x₀-x) on
// -1 … 1, relative: 1/T_n(x₀), here at x₀ = 2, a half-width beyond the edge (the
// error of interpolation is T_n(x)/T_n(x₀) of the function itself). 5.3e-5 with 8.
var nodeError = 1 / math.Cosh(nodes*math.Acosh(2))

// TestSubtractAll takes lines out of the transform (gonum's) of their own
// synthesis in time. Where a line is near a span nothing but rounding remains;
// what lines far away leak goes through the Chebyshev nodes.
func TestSubtractAll(t *testing.T) {
	const n, rate, width = 9000, 22050.0, 81
	bin := rate / n
	tests := []struct {
		name string
		at   []float64 // bins
		far  bool      // some line is far from some span
	}{
		{"one, on a bin", []float64{400}, false},
		{"one, between bins", []float64{400.37}, false},
		{"two that share a span", []float64{400, 410.2}, true}, // the second's own stretch is short
		{"one half-width beyond the edge", []float64{400, 481.6}, true},
		{"far", []float64{400, 2000.5}, true},
		{"lowest, its own image close", []float64{7.3}, false},
		{"low, an image half a width away", []float64{52.4, 300}, true},
		{"close to half the rate", []float64{3000, 4400.5}, true},
		{"a comb", []float64{100.1, 200.3, 300.9, 402, 504, 607, 711, 816, 922, 1030.5}, true},
	}
	for _, tt := range tests {
		for _, alpha := range []float64{0.01, 1.5, 40} {
			t.Run(fmt.Sprintf("%s, decay %g", tt.name, alpha), func(t *testing.T) {
				fr := blankFrame(n, rate)
				var lines []*line
				var ms []mode
				for i, b := range tt.at {
					m := mode{b * bin, alpha, cmplx.Rect(0.5/float64(i+1), 0.7*float64(i)+0.4)}
					ms = append(ms, m)
					c := int(b + 0.5)
					lines = append(lines, lineAt(m, max(1, c-width/2), min(n/2, c+width/2+1)))
				}
				fr.spec = fourier.NewFFT(n).Coefficients(nil, sound(n, rate, ms))
				fr.setSpans(lines)
				fr.subtractAll(lines, nil, true)
				top := 0.0
				for _, v := range fr.spec {
					top = max(top, cmplx.Abs(v))
				}
				// 1-q carries a rounding of ε, and is no smaller than α/rate.
				rounding := (1e-14 + 4e-16*rate/alpha) * top
				far := false
				for _, sp := range fr.spans {
					for k := sp.lo; k < sp.hi; k++ {
						tol := rounding
						for _, m := range ms {
							if v := fr.wave(m); !sp.near(v.bin) {
								tol += nodeError * farthest(fr, sp, v)
								far = true
							}
						}
						if left := cmplx.Abs(fr.rest[k]); left > tol {
							t.Fatalf("bin %d: %.1e is left of %.1e, want at most %.1e", k, left, cmplx.Abs(fr.spec[k]), tol)
						}
					}
				}
				if far != tt.far {
					t.Errorf("some line is far: %v, want %v", far, tt.far)
				}
			})
		}
	}
}

// farthest is the most that a wave, exactly evaluated, leaks into a span.
func farthest(fr *frame, sp span, v wave) float64 {
	top := 0.0
	for k := sp.lo; k < sp.hi; k++ {
		top = max(top, cmplx.Abs(v.at(fr.tw[k])))
	}
	return top
}

// TestSpanError: what the nodes make of one far line at every allowed distance
// and width, against exact evaluation.
func TestSpanError(t *testing.T) {
	const n, rate = 20000, 22050.0
	fr := blankFrame(n, rate)
	for _, width := range []int{2, 9, 33, 81, 241} {
		lo := 3000
		sp := newSpan(lo, lo+width, n, nil)
		worst := 0.0
		for _, beyond := range []float64{0.5, 0.6, 0.8, 1, 2, 3.1, 3.2, 5, 10} { // widths from the edge
			for _, c := range []float64{float64(lo) - beyond*float64(width) - 0.01, float64(lo+width) + beyond*float64(width) + 0.01} {
				if sp.near(c) {
					t.Fatalf("a line %g widths away is called near", beyond)
				}
				v := fr.wave(mode{c * rate / n, 2, 1})
				got := make([]complex128, n/2+1)
				sp.leak([]wave{v})
				sp.spread(got, &sp.far)
				for k := sp.lo; k < sp.hi; k++ {
					want := v.at(fr.tw[k])
					worst = max(worst, cmplx.Abs(got[k]+want)/cmplx.Abs(want))
				}
			}
		}
		t.Logf("%d bins: %.1e", width, worst)
		if worst > nodeError {
			t.Errorf("a span of %d bins renders a far line to %.1e of it, want %.1e", width, worst, nodeError)
		}
		for _, c := range []float64{float64(lo), float64(lo + width), float64(lo) - 0.49*float64(width), float64(lo+width) + 0.49*float64(width)} {
			if !sp.near(c) {
				t.Errorf("a line at bin %g is called far from [%d, %d)", c, sp.lo, sp.hi)
			}
		}
	}
}

func TestSetSpansAreDisjoint(t *testing.T) {
	fr := blankFrame(2000, 22050)
	lines := []*line{{lo: 300, hi: 381}, {lo: 100, hi: 181}, {lo: 170, hi: 251}, {lo: 120, hi: 137}, {lo: 90, hi: 110}}
	fr.setSpans(lines)
	seen := map[int]int{}
	for _, sp := range fr.spans {
		for k := sp.lo; k < sp.hi; k++ {
			seen[k]++
		}
	}
	for k := range 1000 {
		want := 0
		if k >= 90 && k < 251 || k >= 300 && k < 381 {
			want = 1
		}
		if seen[k] != want {
			t.Fatalf("bin %d lies in %d spans, want %d", k, seen[k], want)
		}
	}
}

// TestSubtractBend: a mode whose phase is bent by a small glide error leaves,
// after its straight model and the first-order bend, a remainder that falls with
// the square of the error.
func TestSubtractBend(t *testing.T) {
	const n, rate = 11000, 22050.0
	fr := blankFrame(n, rate)
	left := func(dg, dAlpha float64) (bent, rest float64) {
		fr.out = glide{g: 0.002, alpha: 1.2}
		fr.now = glide{g: 0.002 + dg, alpha: 1.2 * math.Exp(dAlpha)}
		m := mode{hz: 1500, alpha: 3, amp: cmplx.Rect(0.3, 0.5)}
		m.hz *= 1 + fr.meanLeft() // the line carries the mean
		x := make([]float64, n)
		for i := range x {
			s := float64(i) / rate
			runs := 1500 * (s + fr.now.ahead(s) - fr.out.ahead(s))
			x[i] = 0.3 * math.Exp(-3*s) * math.Cos(2*math.Pi*runs+0.5)
		}
		fr.spec = fourier.NewFFT(n).Coefficients(nil, x)
		c := int(m.hz/rate*n + 0.5)
		l := lineAt(m, c-40, c+41)
		fr.setSpans([]*line{l})
		fr.subtractAll([]*line{l}, nil, true)
		for k := l.lo; k < l.hi; k++ {
			bent = max(bent, cmplx.Abs(fr.rest[k]))
		}
		fr.subtractAll([]*line{l}, []*line{l}, true)
		for k := l.lo; k < l.hi; k++ {
			rest = max(rest, cmplx.Abs(fr.rest[k]))
		}
		return bent, rest
	}
	for _, d := range [][2]float64{{1e-4, 0}, {0, 0.05}, {-5e-5, 0.03}} {
		bent, rest := left(d[0], d[1])
		bent2, rest2 := left(d[0]/2, d[1]/2)
		t.Logf("error %v: bend %.2e, left %.2e; half of it: %.2e, %.2e", d, bent, rest, bent2, rest2)
		if rest > 0.15*bent {
			t.Errorf("error %v: %.2e of a bend of %.2e is left", d, rest, bent)
		}
		if r := rest / rest2; r < 3.4 || r > 4.6 {
			t.Errorf("error %v: what is left falls %.2f-fold when the error halves, want 4", d, r)
		}
	}
}

// TestSubtractFade: a mode whose glide was taken out by running the sound in its own
// time fades by the clock all the same; what its straight model leaves goes but for the
// second order.
func TestSubtractFade(t *testing.T) {
	const n, rate, hz, alpha = 24000, 24000.0, 600.0, 2.0
	gl := glide{g: 0.01, alpha: 1}
	x := make([]float64, n+200)
	for i := range x {
		s := float64(i) / rate
		x[i] = 0.3 * math.Exp(-alpha*s) * math.Cos(2*math.Pi*hz*(s+gl.ahead(s))+0.5)
	}
	buf := make([]float64, n)
	unglide(buf, x, 0, rate, gl)
	fr := blankFrame(n, rate)
	fr.out, fr.now = gl, gl
	fr.spec = fourier.NewFFT(n).Coefficients(nil, buf)
	l := lineAt(mode{hz, alpha, cmplx.Rect(0.3, 0.5)}, 570, 631)
	fr.setSpans([]*line{l})
	left := func() (worst float64) {
		fr.subtractAll([]*line{l}, []*line{l}, true)
		for k := l.lo; k < l.hi; k++ {
			worst = max(worst, cmplx.Abs(fr.rest[k]))
		}
		return worst
	}
	l.snr = 1 // too faint for it to be seen
	straight := left()
	l.snr = 1e8
	if faded := left(); faded > 0.02*straight || straight < 1 {
		t.Errorf("left of the spectrum: %.3g, of the straight model alone %.3g", faded, straight)
	}
}

// TestStart: with one line alone, projection finds its amplitude and phase.
func TestStart(t *testing.T) {
	const n, rate = 8000, 24000.0
	fr := blankFrame(n, rate)
	m := mode{1234.5, 5, cmplx.Rect(0.25, -2)}
	fr.spec = fourier.NewFFT(n).Coefficients(nil, sound(n, rate, []mode{m}))
	copy(fr.rest, fr.spec)
	c := int(m.hz / rate * n)
	l := lineAt(mode{m.hz, m.alpha, 0}, c-40, c+41)
	fr.start(l)
	// The image at negative frequencies is left aside: some 1/(4πft) of it.
	if cmplx.Abs(l.amp-m.amp) > 1e-3*cmplx.Abs(m.amp) {
		t.Errorf("amplitude %v, want %v", l.amp, m.amp)
	}
}
