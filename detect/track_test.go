package detect

import (
	"fmt"
	"math"
	"testing"
)

// bent is a string of ten partials whose pitch departs from rest by run, in
// seconds: the integral of the relative shift.
func bent(n int, rate float64, l law, alpha float64, run func(t float64) float64) []float64 {
	x := whiteNoise(n, 1e-5, 4)
	for k := 1; k <= 10; k++ {
		for i := range x {
			t := float64(i) / rate
			x[i] += 0.1 / float64(k) * math.Exp(-alpha*t) * math.Cos(2*math.Pi*l.hz(k)*(t+run(t))+float64(k))
		}
	}
	return x
}

// hypothesisOf matches every partial of a law at its place.
func hypothesisOf(l law, partials int) hypothesis {
	h := hypothesis{law: l}
	for n := 1; n <= partials; n++ {
		h.matches = append(h.matches, match{n, peak{hz: l.hz(n), db: -20 - 20*math.Log10(float64(n)), snrDB: 60}})
	}
	return h
}

// TestFollowGlide: the pitch over time of a glide is what was put in, and the fit
// to it gives the glide back.
func TestFollowGlide(t *testing.T) {
	const rate = 22050.0
	for _, l := range []law{{41.2, 6e-5}, {110, 1e-4}, {440, 3e-5}} {
		want := glide{g: 0.0058, alpha: 1.6} // 10 cents
		x := bent(int(2*rate), rate, l, want.alpha, want.ahead)
		b := follow(x, 0, rate, 2, hypothesisOf(l, 10), nil)
		if len(b.t) < 10 {
			t.Fatalf("%v: %d frames", l, len(b.t))
		}
		worst := 0.0
		for i, s := range b.t {
			worst = max(worst, math.Abs(b.shift[i]-want.g*math.Exp(-2*want.alpha*s)))
		}
		rest, gl, u := b.glide(slowGlide, fastGlide, false)
		t.Logf("%v: %d frames, worst off by %.3f cents; rest %+.3f cents, glide %.2f cents (u %.2f) at α %.2f",
			l, len(b.t), 1731*worst, 1731*rest, 1731*gl.g, 1731*u, gl.alpha)
		if 1731*worst > 0.3 {
			t.Errorf("%v: the pitch over time is off by %.3f cents", l, 1731*worst)
		}
		near(t, fmt.Sprintf("%v: glide, cents", l), 1731*gl.g, 1731*want.g, 0.6)
		near(t, fmt.Sprintf("%v: rest, cents", l), 1731*rest, 0, 0.3)
		if gl.alpha/want.alpha < 0.75 || gl.alpha/want.alpha > 1.33 {
			t.Errorf("%v: α %.2f, want %.2f", l, gl.alpha, want.alpha)
		}
		if w, _ := b.wander(rest, gl); 1731*w > 0.5 {
			t.Errorf("%v: wanders by %.2f cents", l, 1731*w)
		}
	}
}

// TestFollowRamp: a steady climb is read at its slope and is no glide.
func TestFollowRamp(t *testing.T) {
	const rate = 22050.0
	l := law{82.4, 8e-5}
	const slope = 0.0116 // a second: 20 cents
	x := bent(int(2*rate), rate, l, 1.2, func(t float64) float64 { return slope * t * t / 2 })
	b := follow(x, 0, rate, 2, hypothesisOf(l, 10), nil)
	for i, s := range b.t {
		near(t, fmt.Sprintf("shift at %.2f s, cents", s), 1731*b.shift[i], 1731*slope*s, 0.3)
	}
	rest, gl, _ := b.glide(slowGlide, fastGlide, false)
	if gl.g > 1e-3 {
		t.Errorf("a climb is called a glide of %.1f cents", 1731*gl.g)
	}
	if w, noise := b.wander(rest, gl); 1731*w < mostWander || w < 5*noise {
		t.Errorf("a climb of 40 cents wanders by %.1f cents (noise %.2f)", 1731*w, 1731*noise)
	}
}

