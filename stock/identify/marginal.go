package identify

import "math"

// A marginal is a mixture as far as it concerns one trait or two, laid out to be gone
// through for many strings.
type marginal struct {
	at    [traitCount]int
	n     int
	parts []part
}

// A part is a component: the means of the two traits, their variances and covariance.
// There is no second where the marginal is of one.
type part struct {
	weight, mean, mean2, v, v2, cov float64
}

// marginal is that of the mixture, of one trait or two.
func (m mixture) marginal(over mask) marginal {
	out := marginal{parts: make([]part, len(m))}
	out.at, out.n = over.list()
	a, b := out.at[0], out.at[1]
	for i := range m {
		c := &m[i]
		out.parts[i] = part{weight: c.weight, mean: c.mean[a], v: c.cov[a][a]}
		if out.n > 1 {
			out.parts[i].mean2, out.parts[i].v2, out.parts[i].cov = c.mean[b], c.cov[b][b], c.cov[a][b]
		}
	}
	return out
}

// logDensity is the logarithm of the density of traits as they are known.
func (m *marginal) logDensity(x *normal) float64 {
	const none = 80 // e⁻⁴⁰ of the greatest term
	a, b := m.at[0], m.at[1]
	mean, v, mean2, v2, cov := x.mean[a], x.cov[a][a], x.mean[b], x.cov[b][b], x.cov[a][b]
	sum, least := 0.0, math.Inf(1)
	for i := range m.parts {
		p := &m.parts[i]
		var off, height float64
		d, u := mean-p.mean, v+p.v
		if m.n == 1 {
			height = 1 / u
			off = d * d * height
		} else {
			d2, u2, both := mean2-p.mean2, v2+p.v2, cov+p.cov
			height = 1 / (u*u2 - both*both)
			off = (d*(u2*d-2*both*d2) + u*d2*d2) * height
		}
		// Terms are added up relative to the one of least misfit so far.
		switch {
		case off < least:
			sum = p.weight*math.Sqrt(height) + sum*math.Exp((off-least)/2)
			least = off
		case off < least+none:
			sum += p.weight * math.Sqrt(height) * math.Exp((least-off)/2)
		}
	}
	return math.Log(sum) - least/2 + float64(m.n)*math.Log(perRoot)
}

// partly is a part of it, and so no more than all.
func (m *marginal) partly(x *normal) float64 {
	one := marginal{m.at, m.n, m.parts[len(m.parts)/2:][:1]}
	return one.logDensity(x)
}
