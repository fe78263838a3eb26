package settle

import "math"

// A fitter has readings in the form in which laws are fitted to them.
type fitter struct {
	all    []Reading
	begin  float64 // time of the first
	span   float64 // s, of all; 0 where they are of one moment
	warm   float64 // mean warmth
	warmth *Warmth // nil where it does not count
	uWarm  float64

	points  []point // of each reading
	blocks  []point // means of them
	shapes  []float64
	scatter float64 // of neighbours
	alone   []bool
	wide    float64 // cents, within which readings lie that are something else
}

func newFitter(all []Reading, w *Warmth) *fitter {
	n := len(all)
	f := &fitter{all: all, begin: all[0].At, span: all[n-1].At - all[0].At, points: make([]point, n), shapes: make([]float64, n), warmth: w}
	expected := 0.0
	if w != nil {
		expected, f.uWarm = w.Cents, w.U
		for _, r := range all {
			f.warm += r.Warmer / float64(n)
		}
	}
	least, most := math.Inf(1), math.Inf(-1)
	flat := make([]Reading, n) // with what warmth does taken out
	for i, r := range all {
		p := &f.points[i]
		if f.span > 0 {
			p.t = (r.At - f.begin) / f.span
		}
		if w != nil {
			p.warm = r.Warmer - f.warm
		}
		p.y = r.Cents - expected*p.warm
		least, most = min(least, p.y), max(most, p.y)
		flat[i] = Reading{At: r.At, Cents: p.y, U: r.U}
	}
	f.scatter = localScatter(flat)
	f.alone = alone(flat, f.scatter)
	f.wide = most - least + 6*math.Hypot(f.scatter, medianU(all))
	return f
}

func medianU(all []Reading) float64 {
	u := make([]float64, len(all))
	for i, r := range all {
		u[i] = r.U
	}
	return median(u)
}

// A fitted law is the best fit of one, and what it makes of the readings.
type fitted struct {
	solution
	mixture
	off        []float64 // by which each reading lies above it
	parameters int       // in all, steps among them
	aicc       float64
}

// fit fits a law, with the readings divided into parts. Where firm it makes up its mind
// which of them are something else; otherwise only those do not count that stand alone.
func (f *fitter) fit(law Law, parts int, firm bool) *fitted {
	g := &fitted{parameters: law.parameters() + parts - 1, off: make([]float64, len(f.all)),
		mixture: mixture{scatter: f.scatter, wrong: wrongExpected, span: f.wide, weight: make([]float64, len(f.all))}}
	if f.uWarm > 0 {
		g.parameters++
	}
	for i := range g.weight {
		g.weight[i] = 1
		if f.alone[i] {
			g.weight[i] = 0
		}
	}
	const rounds, rough = 16, 4 // and then it is as good as it gets
	for round := range rounds {
		was := g.scatter
		f.settleOn(g, law, parts)
		if !g.ok {
			return nil
		}
		if firm && round < rough {
			g.doubt(f.all, g.off)
			continue
		}
		g.spread(f.all, g.off, g.parameters)
		moved := 0.0
		if firm {
			moved = g.weigh(f.all, g.off)
		}
		if moved < 0.01+1e-5*float64(len(f.all)) && math.Abs(g.scatter-was) <= 0.002*was {
			break
		}
	}
	for _, l := range g.levels {
		if !(l.weight > 0) {
			return nil
		}
	}
	g.aicc = f.criterion(g, 1)
	return g
}

// settleOn finds the best fit with the weights and the scatter that there are.
func (f *fitter) settleOn(g *fitted, law Law, parts int) {
	f.gather(&g.mixture)
	tau := 1.0
	if law.curved() {
		tau = f.bestTau(law, parts, g.tau)
	}
	g.solution = solve(f.blocks, parts, law, tau, f.uWarm, f.shapes)
	for i, p := range f.points {
		l := g.levels[p.part] // as at has it, without a variance
		g.off[i] = p.y - l.y - g.b*(g.shapeAt(p.t)-l.shape) - g.k*(p.warm-l.warm)
	}
}

// gather makes blocks of the readings with the weights of a mixture.
func (f *fitter) gather(m *mixture) {
	for i, r := range f.all {
		f.points[i].weight = m.weight[i] / (r.U*r.U + m.scatter*m.scatter)
	}
	f.blocks = mean(f.points, f.blocks)
}

// limits are those within which τ is looked for, by its logarithm. A shorter one would be
// told by the first reading alone, and one longer than the upper makes a line.
func (f *fitter) limits() (lo, hi float64) {
	const early, late = 0.1, 10 // of the time of the fourth reading, and of all
	fourth := f.points[min(3, len(f.points)-1)].t
	if !(fourth > 0) {
		fourth = 1e-3
	}
	return math.Log(early * fourth), math.Log(late)
}

// bestTau finds the τ of the best fit: by a coarse look at all, or near one that was best
// a moment ago, then by golden section.
func (f *fitter) bestTau(law Law, parts int, was float64) float64 {
	chi2 := func(x float64) float64 {
		s := solve(f.blocks, parts, law, math.Exp(x), f.uWarm, f.shapes)
		if !s.ok {
			return math.Inf(1)
		}
		return s.chi2
	}
	lo, hi := f.limits()
	const looks, near = 24, 0.2
	a, b := lo, hi
	if was > 0 {
		a, b = max(lo, math.Log(was)-near), min(hi, math.Log(was)+near)
	} else {
		step := (hi - lo) / looks
		best, least := lo, math.Inf(1)
		for i := range looks + 1 {
			if c := chi2(lo + float64(i)*step); c < least {
				best, least = lo+float64(i)*step, c
			}
		}
		a, b = max(lo, best-step), min(hi, best+step)
	}
	from, to := a, b
	const golden, fine = 0.6180339887498949, 1e-6
	x, y := b-golden*(b-a), a+golden*(b-a)
	cx, cy := chi2(x), chi2(y)
	for b-a > fine {
		if cx < cy {
			b, y, cy = y, x, cx
			x = b - golden*(b-a)
			cx = chi2(x)
		} else {
			a, x, cx = x, y, cy
			y = a + golden*(b-a)
			cy = chi2(y)
		}
	}
	best := (a + b) / 2
	switch { // the edge itself may be the best
	case best-from < 2*fine && from == lo:
		best = lo
	case to-best < 2*fine && to == hi:
		best = hi
	case was > 0 && (best-from < 2*fine || to-best < 2*fine):
		return f.bestTau(law, parts, 0) // it has moved away
	}
	return math.Exp(best)
}

// criterion is AICc of a fit, with readings that depend on each other counting for fewer
// by a factor (QAICc: Burnham and Anderson 2002, section 2.5, from memory). It is infinite
// where there are too few of them for so many parameters. What it corrects for few
// readings is the same for a line as for a pitch that stays: else few would always be said
// to stay, and that no drift was asked about would pass for that there is none.
func (f *fitter) criterion(g *fitted, dependence float64) float64 {
	n := 0.0
	for _, w := range g.weight {
		n += w
	}
	n /= dependence
	k := float64(g.parameters + 1) // the scatter is one too
	corrected, left := k, n-k-1
	if g.law == Linear {
		corrected, left = k-1, left+1
	}
	if !g.law.curved() {
		left = max(1, left)
	}
	if !(left > 0) {
		return math.Inf(1)
	}
	likeliest := g.mixture
	likeliest.spread(f.all, g.off, 0)
	return -2*likeliest.logLikelihood(f.all, g.off)/dependence + 2*k + 2*corrected*(corrected+1)/left
}
