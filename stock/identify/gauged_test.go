package identify

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// gauged are plain wires of 1.2 % from one diameter to the next, of which that alone was
// measured: weight and stiffness follow of it.
func gauged(n int, r *rand.Rand) (known []traits.String, real []truth) {
	steel := named("music wire")[0]
	for i := range n {
		d := 0.3e-3 * math.Exp(0.012*float64(i))
		of := steel
		of.Density.Value += physics.Density(r.NormFloat64()) * of.Density.U
		of.Modulus.Value += physics.Pressure(r.NormFloat64()) * of.Modulus.U
		core := physics.Core{Size: physics.Stated(physics.Length(d), 0), Of: of}
		tr := truth{traits.Plain, float64(must(physics.Build{Core: core}.UnitWeight()).Value), d, float64(must(core.Stiffness()).Value)}
		s := traits.String{Name: fmt.Sprint(i), Kind: traits.Plain, Outside: stated[physics.Length](d, 0.01, r), OfGauge: true}
		s.Core = physics.Core{Size: s.Outside, Of: steel}
		w := float64(must(physics.PlainWire{Gauge: s.Outside, Density: steel.Density}.UnitWeight()).Value)
		s.UnitWeight = physics.Stated(physics.UnitWeight(w), physics.UnitWeight(w*math.Hypot(2*0.01, steel.Density.Relative())))
		known, real = append(known, s), append(real, tr)
	}
	return known, real
}

// What follows of a gauge tells nothing besides it: where it was off, weight and stiffness are
// off as well, and a string is right as often as is said.
func TestGaugeCountsOnce(t *testing.T) {
	said := func(apart bool) (said, right, n float64) {
		r := rand.New(rand.NewPCG(11, 12))
		for range 150 {
			known, real := gauged(12, r)
			for i := range known {
				if apart { // as if each had been measured
					s := &known[i]
					s.Stiffness, s.OfGauge = s.Stiff(), false
				}
			}
			for range 10 {
				of := r.IntN(len(real))
				tr := real[of]
				q := Question{Kind: traits.Plain, Strings: known, None: 1e-6, Evidence: physics.Evidence{
					UnitWeight: stated[physics.UnitWeight](tr.weight, 0.003, r),
					Outside:    stated[physics.Length](tr.outside, 0.003, r),
					Stiffness:  stated[physics.BendingStiffness](tr.stiff*math.Exp(wear*r.NormFloat64()), 0.01, r),
				}}
				p, _, _ := q.posterior()
				best := likeliest(p[:len(known)], 0)[0]
				n++
				said += best.Probability
				if best.String == of {
					right++
				}
			}
		}
		return said / n, right / n, n
	}
	p, right, n := said(false)
	t.Logf("said %.3f, right %.3f", p, right)
	if off := math.Abs(p - right); off > 0.015+3*math.Sqrt(p*(1-p)/n) {
		t.Errorf("said to be right in %.3f, is so in %.3f", p, right)
	}
	over, wrong, _ := said(true)
	t.Logf("each as if measured: said %.3f, right %.3f", over, wrong)
	if over-wrong < 0.1 {
		t.Errorf("counting a gauge thrice makes no odds, so that this tries nothing: said %.3f, right %.3f", over, wrong)
	}
}
