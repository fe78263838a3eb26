package detect

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"
)

const (
	combRate = 22050.0
	combSize = 22050 // samples: bins of 1 Hz
	combHz   = 100.0
)

// A comb is a fit of partials that hold what they are given: a law of 100 Hz, one
// decaying mode at each partial's place, quiet noise, and what was added.
func comb(partials int, add func(f *fit)) *fit {
	f := &fit{law: law{combHz, 1e-4}, fr: blankFrame(combSize, combRate)}
	r := rand.New(rand.NewPCG(17, 3))
	for k := range f.fr.spec {
		f.fr.spec[k] = complex(r.NormFloat64(), r.NormFloat64()) * complex(combNoise/math.Sqrt2, 0)
	}
	for n := 1; n <= partials; n++ {
		l := &line{n: n, hz: f.hz(n), alpha: 2, amp: cmplx.Rect(0.1, float64(n*n)), snr: 1e6,
			noise: combNoise * combNoise, used: true}
		f.lines = append(f.lines, l)
		f.sounds(l.modes()[0])
	}
	add(f)
	f.fr.place(f.lines, combHz)
	f.fr.placeStrays(f.strays)
	modelled := append(f.used(), f.strays...)
	f.fr.setSpans(append(modelled, f.lines...))
	f.fr.subtractAll(modelled, nil, true)
	return f
}

// combNoise is the noise's standard deviation a bin, 60 dB under a partial's peak.
const combNoise = 0.5

// sounds adds a mode that nothing models.
func (f *fit) sounds(m mode) {
	w := f.fr.wave(m)
	for k := range f.fr.spec {
		f.fr.spec[k] += w.at(f.fr.tw[k])
	}
}

// energy of a mode in its frame, by Parseval and the sum of its geometric series,
// half of it at positive frequencies.
func (m mode) energy() float64 {
	q := math.Exp(-2 * m.alpha / combRate)
	sum := (1 - math.Pow(q, combSize)) / (1 - q)
	return sq(m.amp) / 2 * sum * combSize / 2
}

func TestPurity(t *testing.T) {
	const third = 2 // its place among the lines
	at := law{combHz, 1e-4}.hz(3)
	own := mode{at, 2, cmplx.Rect(0.1, 9)}
	other := mode{at + 2.5, 2, cmplx.Rect(0.04, 1)}
	stray := func(m mode) *line { return &line{hz: m.hz, alpha: m.alpha, amp: m.amp, used: true} }
	tests := []struct {
		name        string
		add         func(f *fit)
		own, others float64
	}{
		{"alone", func(*fit) {}, own.energy(), 0},
		{"another that nothing models", func(f *fit) { f.sounds(other) }, own.energy(), other.energy()},
		{"another as a stray", func(f *fit) {
			f.sounds(other)
			f.strays = append(f.strays, stray(other))
		}, own.energy(), other.energy()},
		{"a stray half-way to the next", func(f *fit) {
			m := other
			m.hz = at + 0.5*combHz
			f.sounds(m)
			f.strays = append(f.strays, stray(m))
		}, own.energy(), 0},
		{"two polarisations", func(f *fit) {
			f.sounds(other)
			l := f.lines[third]
			l.twin.on, l.twin.d, l.twin.alpha, l.twin.amp = true, other.hz-l.hz, other.alpha, other.amp
		}, own.energy(), other.energy()},
		{"set aside for a stray", func(f *fit) {
			f.lines[third].used = false
			f.lines[third].amp = 0
			f.strays = append(f.strays, stray(own))
		}, own.energy(), 0},
		{"set aside for one of two strays", func(f *fit) {
			f.lines[third].used = false
			f.lines[third].amp = 0
			f.sounds(other)
			f.strays = append(f.strays, stray(other), stray(own))
		}, own.energy(), other.energy()},
		{"not heard", func(f *fit) {
			m := own
			m.amp = -m.amp
			f.sounds(m)
			f.lines[third].used = false
		}, 0, 0},
	}
	for _, tt := range tests {
		f := comb(6, tt.add)
		gotOwn, gotOthers := f.purity(f.lines[third], f.quietest())
		// 12 bins on each side hold all but 2 % of a line as wide as this. The
		// noise taken off is three times its mean: none is left.
		near(t, tt.name+": its own, as a share", gotOwn/own.energy(), tt.own/own.energy(), 0.03)
		near(t, tt.name+": others', as a share", gotOthers/own.energy(), tt.others/own.energy(), 0.006)
		if tt.name == "alone" && gotOthers != 0 {
			t.Errorf("noise is called another's: %g", gotOthers)
		}
	}
}

