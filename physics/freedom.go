package physics

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// freedom is the effective degrees of freedom of what the terms make together, by
// the Welch-Satterthwaite formula (JCGM 100:2008, G.4.1): 1/ν = Σ shareᵢ²/νᵢ. 0 is
// unlimited. The formula holds for independent inputs, so inputs that are
// correlated count as one, with the fewest degrees of freedom among them. The
// shares must have been set.
func (b Budget) freedom() float64 {
	group := make([]int, len(b)) // the first input that each is correlated with
	for i := range b {
		group[i] = i
	}
	for i, t := range b {
		for _, c := range t.Correlations {
			from, to := group[i], group[b.find(c.With)]
			for k := range group {
				if group[k] == from && c.R != 0 {
					group[k] = to
				}
			}
		}
	}
	inverse := 0.0
	for g := range b {
		share, fewest := 0.0, math.Inf(1)
		for i, t := range b {
			if group[i] != g {
				continue
			}
			share += t.Share
			if t.DoF > 0 {
				fewest = min(fewest, t.DoF)
			}
		}
		inverse += share * share / fewest
	}
	if inverse == 0 {
		return 0
	}
	return 1 / inverse
}

// even is by what factor the k of a normal distribution is to be multiplied where the
// input that makes most of the uncertainty is anywhere within limits: twice the
// standard uncertainty of such a distribution holds all of it, 0.95·√3 = 1.65 of them
// 95 % (EA-4/02 M:2022, S9.14, from memory). All that is beside it is taken for normal;
// their convolution is JCGM 100:2008, G.1.4's. The shares must have been set.
func (b Budget) even(p float64) float64 {
	share := 0.0
	for _, t := range b {
		if t.Even && len(t.Correlations) == 0 {
			share = max(share, min(t.Share, 1))
		}
	}
	const leastShare, leastRest = 0.05, 1e-9
	if share < leastShare {
		return 1
	}
	half, rest := math.Sqrt(3*share), math.Sqrt(max(1-share, leastRest))
	// The integral of the normal distribution function from far below.
	below := func(x float64) float64 {
		return x*distuv.UnitNormal.CDF(x) + distuv.UnitNormal.Prob(x)
	}
	normal := distuv.UnitNormal.Quantile((1 + p) / 2)
	low, high := 0.0, 2*max(normal, half)
	for range 50 {
		k := (low + high) / 2
		if rest/half*(below((k+half)/rest)-below((k-half)/rest))-1 < p {
			low = k
		} else {
			high = k
		}
	}
	return high / normal
}

// CoverageFactor is that of Measured, less where an input that is anywhere within
// limits makes much of the uncertainty.
func (r Result[Q]) CoverageFactor(p float64) float64 {
	return r.Measured.CoverageFactor(p) * r.Budget.even(p)
}

// CoverageFactor is the k with which k times the standard uncertainty covers the
// value with probability p, such as 0.95: the quantile of Student's t distribution
// for the degrees of freedom, cut to whole ones (JCGM 100:2008, G.4.1; 18.99 are
// 19), or of a normal distribution where they are unlimited. It is NaN for a p outside
// 0 to 1.
func (m Measured[Q]) CoverageFactor(p float64) float64 {
	switch {
	case !(p > 0 && p < 1):
		return math.NaN()
	case m.DoF == 0 || math.IsInf(m.DoF, 1):
		return distuv.UnitNormal.Quantile((1 + p) / 2)
	}
	return distuv.StudentsT{Sigma: 1, Nu: max(1, math.Floor(m.DoF+0.05))}.Quantile((1 + p) / 2)
}