func TestFollowSteady(t *testing.T) {
	const rate = 22050.0
	l := law{110, 1e-4}
	x := bent(int(2*rate), rate, l, 1.2, func(float64) float64 { return 0 })
	b := follow(x, 0, rate, 2, hypothesisOf(l, 10), nil)
	rest, gl, _ := b.glide(slowGlide, fastGlide, false)
	w, _ := b.wander(rest, gl)
	near(t, "rest and glide, cents", 1731*(rest+gl.g), 0, 0.1)
	near(t, "wander, cents", 1731*w, 0, 0.1)
	// Frames cut off by the end of the sound: fewer, none beyond it.
	short := follow(x[:int(0.4*rate)], 0, rate, 2, hypothesisOf(l, 10), nil)
	if n := len(short.t); n == 0 || short.t[n-1] > 0.4 {
		t.Errorf("%d frames of 0.4 s: %.3f", n, short.t)
	}
	if none := follow(x[:100], 0, rate, 2, hypothesisOf(l, 10), nil); len(none.t) != 0 {
		t.Errorf("%d frames of 5 ms", len(none.t))
	}
	rest, gl, u := bend{}.glide(slowGlide, fastGlide, false)
	if rest != 0 || gl.g != 0 || u != gSpread {
		t.Errorf("of nothing: rest %g, glide %v, u %g", rest, gl, u)
	}
}

func TestWeightedMedian(t *testing.T) {
	for _, c := range []struct {
		name  string
		in    []weighted
		want  float64
		total float64
	}{
		{"nothing", nil, 0, 0},
		{"one", []weighted{{3, 2}}, 3, 2},
		{"the heavy one", []weighted{{1, 1}, {5, 10}, {9, 1}}, 5, 12},
		{"an outlier far off", []weighted{{1, 1}, {2, 1}, {1e9, 1}}, 2, 3},
		{"equal halves", []weighted{{4, 1}, {4, 1}}, 4, 2},
		{"no weight", []weighted{{4, 0}, {6, 0}}, 4, 0},
	} {
		m, total := weightedMedian(c.in)
		near(t, c.name, m, c.want, 1e-12)
		near(t, c.name+": weight", total, c.total, 1e-12)
	}
}

func TestStrongest(t *testing.T) {
	h := hypothesisOf(law{100, 0}, 12)
	for i := range h.matches {
		h.matches[i].p.snrDB = 30 + float64(i)
	}
	h.strays = []peak{{hz: 905, db: -40}} // beside partial 9, at -39 dB
	got := h.strongest(4, 1000, 20, nil)
	var ns []int
	for _, m := range got {
		ns = append(ns, m.n)
	}
	if fmt.Sprint(ns) != "[8 10 11 12]" {
		t.Errorf("partials %v, want 8 10 11 12", ns)
	}
	// A glide of 1.5 % carries no partial above 3 Hz/0.015 = 200 Hz too far.
	for _, m := range h.strongest(4, 3, 1, nil) {
		if m.p.hz > 200 {
			t.Errorf("partial at %g Hz may be carried by more than 3 Hz", m.p.hz)
		}
	}
}

// TestProject: the coefficient of a tone is half its amplitude times the window's
// sum, at the phase it has at the time named.
func TestProject(t *testing.T) {
	const rate, n = 8000.0, 1600
	win := hann(n)
	sum := 0.0
	for _, w := range win {
		sum += w
	}
	x := damped(4000, rate, 500.25, 0, 0.2, 0.7)
	for _, from := range []int{0, 777, 2400} {
		z := project(x[from:from+n], win, 500.25, rate, float64(from)/rate)
		near(t, "amplitude", 2*math.Sqrt(sq(z))/sum, 0.2, 1e-6)
		near(t, "phase", math.Atan2(imag(z), real(z)), 0.7, 1e-5)
	}
}