func TestQuietest(t *testing.T) {
	f := &fit{}
	if q := f.quietest(); q != 0 {
		t.Errorf("of no lines %g", q)
	}
	for _, v := range []float64{7, 0, 100, 2, 5, 1e9} {
		f.lines = append(f.lines, &line{noise: v})
	}
	if q := f.quietest(); q != 5 {
		t.Errorf("the lower quarter of 2, 5, 7, 100, 1e9 is called %g", q)
	}
}

// TestShared: strings on every second to fifth partial are found, whatever
// shows that they are there, and what disturbs partials without such order is none.
func TestShared(t *testing.T) {
	// beside adds another string's mode of that level, re the partial, to some partials.
	beside := func(db float64, of func(n int) bool) func(f *fit) {
		return func(f *fit) {
			for _, l := range f.lines {
				if of(l.n) {
					f.sounds(mode{l.hz + 1.7, 2, l.amp * complex(0, math.Pow(10, db/20))})
				}
			}
		}
	}
	every := func(m int) func(int) bool { return func(n int) bool { return n%m == 0 } }
	odd := func(n int) bool { return n%2 == 1 }
	both := func(a, b func(f *fit)) func(f *fit) { return func(f *fit) { a(f); b(f) } }
	type test struct {
		name     string
		partials int
		add      func(f *fit)
		want     int
	}
	tests := []test{
		{"one string", 16, func(*fit) {}, 0},
		{"all partials beat", 16, beside(-6, every(1)), 0},
		{"the lowest beat", 16, beside(-6, func(n int) bool { return n <= 5 }), 0},
		{"the highest beat", 16, beside(-6, func(n int) bool { return n > 10 }), 0},
		{"the odd ones beat", 16, beside(-6, odd), 0},
		{"one alone is disturbed", 16, beside(-3, func(n int) bool { return n == 4 }), 0},
		{"too faint to matter", 16, beside(-30, every(2)), 0},
		{"too few to tell", 3, beside(-3, every(2)), 0},
		{"every sixth", 18, beside(-3, every(6)), 0},
		{"beyond the twentieth", 40, both(beside(-3, every(2)), func(f *fit) { f.lines = f.lines[20:] }), 0},
		{"every fifth, their power too little to matter", 20, beside(-13, every(5)), 0},
		{"all beat, every second more", 16, both(beside(-12, odd), beside(-3, every(2))), 0},
		{"all are disturbed a little, every second a little more", 16, both(beside(-21, odd), beside(-14.5, every(2))), 0},
		{"every second, to 6", 6, beside(-6, every(2)), 2},
		{"every second as a twin", 16, func(f *fit) {
			beside(-6, every(2))(f)
			for _, l := range f.lines {
				if l.n%2 == 0 {
					l.twin.on, l.twin.d, l.twin.alpha, l.twin.amp = true, 1.7, 2, l.amp*complex(0, math.Pow(10, -6./20))
				}
			}
		}, 2},
	}
	for m := 2; m <= 5; m++ {
		tests = append(tests, test{fmt.Sprintf("every %s", ordinals[m]), 20, beside(-6, every(m)), m})
	}
	for _, tt := range tests {
		if got := pattern(comb(tt.partials, tt.add).places()); got != tt.want {
			t.Errorf("%s: %d, want %d", tt.name, got, tt.want)
		}
	}
	if got := pattern((&fit{fr: blankFrame(100, combRate)}).places()); got != 0 {
		t.Errorf("of no lines: %d", got)
	}
}

