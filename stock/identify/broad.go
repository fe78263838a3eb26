package identify

import "math"

// A broad is a mixture of one trait whose parts are all much wider than the stretches that
// their means are parted into. Of those of one stretch the density is worked out at once:
// relative to a normal distribution φ of variance s² in its midst, that of one which is t off
// and wider by a variance is E[φ(x-T)] with T normal, and by Taylor's theorem
//
//	E[φ(x-T)] = φ(x) Σ E[Tⁿ]/n! · Heₙ(x/s)/sⁿ
//
// where Heₙ are Hermite's polynomials (Abramowitz and Stegun 22.9.17, 26.2.31, from memory).
type broad []stretch

// A stretch has the moments of T over n!, summed over its parts by weight.
type stretch struct {
	mean, v float64
	moments [broadTerms]float64
}

// With stretches of broadStep standard deviations to each side of their midst, and nothing
// farther off than broadReach, what is left out is below 10⁻¹² of the density: terms
// fall at least as (broadStep·broadReach)ⁿ/n!.
const (
	broadTerms = 12
	broadStep  = 0.06
	broadReach = 7
)

// newBroad parts a marginal of one trait into stretches; nil where it has narrow parts.
func (m *marginal) newBroad() broad {
	narrowest := math.Inf(1)
	for i := range m.parts {
		narrowest = min(narrowest, m.parts[i].v)
	}
	step := broadStep * math.Sqrt(narrowest)
	if m.n != 1 || m.widest-narrowest > sq(step/3) {
		return nil
	}
	var out broad
	for from := 0; from < len(m.parts); {
		s := stretch{mean: m.parts[from].mean + step/2, v: narrowest}
		to := from
		for ; to < len(m.parts) && m.parts[to].mean <= m.parts[from].mean+step; to++ {
			p := &m.parts[to]
			// Moments of a normal distribution over n!: M₀ = 1, nMₙ = tMₙ₋₁ + vMₙ₋₂.
			t, v := p.mean-s.mean, p.v-narrowest
			before, now := 0.0, 1.0
			for n := range broadTerms {
				s.moments[n] += p.weight * now
				before, now = now, (t*now+v*before)/float64(n+1)
			}
		}
		out = append(out, s)
		from = to
	}
	return out
}

// logDensity is that of the mixture; ok is false farther off than it is good for.
func (b broad) logDensity(mean, v float64) (log float64, ok bool) {
	sum := 0.0
	for i := range b {
		s := &b[i]
		per := 1 / math.Sqrt(s.v+v)
		z := (mean - s.mean) * per
		if math.Abs(z) > broadReach {
			return 0, false
		}
		terms, scale := 0.0, 1.0
		before, now := 0.0, 1.0 // of Hermite's polynomials
		for n, m := range s.moments {
			terms += m * now * scale
			before, now = now, z*now-float64(n)*before
			scale *= per
		}
		sum += terms * per * math.Exp(-z*z/2)
	}
	return math.Log(sum * perRoot), true
}
