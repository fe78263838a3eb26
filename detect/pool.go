package detect

import (
	"fmt"
	"math"
)

// Pool combines plucks of one string, as those of a take are. The reading is nil where
// nothing can be trusted, and the doubts say why that is where it is for all of them
// together.
func Pool(plucks []Pluck) (*Reading, []Doubt) {
	if c := apart(plucks); c > oneString {
		return nil, []Doubt{{Code: Scatter, Fatal: true,
			Say: fmt.Sprintf("the plucks lie %.0f cents apart, as of different strings: measure one string a take", c)}}
	}
	r := pool(plucks)
	var doubts []Doubt
	if n := doubted(plucks, TwoStrings); r != nil && n >= r.Plucks {
		r = nil
		doubts = append(doubts, Doubt{Code: TwoStrings, Fatal: true,
			Say: "more than one string rings in the take, so that the pluck that is clear may be the wrong one's"})
	}
	if n := doubted(plucks, NotAString); r != nil && n > 1 && 2*n > len(plucks) {
		r = nil
		doubts = append(doubts, Doubt{Code: NotAString, Fatal: true,
			Say: fmt.Sprintf("%d of the %d sounds in the take are no string's, so that the rest may be none's either", n, len(plucks))})
	}
	return r, doubts
}

// pool combines the trusted plucks of a take: a weighted mean in which what the
// plucks scatter beyond their own uncertainties counts as repeatability
// (DerSimonian & Laird's random-effects mean), so that a take of many disagreeing
// plucks is not called precise. It returns nil when there is nothing to trust.
func pool(plucks []Pluck) *Reading {
	var in []Pluck
	for _, p := range plucks {
		if p.Trusted {
			in = append(in, p)
		}
	}
	if len(in) == 0 {
		return nil
	}
	all := func(get func(Pluck) Value) []Value {
		var vs []Value
		for _, p := range in {
			vs = append(vs, get(p))
		}
		return vs
	}
	r := &Reading{Plucks: len(in)}
	f0 := all(func(p Pluck) Value { return p.F0 })
	r.F0, r.DoF = Mean(f0)
	r.F1 = mean(all(func(p Pluck) Value { return p.F1 }))
	var stiff []Value
	for _, p := range in {
		if p.BKnown {
			stiff = append(stiff, p.B)
		}
	}
	if r.BKnown = len(stiff) > 0; r.BKnown {
		r.B = mean(stiff)
	} else {
		r.B = mean(all(func(p Pluck) Value { return p.B }))
	}
	if r.BKnown {
		r.Corr = together(in, r.F0.U, r.B.U)
	}
	r.Load = poolLoads(in)
	seen := map[Code]bool{}
	for _, p := range in {
		for _, d := range p.Doubts {
			if !seen[d.Code] {
				seen[d.Code] = true
				r.Doubts = append(r.Doubts, d)
			}
		}
	}
	if spread := apart(in); spread > 5 {
		r.Doubts = append(r.Doubts, Doubt{Code: Scatter, Say: fmt.Sprintf("the plucks differ by %.1f cents: did the tuning change, or was it more than one string?", spread)})
	}
	return r
}

// oneString is how far apart, in cents, plucks of one string may lie; a mean of
// different strings would be nobody's.
const oneString = 50.0

// apart is the interval between the lowest and the highest trusted pluck, cents.
func apart(plucks []Pluck) float64 {
	lo, hi := math.Inf(1), 0.0
	for _, p := range plucks {
		if p.Trusted {
			lo, hi = min(lo, p.F0.V), max(hi, p.F0.V)
		}
	}
	if hi == 0 {
		return 0
	}
	return cents(hi, lo)
}

// Mean is the random-effects mean of independent values, one at least: what they scatter
// beyond their own uncertainties is part of its uncertainty, estimated by moments
// (DerSimonian & Laird, Controlled Clinical Trials 7 (1986) 177). dof are its effective
// degrees of freedom (JCGM 100:2008, G.4.1); 0 is no limit.
func Mean(vs []Value) (m Value, dof float64) {
	m = mean(vs)
	return m, freedom(vs, m.U)
}

// mean is that mean alone.
func mean(vs []Value) Value {
	if len(vs) == 1 {
		return vs[0]
	}
	combine := func(extra float64) (m, u, q float64) {
		sw, sy := 0.0, 0.0
		for _, v := range vs {
			w := 1 / (v.U*v.U + extra + 1e-300)
			sw += w
			sy += w * v.V
		}
		m = sy / sw
		for _, v := range vs {
			q += (v.V - m) * (v.V - m) / (v.U*v.U + extra + 1e-300)
		}
		return m, 1 / math.Sqrt(sw), q
	}
	_, _, q := combine(0)
	extra := 0.0
	if k := float64(len(vs) - 1); q > k {
		s1, s2 := 0.0, 0.0
		for _, v := range vs {
			w := 1 / (v.U*v.U + 1e-300)
			s1 += w
			s2 += w * w
		}
		extra = (q - k) / (s1 - s2/s1)
	}
	m, u, _ := combine(extra)
	return Value{m, u}
}

// freedom is the degrees of freedom of the uncertainty u of the values' mean: what
// they scatter beyond their own uncertainties was estimated from them and has one
// degree less than there are values, what they bring with them has no limit; of both
// together by Welch and Satterthwaite (JCGM 100:2008, G.4.1). 0 is no limit.
func freedom(vs []Value, u float64) float64 {
	sw := 0.0
	for _, v := range vs {
		sw += 1 / (v.U*v.U + 1e-300)
	}
	share := 1 - 1/(sw*u*u) // of the scatter, in the variance
	if !(share > 1e-6) {    // none, but for rounding
		return 0
	}
	return float64(len(vs)-1) / (share * share)
}

// together is the correlation of the means of f0 and B, good to uF and uB, over plucks:
// that of each, as far as the uncertainties are the plucks' own and not their scatter.
func together(plucks []Pluck, uF, uB float64) float64 {
	sum, sF, sB := 0.0, 0.0, 0.0
	for _, p := range plucks {
		wF, wB := 1/(p.F0.U*p.F0.U+1e-300), 1/(p.B.U*p.B.U+1e-300)
		sum += wF * wB * p.Corr * p.F0.U * p.B.U
		sF, sB = sF+wF, sB+wB
	}
	if c := sum / (sF * sB) / (uF * uB); math.Abs(c) < 1 {
		return c
	}
	return 0
}
