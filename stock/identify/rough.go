package identify

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// What is heard of a stiffness may be off by more than it says: a string's partials depart
// from the law with unevenness and wear (Houtsma 1982 saw the inharmonicity of old strings
// rise), and now and then they are fitted wrongly.
const (
	wear   = 0.03  // relative standard deviation (that of a bass at several frets, in recorded notes, is as large)
	astray = 0.003 // how often it says nothing (in none of 395 simulated takes was it off by more than 4 times its uncertainty, wear counted; so in less than 0.8 %)
	junk   = 0.1   // density of its logarithm then: anything over some decades
)

// quantiles are values that a standard normal distribution takes, equally likely.
var quantiles = func() (z [24]float64) {
	for i := range z {
		z[i] = distuv.UnitNormal.Quantile((float64(i) + 0.5) / float64(len(z)))
	}
	return z
}()

// roughly is how well a stiffness that was heard roughly, if one was, agrees with one of
// which the logarithm is distributed so, at most 1.
func (w *witness) roughly(mean, variance float64) float64 {
	v, u := float64(w.Rough.Value), float64(w.Rough.U)
	if u == 0 {
		return 1
	}
	sum := 0.0
	for _, z := range quantiles {
		ei := math.Exp(mean + z*math.Sqrt(variance))
		sd := math.Hypot(u, wear*ei)
		sum += u / sd * math.Exp(-sq((v-ei)/sd)/2)
	}
	// Of what says nothing the density is junk/v, as it is where the stiffness is evidence,
	// and below u as at u: nearly none of that is heard as no stiffness at all.
	stray := junk * u / perRoot / math.Hypot(u, v)
	return astray*stray + (1-astray)*sum/float64(len(quantiles))
}

// heard is a mixture after that stiffness, and the logarithm of how well it agrees.
func (w *witness) heard(m mixture) (after mixture, log float64) {
	if w.Rough.U == 0 {
		return m, 0
	}
	sum := 0.0
	for _, c := range m {
		c.weight *= w.roughly(c.mean[stiff], c.cov[stiff][stiff])
		sum += c.weight
		after = append(after, c)
	}
	for i := range after {
		after[i].weight /= sum
	}
	return after, math.Log(sum)
}
