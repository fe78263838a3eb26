package stock

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"pluckweigh/physics"
)

// An Agreement says whether several measurements of one thing can all be true.
type Agreement struct {
	N         int     // measurements
	ChiSquare float64 // of them about their weighted mean, with N-1 degrees of freedom
	// P is the probability that measurements which agree would scatter as much.
	P float64
	// Birge is √(χ²/(N−1)), by which the uncertainty was enlarged where they disagree.
	Birge float64
}

// Unlikely is the probability below which measurements disagree (Cox, Metrologia 39
// (2002) 589, from memory).
const Unlikely = 0.05

// Disagree tells whether they do.
func (a Agreement) Disagree() bool { return a.N > 1 && a.P < Unlikely }

// String says it to a person, in a few words.
func (a Agreement) String() string {
	switch {
	case a.N == 0:
		return "not measured"
	case a.N == 1:
		return "one measurement"
	case a.Disagree():
		return fmt.Sprintf("%d measurements that disagree (p = %.2g): the uncertainty is enlarged %.2g times", a.N, a.P, a.Birge)
	}
	return fmt.Sprintf("%d measurements that agree (p = %.2f)", a.N, a.P)
}

// Combine is the mean of measurements of one property, each weighted by 1/u². Those
// of one route share rule, weights and clip, so what one is off by the others may
// be off by too: between them u does not shrink (correlation 1), and between routes as
// of independent ones. Where they scatter more than their uncertainties allow, by a
// chi-squared test at 5 %, u is enlarged by the Birge ratio (Birge, Phys. Rev. 40 (1932)
// 207). All must be of one property. None give zero.
func Combine[Q physics.Quantity](all []Measurement) (physics.Measured[Q], Agreement) {
	a := Agreement{N: len(all), P: 1, Birge: 1}
	if len(all) == 0 {
		return physics.Measured[Q]{}, a
	}
	if len(all) == 1 {
		m := all[0]
		return physics.Measured[Q]{Value: Q(m.Value), U: Q(m.U), DoF: m.DoF, Assumed: m.Assumed}, a
	}
	// Weights relative to the best one: those of metres squared would overflow no
	// float64, but those of N·m² are far apart.
	least := math.Inf(1)
	for _, m := range all {
		least = min(least, m.U)
	}
	var sum, mean float64
	assumed := true
	for _, m := range all {
		w := weight(m, least)
		sum += w
		mean += w * (m.Value - all[0].Value)
		assumed = assumed && m.Assumed
	}
	mean = all[0].Value + mean/sum
	shared := map[string]float64{} // by route, what the mean is off by
	for _, m := range all {
		shared[m.Route] += weight(m, least) / sum * m.U
		d := (m.Value - mean) / m.U
		a.ChiSquare += d * d
	}
	var variance float64
	for _, u := range shared {
		variance += u * u
	}
	free := float64(len(all) - 1)
	a.P = distuv.ChiSquared{K: free}.Survival(a.ChiSquare)
	u := math.Sqrt(variance)
	if a.Disagree() {
		a.Birge = math.Sqrt(a.ChiSquare / free)
		u *= a.Birge
	}
	return physics.Measured[Q]{Value: Q(mean), U: Q(u), Assumed: assumed}, a
}

// weight is 1/u² in units of that of the most certain.
func weight(m Measurement, least float64) float64 { return (least / m.U) * (least / m.U) }
