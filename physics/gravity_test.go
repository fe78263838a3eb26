package physics

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func TestGravityAt(t *testing.T) {
	for _, c := range []struct {
		latitude, want, last float64
	}{
		// Normal gravity at the equator and at the poles, NIMA TR8350.2, table 3.4.
		{0, 9.7803253359, 1e-10},
		{90, 9.8321849378, 1e-9},
		{-90, 9.8321849378, 1e-9},
		// At 45°, GRS 80 (Moritz 2000), which differs by some 1e-6; from memory.
		{45, 9.80620, 1e-5},
	} {
		g := must(GravityAt(c.latitude))
		if math.Abs(float64(g.Value)-c.want) > c.last {
			t.Errorf("at %v°: %.10f, want %.10f", c.latitude, float64(g.Value), c.want)
		}
		if !g.Assumed || g.Relative() < 1e-4 || g.Relative() > 3e-4 {
			t.Errorf("at %v°: %+v", c.latitude, g)
		}
		if math.Abs(float64(g.Value-AnyGravity().Value)) > 2*float64(AnyGravity().U) {
			t.Errorf("at %v° gravity is beyond that of any place", c.latitude)
		}
	}
}

func TestParseGravity(t *testing.T) {
	for s, want := range map[string]float64{"9.812m/s2": 9.812, "9.812m/s²±0.001m/s²": 9.812, "0°": 9.7803253359,
		"90deg": 9.8321849378, "33.9°S": float64(must(GravityAt(33.9)).Value), "33.9 deg N": float64(must(GravityAt(33.9)).Value)} {
		if g, err := ParseGravity(s); err != nil || math.Abs(float64(g.Value)-want) > 1e-9 {
			t.Errorf("%q: %v, %v", s, g, err)
		}
	}
	for s, says := range map[string]string{"": "gravity is empty", "52": "has no unit", "91°": "latitude must lie between",
		"9.81": "has no unit", "1.62m/s2": "is implausible", "-9.81m/s2": "must not be negative", "9.8N": "a unit of force",
		strings.Repeat("9", 400) + "°": "latitude must lie between"} {
		_, err := ParseGravity(s)
		var e *InputError
		if !errors.As(err, &e) || !strings.Contains(err.Error(), says) || e.Hint() == "" {
			t.Errorf("%q: %v", s, err)
		}
	}
	if g, err := GravityAt(math.NaN()); err == nil {
		t.Errorf("nowhere it is %v", g)
	}
}
