package detect

import (
	"math"
	"testing"
)

func TestLaw(t *testing.T) {
	// f_n = n f0 √(1+Bn²), by hand: 10·100·√(1+1e-4·100).
	near(t, "partial 10", law{100, 1e-4}.hz(10), 1000*math.Sqrt(1.01), 1e-9)
	near(t, "without stiffness", law{55, 0}.hz(7), 385, 1e-12)
}

// TestNumber: number is the inverse of hz, also for peaks off their place by up to
// nearly half the way to the next.
func TestNumber(t *testing.T) {
	for _, f0 := range []float64{20, 61.7, 440, 1500} {
		for _, b := range []float64{0, 1e-13, 2e-12, 1e-9, 1e-5, 3e-4, maxB} {
			l := law{f0, b}
			for n := 1; n <= maxPartials; n++ {
				hz := l.hz(n)
				if got := l.number(hz); got != n {
					t.Errorf("f0 %g, B %g: %g Hz is partial %d, want %d", f0, b, hz, got, n)
				}
				if got := l.number(hz + 0.45*(l.hz(n+1)-hz)); got != n {
					t.Errorf("f0 %g, B %g: 0.45 above partial %d is called %d", f0, b, n, got)
				}
				if got := l.number(hz - 0.45*(hz-l.hz(n-1))); got != n {
					t.Errorf("f0 %g, B %g: 0.45 below partial %d is called %d", f0, b, n, got)
				}
			}
			if got := l.number(f0 / 10); got != 1 {
				t.Errorf("f0 %g: a tenth of it is called partial %d", f0, got)
			}
		}
	}
}

// TestFitPeaks: exact peaks give back the law they came from.
func TestFitPeaks(t *testing.T) {
	s := &spectrum{loudest: -20}
	for _, want := range []law{{41.2, 6e-5}, {110, 1.5e-4}, {329.6, 2e-5}} {
		h := hypothesis{law: law{want.f0 * 1.0005, 0}}
		for n := 1; n <= 15; n++ {
			h.matches = append(h.matches, match{n, peak{hz: want.hz(n), u: 0.01, db: -20, snrDB: 50}})
		}
		for range 6 {
			h.fitPeaks(s, maxPartials)
		}
		near(t, "f0", h.f0/want.f0, 1, 2e-5)
		near(t, "B", h.b, want.b, 3e-6)
		if !(h.uF0 > 0 && h.uB > 0) {
			t.Errorf("uncertainties %g, %g", h.uF0, h.uB)
		}
	}
}

// TestJudgeOctaves: the true law scores above its simple multiples, on a spectrum
// with and without the fundamental.
func TestJudgeOctaves(t *testing.T) {
	const rate = 22050.0
	for _, missing := range []bool{false, true} {
		for _, truth := range []law{{41.2, 6e-5}, {110, 1e-4}, {392, 5e-5}} {
			x := whiteNoise(12000, 1e-4, 3)
			for n := 1; truth.hz(n) < 4000; n++ {
				if n > 1 || !missing {
					x = plus(x, damped(len(x), rate, truth.hz(n), 1.5, 0.1/float64(n), float64(n)))
				}
			}
			s := newSpectrum(x, rate, 9000, nil)
			best := s.judge(truth, 9000)
			if math.Abs(cents(best.f0, truth.f0)) > 3 {
				t.Errorf("%v, missing %v: judged to %v", truth, missing, best.law)
			}
			for _, r := range []float64{2, 3, 0.5, 1. / 3, 1.5, 2. / 3} {
				h := s.judge(law{truth.f0 * r, truth.b * r * r}, 9000)
				if math.Abs(cents(h.f0, truth.f0)) > 50 && h.score > best.score-openNats {
					t.Errorf("%v, missing %v: %g times it scores %.1f, itself %.1f", truth, missing, r, h.score, best.score)
				}
			}
			hs := s.hypotheses(nil, 9000)
			if len(hs) == 0 || math.Abs(cents(hs[0].f0, truth.f0)) > 3 {
				t.Errorf("%v, missing %v: the search prefers %v", truth, missing, hs[0].law)
			}
		}
	}
}
