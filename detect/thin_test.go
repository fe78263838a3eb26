package detect

import (
	"math"
	"testing"
)

// TestThinned: a low string is fitted at a lower rate as it would be at the take's own: the
// same partials, the same pitch and inharmonicity to a small part of their uncertainties;
// and a string with partials up to the top is not thinned at all.
func TestThinned(t *testing.T) {
	tk := plain(41.2, 24000, 3)
	tk.MaxPartials = 30
	x, truth := rendered(t, tk)
	l := newListener(x, tk.Rate, Options{})
	s := l.stretches()[0]
	from := s.start + attackSkip
	h, ok := l.fundamental(&Pluck{From: from, To: s.end}, int(from*l.rate))
	if !ok {
		t.Fatal("no fundamental")
	}
	fitted := func(l *listener, h hypothesis) *fit {
		at := int(from * l.rate)
		return l.fit(h, follow(l.x, at, l.rate, 2, h, l.hush), at, 2, false)
	}
	low, less := l.thinned(h)
	if low.factor < 2 || low.rate*float64(low.factor) != l.rate || low.top > 0.42*low.rate {
		t.Fatalf("thinned by %d to %g Hz, top %g Hz", low.factor, low.rate, low.top)
	}
	if again, _ := l.thinned(h); again != low {
		t.Error("thinned a second time")
	}
	a, b := fitted(l, h), fitted(low, less)
	if math.Abs(cents(a.f0, truth.F0)) > 0.1 || len(a.heard()) != len(b.heard()) {
		t.Fatalf("%.3f cents off, %d and %d partials", cents(a.f0, truth.F0), len(a.heard()), len(b.heard()))
	}
	if z := (a.f0 - b.f0) / a.f0 / math.Sqrt(a.cov.At(0, 0)); math.Abs(z) > 0.3 {
		t.Errorf("the pitch is %.2f uncertainties off", z)
	}
	if z := (a.b - b.b) / math.Sqrt(a.cov.At(1, 1)); math.Abs(z) > 0.3 {
		t.Errorf("the inharmonicity is %.2f uncertainties off", z)
	}
	h.f0, h.b = 400, 0
	if same, _ := l.thinned(h); same != l {
		t.Error("a high string is thinned")
	}
}
