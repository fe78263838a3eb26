package identify

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"pluckweigh/stock/traits"
)

// A marginal laid out for many strings has the density of the mixture, whatever is passed
// over, and its bounds hold.
func TestMarginalIsOfTheMixture(t *testing.T) {
	broadly := 0
	rapid.Check(t, func(t *rapid.T) {
		m := plausible(rapid.SampledFrom([]traits.Kind{traits.EitherKind, traits.Plain, traits.Wound}).Draw(t, "kind"))
		// After a trait was measured the parts are narrow.
		if rapid.Bool().Draw(t, "after") {
			var seen normal
			seen.know(outside, 0.8e-3*math.Exp(rapid.Float64Range(-1.5, 1.5).Draw(t, "seen")), 5e-6, 0)
			m = m.given(&seen, slightest)
		}
		over := rapid.SampledFrom([]mask{1, 2, 4, 3, 5, 6}).Draw(t, "traits")
		var x normal
		for i := range traitCount {
			if over.has(i) {
				x.know(i, math.Exp(m[0].mean[i]+rapid.Float64Range(-6, 6).Draw(t, "off")*sizePowers[i]), 0, sq(rapid.Float64Range(1e-4, 0.25).Draw(t, "u")))
			}
		}
		laid := m.marginal(over)
		if laid.broad != nil {
			broadly++
		}
		want, _ := m.logDensity(&x, over)
		got := laid.logDensity(&x)
		if math.Abs(got-want) > 1e-11*(1+math.Abs(want)) {
			t.Fatalf("%v, not %v", got, want)
		}
		if most := laid.atMost(&x); want > most+1e-9*(1+math.Abs(want)) {
			t.Fatalf("%v, above %v", want, most)
		}
		if least := laid.atLeast(&x); want < least-1e-9*(1+math.Abs(want)) {
			t.Fatalf("%v, below %v", want, least)
		}
	})
	if broadly == 0 {
		t.Error("none was broad")
	}
}