// TestBeside: of two strings the louder is what the best law explains, and the other
// what is found in what that leaves.
func TestBeside(t *testing.T) {
	const top = 3000.0
	type ring struct {
		law
		db float64
	}
	tests := []struct {
		name  string
		rings []ring
		want  float64 // Hz of the second, 0 for none
	}{
		{"one alone", []ring{{law{110, 6e-5}, -10}}, 0},
		{"a fourth", []ring{{law{110, 6e-5}, -10}, {law{146.8, 8e-5}, -14}}, 146.8},
		{"a fifth", []ring{{law{82.4, 6e-5}, -10}, {law{123.7, 8e-5}, -12}}, 123.7},
		{"a third", []ring{{law{196, 6e-5}, -10}, {law{247.3, 3e-5}, -16}}, 247.3},
		{"a semitone", []ring{{law{110, 6e-5}, -10}, {law{116.6, 6e-5}, -12}}, 116.6},
		{"a fourth below", []ring{{law{146.8, 8e-5}, -10}, {law{110, 6e-5}, -14}}, 110},
		{"an octave, all of whose places are the first's", []ring{{law{110, 6e-5}, -10}, {law{220, 2.4e-4}, -40}}, 0},
	}
	// heard is a spectrum of the rings, all but the first lower by so many dB.
	heard := func(rings []ring, lower float64) *spectrum {
		s := &spectrum{binHz: 0.7, resHz: 1 / 0.7, loudest: rings[0].db}
		for i, g := range rings {
			for n := 1; g.hz(n) < top; n++ {
				db := g.db - decibel(float64(n))
				p := peak{hz: g.hz(n), u: 0.03, db: db, snrDB: 60 + db}
				if i > 0 {
					p.db -= lower
				}
				s.add(p)
			}
		}
		return s
	}
	for _, tt := range tests {
		s := heard(tt.rings, 0)
		h := s.judge(tt.rings[0].law, top)
		near(t, tt.name+": the first, cents", cents(h.f0, tt.rings[0].f0), 0, 3)
		second := s.beside(h, top)
		if tt.want == 0 {
			if second.support >= secondNats {
				t.Errorf("%s: a second string at %g Hz (%.1f nats)", tt.name, second.f0, second.support)
			}
			continue
		}
		near(t, tt.name+": the second, cents", cents(second.f0, tt.want), 0, 6)
		if second.support < secondNats {
			t.Errorf("%s: the second is worth %.1f nats", tt.name, second.support)
		}
		near(t, tt.name+": its level, dB", second.level(), tt.rings[1].db, 1)
		// What it is worth does not depend on how loud the first is.
		quiet := heard(tt.rings, 15)
		near(t, tt.name+": worth, 15 dB lower", quiet.beside(quiet.judge(tt.rings[0].law, top), top).support, second.support, 1e-9)
	}
}

// add puts a peak in its place by frequency, unless one is closer than a window resolves, when the louder stays.
func (s *spectrum) add(p peak) {
	for i, q := range s.peaks {
		if math.Abs(q.hz-p.hz) < 2*s.resHz {
			if p.db > q.db {
				s.peaks[i] = p
			}
			return
		}
		if q.hz > p.hz {
			s.peaks = append(s.peaks[:i], append([]peak{p}, s.peaks[i:]...)...)
			return
		}
	}
	s.peaks = append(s.peaks, p)
}

// TestBesideChance: peaks without order are seldom a second string.
func TestBesideChance(t *testing.T) {
	const runs, top = 100, 3000.0
	found := 0
	for i := range uint64(runs) {
		r := rand.New(rand.NewPCG(i, 23))
		l := law{60 + 200*r.Float64(), 6e-5}
		s := &spectrum{binHz: 0.7, resHz: 1 / 0.7, loudest: -10}
		for n := 1; l.hz(n) < top; n++ {
			db := -10 - decibel(float64(n))
			s.add(peak{hz: l.hz(n), u: 0.03, db: db, snrDB: 60 + db})
		}
		for range 6 {
			s.add(peak{hz: 30 + (top-30)*r.Float64(), u: 0.05, db: -40, snrDB: 20})
		}
		if h := s.beside(s.judge(l, top), top); h.support >= secondNats {
			found++
		}
	}
	t.Logf("%d of %d", found, runs)
	if found > runs/20 {
		t.Errorf("six peaks by chance are called a string %d times of %d", found, runs)
	}
}

// TestForeign: what is in no string's order weighs the more where little else is, and
// where it is the loudest.
func TestForeign(t *testing.T) {
	for _, c := range []struct {
		odd, all            int
		level, own, loudest float64
		want                bool
	}{
		{0, 20, -300, 0, 0, false},
		{10, 20, -20, 0, 0, true},
		{9, 20, -20, 0, 0, false},
		{9, 20, 1, 0, 1, true}, // a string an octave and a fifth below, plucked at its middle
		{6, 20, 1, 0, 1, false},
		{1, 20, 1, 0, 1, false},
		{3, 9, -20, 0, 0, true},
		{2, 9, -20, 0, 0, false},
		{1, 6, -10, 0, 0, true},
		{1, 6, -20, 0, 0, false},
	} {
		if got := foreign(c.odd, c.all, c.level, c.own, c.loudest); got != c.want {
			t.Errorf("%+v: %v", c, got)
		}
	}
}
