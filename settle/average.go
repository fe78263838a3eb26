package settle

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"
)

// negligible is the weight of a law of which it does not matter what else it may be.
const negligible = 1e-4

// average weighs all laws, and all τ that a law may have.
func (c *Course) average(fits []*fitted) {
	sum := 0.0
	for _, g := range fits {
		w := math.Exp((fits[0].aicc - g.aicc) / 2)
		sum += w
		c.Laws = append(c.Laws, Told{Law: g.law, Weight: w, AICc: g.aicc})
	}
	for i, g := range fits {
		t := &c.Laws[i]
		t.Weight /= sum
		own := []component{{g.solution, 1}}
		if g.law.curved() && t.Weight > negligible {
			own = c.spread(g)
		}
		c.tell(t, own)
		for _, p := range own {
			p.weight *= t.Weight
			c.parts = append(c.parts, p)
		}
	}
}

// spread is a law with each τ that it may have: over a grid of ln τ the profile of the
// likelihood, by Student's t as the scatter is not known.
func (c *Course) spread(g *fitted) []component {
	f, parts := c.fitter, len(g.levels)
	f.gather(&g.mixture)
	at := func(x float64) solution { return solve(f.blocks, parts, g.law, math.Exp(x), f.uWarm, f.shapes) }
	const far = 18 // of chi-squared: beyond that nothing counts
	worse := func(x float64) float64 {
		s := at(x)
		if !s.ok {
			return math.Inf(1)
		}
		return max(0, s.chi2-g.chi2) / c.wider
	}
	reach := far * max(1, 3*c.tail()/2) // Student's t reaches farther
	best := math.Log(g.tau)
	edge := func(limit float64) float64 {
		if worse(limit) <= reach {
			return limit
		}
		in, out := best, limit
		for range 20 {
			if mid := (in + out) / 2; worse(mid) <= reach {
				in = mid
			} else {
				out = mid
			}
		}
		return out
	}
	lo, hi := f.limits()
	lo, hi = edge(lo), edge(hi)
	const steps = 40
	var out []component
	sum := 0.0
	for i := range steps + 1 {
		s := at(lo + (hi-lo)*float64(i)/steps)
		if !s.ok {
			continue
		}
		w := math.Pow(1+max(0, s.chi2-g.chi2)/c.wider/c.dof, -(c.dof+1)/2)
		if i == 0 || i == steps {
			w /= 2
		}
		sum += w
		out = append(out, component{s, w})
	}
	for i := range out {
		out[i].weight /= sum
	}
	return out
}

// tail is how much farther 95 % reach than those of a normal distribution.
func (c *Course) tail() float64 { return c.student().Quantile(0.975) / 1.96 }

func (c *Course) student() distuv.StudentsT { return distuv.StudentsT{Sigma: 1, Nu: c.dof} }

// tell works out what is known of the parameters of a law.
func (c *Course) tell(t *Told, own []component) {
	t.A = c.interval(own, func(s *solution) (float64, float64) { return s.a() })
	if !t.Law.sloped() {
		return
	}
	perTime := 1.0
	if t.Law == Linear {
		perTime = c.fitter.span
	}
	t.B = c.interval(own, func(s *solution) (float64, float64) { return s.b / perTime, s.bb / perTime / perTime })
	if !t.Law.curved() || len(own) < 2 {
		return
	}
	// The grid is even in ln τ: the distribution is linear between its points.
	x, p := make([]float64, len(own)), make([]float64, len(own))
	sum := 0.0
	for i, o := range own {
		x[i], p[i] = math.Log(o.tau), sum+o.weight/2
		sum += o.weight
	}
	at := func(q float64) float64 {
		i := sort.SearchFloat64s(p, q)
		if i == 0 || i == len(p) {
			return c.fitter.span * math.Exp(x[min(i, len(p)-1)])
		}
		return c.fitter.span * math.Exp(x[i-1]+(x[i]-x[i-1])*(q-p[i-1])/(p[i]-p[i-1]))
	}
	t.Tau = Estimate{Value: at(0.5), Low: at(0.025), High: at(0.975)}
	t.Tau.U = (t.Tau.High - t.Tau.Low) / 4
	lo, hi := c.fitter.limits()
	first, last := own[0], own[len(own)-1]
	most := 0.0
	for _, o := range own {
		most = max(most, o.weight)
	}
	edge := func(o component, limit float64) bool { // it could as well lie beyond
		return math.Abs(math.Log(o.tau)-limit) < 1e-9 && o.weight > most/50
	}
	t.TauTold = !edge(first, lo) && !edge(last, hi)
}

// interval is the estimate of something of which each component has a value and a
// variance: the median, and the middle 95 %.
func (c *Course) interval(own []component, of func(*solution) (value, variance float64)) Estimate {
	type normal struct{ mean, sd, weight float64 }
	var all []normal
	lo, hi := math.Inf(1), math.Inf(-1)
	t := c.student()
	reach, below := t.Quantile(0.999), t.CDF
	if c.dof > 200 {
		below = distuv.UnitNormal.CDF // the same, and fast
	}
	for i := range own {
		m, v := of(&own[i].solution)
		n := normal{m, root(v * c.wider), own[i].weight}
		lo, hi = min(lo, m-reach*n.sd), max(hi, m+reach*n.sd)
		all = append(all, n)
	}
	quantile := func(q float64) float64 {
		a, b := lo, hi
		for range 36 { // to a millionth of a millionth of the whole
			mid := (a + b) / 2
			p := 0.0
			for _, n := range all {
				if n.sd > 0 {
					p += n.weight * below((mid-n.mean)/n.sd)
				} else if mid >= n.mean {
					p += n.weight
				}
			}
			if p < q {
				a = mid
			} else {
				b = mid
			}
		}
		return (a + b) / 2
	}
	e := Estimate{Value: quantile(0.5), Low: quantile(0.025), High: quantile(0.975)}
	e.U = (e.High - e.Low) / 4
	return e
}

// moments is the estimate of something by all laws together, from the mean and the
// variance.
func (c *Course) moments(of func(*solution) (value, variance float64)) Estimate {
	var mean, spread float64
	for i := range c.parts {
		m, _ := of(&c.parts[i].solution)
		mean += c.parts[i].weight * m
	}
	for i := range c.parts {
		m, v := of(&c.parts[i].solution)
		spread += c.parts[i].weight * (v*c.wider + (m-mean)*(m-mean))
	}
	half := 1.96 * c.tail() * root(spread)
	return Estimate{mean, half / 2, mean - half, mean + half}
}
