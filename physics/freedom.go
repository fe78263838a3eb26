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
