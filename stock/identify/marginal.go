package identify

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// A marginal is a mixture as far as it concerns one trait or two, laid out to be gone
// through for many strings.
type marginal struct {
	at     [traitCount]int
	n      int
	parts  []part  // by along
	broad  broad   // the same where all are broad, or nil
	widest float64 // the greatest variance of a part along
	height float64 // logarithm of what the density of a string known for certain never exceeds
}

// A part is a component: the means of the two traits, their variances and covariance.
// There is no second where the marginal is of one.
type part struct {
	weight, mean, mean2, v, v2, cov float64
	along                           float64 // the mean of what marginal.along says of a string
}

// marginal is that of the mixture, of one trait or two.
func (m mixture) marginal(over mask) marginal {
	out := marginal{parts: make([]part, len(m))}
	out.at, out.n = over.list()
	a, b := out.at[0], out.at[1]
	for i := range m {
		c := &m[i]
		p := part{weight: c.weight, mean: c.mean[a], v: c.cov[a][a]}
		if out.n > 1 {
			p.mean2, p.v2, p.cov = c.mean[b], c.cov[b][b], c.cov[a][b]
		}
		var v float64
		p.along, v = out.along(&c.normal)
		out.widest = max(out.widest, v)
		out.parts[i] = p
		_, height := out.misfit(&p, &normal{})
		out.height += p.weight * math.Sqrt(height)
	}
	out.height = math.Log(out.height) + float64(out.n)*math.Log(perRoot)
	slices.SortFunc(out.parts, func(x, y part) int { return cmp.Compare(x.along, y.along) })
	out.broad = out.newBroad()
	return out
}

// along is the mean and variance of one number that parts are sorted by: the trait, and of two
// what does not change with a string's size, in which builds differ most.
func (m *marginal) along(x *normal) (mean, v float64) {
	a, b := m.at[0], m.at[1]
	if m.n == 1 {
		return x.mean[a], x.cov[a][a]
	}
	pa, pb := sizePowers[a], sizePowers[b]
	return pb*x.mean[a] - pa*x.mean[b], pb*pb*x.cov[a][a] + pa*pa*x.cov[b][b] - 2*pa*pb*x.cov[a][b]
}

// logDensity is the logarithm of the density of traits as they are known.
func (m *marginal) logDensity(x *normal) float64 {
	const none = 80 // e⁻⁴⁰ of the greatest term
	at, v := m.along(x)
	if m.broad != nil {
		if log, ok := m.broad.logDensity(at, v); ok {
			return log
		}
	}
	// Along one number nothing lies farther off, in standard deviations, than in all: parts
	// beyond reach of the nearest are none.
	near := m.nearest(at)
	least, height := m.misfit(&m.parts[near], x)
	sum := m.parts[near].weight * math.Sqrt(height)
	reach := math.Sqrt((least + none) * (v + m.widest))
	for _, run := range []struct{ from, step int }{{near - 1, -1}, {near + 1, 1}} {
		for i := run.from; i >= 0 && i < len(m.parts); i += run.step {
			p := &m.parts[i]
			if math.Abs(p.along-at) > reach {
				break
			}
			off, height := m.misfit(p, x)
			// Terms are added up relative to the one of least misfit so far.
			switch {
			case off < least:
				sum = p.weight*math.Sqrt(height) + sum*math.Exp((off-least)/2)
				least = off
				reach = math.Sqrt((least + none) * (v + m.widest))
			case off < least+none:
				sum += p.weight * math.Sqrt(height) * math.Exp((least-off)/2)
			}
		}
	}
	return math.Log(sum) - least/2 + float64(m.n)*math.Log(perRoot)
}

// nearest is the part that lies nearest along.
func (m *marginal) nearest(at float64) int {
	next := sort.Search(len(m.parts), func(i int) bool { return m.parts[i].along >= at })
	if next == len(m.parts) || next > 0 && at-m.parts[next-1].along < m.parts[next].along-at {
		next--
	}
	return next
}

// atMost is a bound of logDensity that is quickly worked out: a string that is known less
// well has less density, and no part lies nearer than the nearest along.
func (m *marginal) atMost(x *normal) float64 {
	at, v := m.along(x)
	off := at - m.parts[m.nearest(at)].along
	return m.height - off*off/(v+m.widest)/2
}

// misfit is how far a string's traits lie off, squared and in standard deviations, and the
// square of the greatest density, but for a factor.
func (m *marginal) misfit(p *part, x *normal) (off, height float64) {
	a, b := m.at[0], m.at[1]
	d, u := x.mean[a]-p.mean, x.cov[a][a]+p.v
	if m.n == 1 {
		height = 1 / u
		return d * d * height, height
	}
	d2, u2, both := x.mean[b]-p.mean2, x.cov[b][b]+p.v2, x.cov[a][b]+p.cov
	height = 1 / (u*u2 - both*both)
	return (d*(u2*d-2*both*d2) + u*d2*d2) * height, height
}

// atLeast is one as well: a part of it is no more than all.
func (m *marginal) atLeast(x *normal) float64 {
	at, _ := m.along(x)
	p := &m.parts[m.nearest(at)]
	off, height := m.misfit(p, x)
	return math.Log(p.weight*math.Sqrt(height)) - off/2 + float64(m.n)*math.Log(perRoot)
}
