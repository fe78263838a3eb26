package detect

import (
	"math"
	"testing"
)

// plucked is a string of so many partials that begins at once at 0.5 s, in white noise,
// with what else sounds for a moment as it begins.
func plucked(hz, b float64, partials int, noise, attack float64) []float64 {
	const rate = 22050
	x := whiteNoise(5*rate/2, noise, 7)
	for n := 1; n <= partials; n++ {
		m := float64(n)
		f := law{hz, b}.hz(n)
		for i, v := range damped(len(x)-rate/2, rate, f, 0.8+1.5e-6*f*f, 0.2/m, m) {
			x[rate/2+i] += v
		}
	}
	burst := whiteNoise(rate/100, attack, 8)
	for i, v := range burst {
		x[rate/2+i] += v
	}
	return x
}

// TestEarly: where nothing but the string begins, it is measured from its beginning; a
// plectrum's own noise is left out.
func TestEarly(t *testing.T) {
	const rate = 22050
	for _, c := range []struct{ attack, least, most float64 }{{0, 0, 0.004}, {0.3, 0.010, 0.030}} {
		take, err := Analyze(plucked(196, 8e-5, 12, 1e-3, c.attack), rate, Options{})
		if err != nil {
			t.Fatal(err)
		}
		p := take.Plucks[0]
		if from := p.From - 0.5; !p.Trusted || from < c.least || from > c.most {
			t.Errorf("attack %g: measured from %.1f ms on, %v", c.attack, 1000*from, p.Doubts)
		}
		if off := math.Abs(p.F0.V - 196); off > 4*p.F0.U {
			t.Errorf("attack %g: %.5f ± %.5f Hz", c.attack, p.F0.V, p.F0.U)
		}
	}
}

// TestSinceKeepsTime: a window that begins earlier holds the same string, its lines as
// loud as they were then.
func TestSinceKeepsTime(t *testing.T) {
	const rate = 22050
	x := plucked(196, 8e-5, 12, 1e-5, 0)
	l := newListener(x, rate, Options{})
	const from = rate * 55 / 100
	var p Pluck
	p.From, p.To = 0.55, 2.4
	h, ok := l.fundamental(&p, from)
	if !ok {
		t.Fatal(p.Doubts)
	}
	f := l.fit(h, follow(l.x, from, l.rate, 1.5, h, l.hush), from, 1.5, false)
	g := f.since(rate / 50)
	near(t, "f0", g.f0, f.f0, 1e-4)
	for i, a := range f.lines {
		if b := g.lines[i]; a.heard() && b.heard() {
			grown := math.Hypot(real(b.amp), imag(b.amp)) / math.Hypot(real(a.amp), imag(a.amp))
			near(t, "growth of a line", grown/math.Exp(a.alpha/50), 1, 0.02)
		}
	}
	if n, chance := f.noisier(g); math.Abs(n) > earlyNats+earlyZ*chance || chance > 20 {
		t.Errorf("the noise grew by %.2f nats", n)
	}
}

// TestCompleteFindsFastOnes: partials that fade too fast to be peaks are heard where the
// law has them, and none where there is only noise.
func TestCompleteFindsFastOnes(t *testing.T) {
	const rate = 22050
	f := (&listener{top: 9000}).fit(hypothesis{}, bend{}, 0, 0, false)
	x := plucked(440, 8e-5, 9, 1e-4, 0)[rate/2:]
	f.law, f.top = law{440, 8e-5}, 9000
	for n := 1; n <= 4; n++ {
		hz := f.hz(n)
		f.lines = append(f.lines, &line{n: n, alpha: 0.8 + 1.5e-6*hz*hz, used: true})
	}
	f.run(x, 0, rate, 1.5, firstRung)
	if !f.complete(9000) {
		t.Fatal("nothing was found")
	}
	for _, l := range f.lines {
		if l.n > 9 {
			t.Errorf("partial %d was found, which does not sound", l.n)
		}
	}
	if n := len(f.lines); n < 6 {
		t.Errorf("%d partials, of 9 that sound", n)
	}
}

// TestSplits: two peaks of one broad partial are one partial; a narrow tone on it is
// another.
func TestSplits(t *testing.T) {
	f := &fit{lines: []*line{{n: 5, hz: 3240, alpha: 30, used: true}}}
	for _, c := range []struct {
		hz, alpha float64
		want      bool
	}{{3245, 25, true}, {3245, 1, false}, {3260, 25, false}} {
		if got := f.splits(&line{hz: c.hz, alpha: c.alpha}); got != c.want {
			t.Errorf("%v: %v", c, got)
		}
	}
}

// TestTrails: a string is listened to for longer than its bands stand out of their
// floors, as its partials do, but not into what sounds next.
func TestTrails(t *testing.T) {
	const hop = 0.005
	quiet := func(f int) float64 {
		if f < 100 {
			return 30
		}
		return 2
	}
	for _, c := range []struct {
		name string
		loud func(f int) float64
		want float64
	}{
		{"silence after it", quiet, 1.0},
		{"a voice after it", func(f int) float64 {
			if f > 140 {
				return 25
			}
			return quiet(f)
		}, 0.7},
	} {
		e := &envelope{hop: hop, half: 0.02}
		for f := range 400 {
			e.loud, e.total = append(e.loud, c.loud(f)), append(e.total, c.loud(f))
		}
		if got := e.trail(0, 100, 399, 2); math.Abs(got-c.want) > 0.05 {
			t.Errorf("%s: listened to until %.3f s, want %.2f", c.name, got, c.want)
		}
	}
}
