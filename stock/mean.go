package stock

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"pluckweigh/physics"
)

// An Agreement says whether several measurements of one thing can all be true.
type Agreement struct {
	N      int // measurements
	Within Scatter
	// Between is how the means of the routes scatter about the mean of all.
	Between Scatter
	// P is the probability that measurements which agree would scatter as much.
	P float64
	// Birge is √(χ²/ν), by which the uncertainty was enlarged where they disagree; 1
	// where they agree.
	Birge float64
}

// A Scatter is how far values lie from their weighted mean, beside their standard
// uncertainties.
type Scatter struct {
	ChiSquare float64
	Free      int // degrees of freedom; 0 where there is nothing to compare
}

// p is the probability that values which agree would scatter as much.
func (s Scatter) p() float64 {
	if s.Free == 0 {
		return 1
	}
	return distuv.ChiSquared{K: float64(s.Free)}.Survival(s.ChiSquare)
}

// birge is the Birge ratio.
func (s Scatter) birge() float64 {
	if s.Free == 0 {
		return 1
	}
	return math.Sqrt(s.ChiSquare / float64(s.Free))
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

// Combine is the mean of measurements of one property, each weighted by 1/u²: first of
// those of one route, then of the routes. Those of one route share rule, weights and
// clip, so what one is off by the others may be off by too: between them u does
// not shrink (correlation 1), and repeating them does not outweigh another route. Between
// routes it shrinks as of independent ones.
//
// Whether they agree is tested by chi-squared at 5 %, within routes and between them;
// where both can be tested, P is the smaller of the two probabilities, as the smaller
// of two comes out (Šidák, J. Am. Stat. Assoc. 62 (1967) 626). Where they disagree, u is
// enlarged by the Birge ratio (Birge, Phys. Rev. 40 (1932) 207), the larger of the two.
//
// The degrees of freedom are those of Welch and Satterthwaite (JCGM 100:2008, G.4.1),
// of a route the fewest. All must be of one property. None give zero.
func Combine[Q physics.Quantity](all []Measurement) (physics.Measured[Q], Agreement) {
	a := Agreement{N: len(all), P: 1, Birge: 1}
	if len(all) == 0 {
		return physics.Measured[Q]{}, a
	}
	if len(all) == 1 {
		m := all[0]
		return physics.Measured[Q]{Value: Q(m.Value), U: Q(m.U), DoF: m.DoF, Assumed: m.Assumed}, a
	}
	var routes []Measurement // the mean of each
	for _, of := range byRoute(all) {
		m, s := mean(of)
		a.Within.ChiSquare += s.ChiSquare
		a.Within.Free += s.Free
		m.U = 0
		for i, w := range weights(of) {
			m.U += w * of[i].U
			if d := of[i].DoF; d > 0 && (m.DoF == 0 || d < m.DoF) {
				m.DoF = d
			}
		}
		routes = append(routes, m)
	}
	m, s := mean(routes)
	a.Between = s
	a.P = min(a.Within.p(), a.Between.p())
	if a.Within.Free > 0 && a.Between.Free > 0 {
		a.P = 1 - (1-a.P)*(1-a.P)
	}
	if a.Disagree() {
		a.Birge = max(a.Within.birge(), a.Between.birge())
	}
	out := physics.Measured[Q]{Value: Q(m.Value), U: Q(m.U * a.Birge), Assumed: true}
	inverse := 0.0
	for i, w := range weights(routes) {
		share := w * routes[i].U / m.U
		if routes[i].DoF > 0 {
			inverse += share * share * share * share / routes[i].DoF
		}
	}
	if inverse > 0 {
		out.DoF = 1 / inverse
	}
	for _, m := range all {
		out.Assumed = out.Assumed && m.Assumed
	}
	return out, a
}

// byRoute parts measurements by their routes, in the order of their first.
func byRoute(all []Measurement) [][]Measurement {
	at := map[string]int{}
	var out [][]Measurement
	for _, m := range all {
		i, known := at[m.Route]
		if !known {
			i = len(out)
			at[m.Route] = i
			out = append(out, nil)
		}
		out[i] = append(out[i], m)
	}
	return out
}

// mean is the weighted mean of independent measurements, without degrees of freedom, and
// how they scatter about it.
func mean(all []Measurement) (Measurement, Scatter) {
	m := Measurement{Property: all[0].Property, Value: all[0].Value}
	ws := weights(all)
	for i, w := range ws {
		m.Value += w * (all[i].Value - all[0].Value)
		m.U = math.Hypot(m.U, w*all[i].U)
	}
	s := Scatter{Free: len(all) - 1}
	for _, x := range all {
		d := (x.Value - m.Value) / x.U
		s.ChiSquare += d * d
	}
	return m, s
}

// weights are 1/u², made to sum to 1.
func weights(all []Measurement) []float64 {
	// Beside the most certain: 1/u² of N·m² may overflow.
	least := math.Inf(1)
	for _, m := range all {
		least = min(least, m.U)
	}
	out := make([]float64, len(all))
	sum := 0.0
	for i, m := range all {
		out[i] = (least / m.U) * (least / m.U)
		sum += out[i]
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}
