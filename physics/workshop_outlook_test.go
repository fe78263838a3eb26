package physics

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A workshop: strings whose truth is known, measured with errors as large as is said
// of them. What is foreseen of a string must hold the truth within U = 2u about as
// often as a normal distribution does, 95.4 %. Truths are worked out by formulas of
// their own.
func TestOutlookCoverage(t *testing.T) {
	const strings = 3000
	r := rand.New(rand.NewPCG(11, 12))
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	within := map[string]int{}
	for range strings {
		// The truth: a core of steel under a wrap, or plain.
		l, d := between(0.5, 0.9), between(0.25e-3, 0.6e-3)
		e, alpha, kappa := between(195e9, 210e9), between(11.5e-6, 12.5e-6), between(2.5e-4, 3.5e-4)
		area := math.Pi / 4 * d * d
		pull := between(0.4e9, 1.3e9) * area
		mu := 7850 * area * between(1, 8)
		f := math.Sqrt(pull/mu) / (2 * l)
		frame, step := between(2e-6, 6e-6), between(3, 12)

		measured := func(v, relative float64) (float64, float64) {
			return v * (1 + relative*r.NormFloat64()), v * relative
		}
		ml, ul := measured(l, 0.6e-3)
		md, ud := measured(d, 4e-3)
		me, ue := measured(e, 0.02)
		ma, ua := measured(alpha, 0.03)
		mk, uk := measured(kappa, 0.1)
		mm, um := measured(mu, 3e-3)
		mf, uf := measured(f, 1e-4)
		mframe, uframe := measured(frame, 0.1)
		of := must(ParseMaterial("music wire"))
		of.Modulus, of.Expansion, of.Softening = Stated(Pressure(me), Pressure(ue)), Stated(Expansion(ma), Expansion(ua)), Stated(Expansion(mk), Expansion(uk))
		heard := Stretch{Length: Stated(Length(ml), Length(ul)), F0: Stated(Frequency(mf), Frequency(uf)), Ends: EndsPinned}
		w := Stated(UnitWeight(mm), UnitWeight(um))
		s := Strung{Length: heard.Length, Pull: must(heard.Tension(w)), Core: Core{Size: Stated(Length(md), Length(ud)), Of: of}}

		count := func(what string, value, u, truth float64) {
			if math.Abs(value-truth) <= 2*u {
				within[what]++
			}
		}
		warm := must(s.Warmed(Stated(TemperatureStep(step), 0), Stated(Expansion(mframe), Expansion(uframe))))
		hot := e * area * (1 - kappa*step) * (pull/(e*area) + (frame-alpha)*step)
		count("shift", float64(warm.Shift.Value), float64(warm.Shift.U), 600*math.Log2(hot/pull/(1+frame*step)))
		count("change of the pull", float64(warm.Change.Value), float64(warm.Change.U), hot-pull)

		bent := must(s.Bent(Stated[PitchInterval](150, 0)))
		turn := math.Acos((e*area - math.Exp2(150.0/600)*pull) / (e*area - pull))
		count("depth", float64(bent.Depth.Value), float64(bent.Depth.U), l/2*math.Tan(turn))
		count("side force", float64(bent.Side.Value), float64(bent.Side.U), 2*math.Sin(turn)*(pull+e*area*(1/math.Cos(turn)-1)))

		load := must(s.Limits())
		last := load[len(load)-1]
		count("load", float64(last.Load.Value), float64(last.Load.U), pull/area/(0.98*2211e6/math.Pow(d*1e3, 0.145)))
		count("side stiffness", float64(must(s.SideStiffness()).Value), float64(must(s.SideStiffness()).U), 4*pull/l)

		to := f * 1.15
		there := must(s.Thinned(must(must(heard.Retuned(Frequency(to))).Tension(w))))
		even := 4 * mu * l * l * to * to
		count("retuned", float64(there.Value), float64(there.U), even/(1+(even-pull)/(e*area)))
	}
	for what, n := range within {
		if part := float64(n) / strings; part < 0.943 || part > 0.967 {
			t.Errorf("%s: U holds the truth in %.1f %% of the strings", what, 100*part)
		}
	}
	if len(within) != 7 {
		t.Errorf("only %v was foreseen", within)
	}
	t.Log(within)
}
