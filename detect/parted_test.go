package detect

import (
	"math/rand/v2"
	"testing"
)

// scattered is n partials that scatter about a law, every m-th about one of its own.
func scattered(n, m int, off, curve float64, seed uint64) []departed {
	r := rand.New(rand.NewPCG(seed, 5))
	var ps []departed
	for k := 1; k <= n; k++ {
		d := 1e-5 + 2e-8*float64(k*k) + partedTau*r.NormFloat64()
		if m > 0 && k%m == 0 {
			d += off + curve*float64(k*k)
		}
		ps = append(ps, departed{k, d, 1 / (partedTau * partedTau)})
	}
	return ps
}

func TestParted(t *testing.T) {
	for m := 2; m <= 5; m++ {
		if got := parted(scattered(20, m, 1.2e-3, 0, uint64(m))); got != m {
			t.Errorf("every %d-th partial 2 cents off: %d", m, got)
		}
		if got := parted(scattered(20, m, 0, 6e-6, uint64(m))); got != m {
			t.Errorf("every %d-th partial of another stiffness: %d", m, got)
		}
	}
	if got := parted(scattered(6, 2, 1e-2, 0, 1)); got != 0 {
		t.Errorf("six partials are too few to ask, got %d", got)
	}
	// Chance alone: four tests of an F(2, 16) at 12 or more, 7 in 10 000 each (the
	// weighted square added makes it less likely still).
	wrong := 0
	for seed := range uint64(500) {
		if parted(scattered(20, 0, 0, 0, seed)) != 0 {
			wrong++
		}
	}
	if wrong > 6 {
		t.Errorf("%d of 500 single strings are called parted", wrong)
	}
}

func TestLawLeft(t *testing.T) {
	every := func(int) bool { return true }
	var ps []departed
	for n := 1; n <= 8; n++ {
		ps = append(ps, departed{n, 3e-4 - 2e-6*float64(n*n), 1e8})
	}
	if left, ok := lawLeft(ps, every); !ok || left > 1e-12 {
		t.Errorf("on a law %g is left, ok %v", left, ok)
	}
	ps[3].off += 1e-3
	if left, ok := lawLeft(ps, every); !ok || !(left > 10 && left < 100) {
		t.Errorf("one of weight 1e8 off by 1e-3 leaves %g of its 100, ok %v", left, ok)
	}
	if _, ok := lawLeft(ps, func(n int) bool { return n > 6 }); ok {
		t.Error("two partials make a law of two parameters and no test")
	}
}
