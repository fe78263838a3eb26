package settle

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// An Estimate is a value with its standard uncertainty, half of what holds the truth in
// 95 % of cases, and the interval that does.
type Estimate struct{ Value, U, Low, High float64 }

// unknown is what cannot be told.
var unknown = Estimate{math.NaN(), math.NaN(), math.NaN(), math.NaN()}

// A Judged reading is one as it was understood.
type Judged struct {
	Reading
	Level  float64 // Cents with what warmth does taken out, as the likeliest law has it
	Law    float64 // what that law has there
	Weight float64 // probability that it belongs to it
	Part   int     // after how many steps
}

// Odd tells that it is something else more likely than not.
func (j Judged) Odd() bool { return j.Weight < 0.5 }

// A Told law is one with what the readings say of it: pitches in cents, times in
// seconds from the first reading.
type Told struct {
	Law    Law
	Weight float64 // of evidence, of all laws together 1
	AICc   float64
	A      Estimate // before the first step
	B      Estimate // per second of a linear law; zero where the law has none
	Tau    Estimate // zero where the law has none
	// TauTold tells that the readings bound τ on both sides, within what was looked for.
	TauTold bool
	// Where a law is out of the question its τ and how far off it may be are not looked at.
}

// A Step is where the pitch jumped.
type Step struct {
	After, Before float64 // time of the last reading before it and of the first one after
	Size          Estimate
}

// A Course is how a pitch went.
type Course struct {
	Readings []Judged
	Laws     []Told // the likeliest first
	Steps    []Step
	// Restless tells that the pitch jumps so often that no steps were told apart.
	Restless bool
	// Straight tells that there are too few readings to ask after a law that bends.
	Straight bool
	// Scatter is by how much readings scatter about the likeliest law beyond their own u.
	Scatter float64
	// Wander is the correlation of how far readings lie off that law with the next one's,
	// where that is more than chance: none of the laws is quite true. Uncertainties are
	// enlarged for it.
	Wander float64
	// Warmth is what the readings say of it together with what was known; nil where it
	// was not given.
	Warmth *Estimate

	fitter *fitter
	parts  []component
	dof    float64
	wider  float64 // variance, for readings that depend on each other
}

// A component is one law with one τ, and its weight among all.
type component struct {
	solution
	weight float64
}

// Of tells the course of a pitch from readings in the order of time. The warmth may be
// nil: then temperatures do not count. The error is a *TooFewError or an
// *physics.InputError.
func Of(all []Reading, w *Warmth) (*Course, error) {
	if err := check(all, w); err != nil {
		return nil, err
	}
	f := newFitter(all, w)
	fits, steps, restless := f.divide()
	for {
		c := f.course(fits, steps)
		c.Restless = restless
		i := c.needless()
		if i < 0 {
			return c, nil
		}
		steps = slices.Delete(steps, i, i+1)
		f.part(steps)
		fits = f.fitAll(len(steps)+1, true)
	}
}

// course is what the fits of the laws come to.
func (f *fitter) course(fits []*fitted, steps []int) *Course {
	c := &Course{fitter: f, Scatter: fits[0].scatter}
	c.depend(fits[0])
	for _, g := range fits {
		g.aicc = f.criterion(g, c.wider)
	}
	slices.SortStableFunc(fits, func(a, b *fitted) int { return cmp.Compare(a.aicc, b.aicc) })
	c.Straight = !slices.ContainsFunc(fits, func(g *fitted) bool { return g.law.curved() })
	c.average(fits)
	c.judge(fits[0])
	c.step(steps)
	if w := f.warmth; w != nil {
		c.Warmth = &Estimate{w.Cents, 0, w.Cents, w.Cents}
		if w.U > 0 {
			*c.Warmth = c.moments(func(s *solution) (float64, float64) { return w.Cents + s.k, s.kk })
		}
	}
	return c
}

// needless is the step that most likely is none, all laws considered, or −1 where each is
// one.
func (c *Course) needless() int {
	which, least := -1, 1.0
	for i, s := range c.Steps {
		if z := math.Abs(s.Size.Value) / (2 * s.Size.U); z < least {
			which, least = i, z
		}
	}
	return which
}

// depend tells whether readings lie off the law together with their neighbours, more
// than chance has them do, and what that takes from them: they count for fewer, as those
// of an autoregression of first order would.
func (c *Course) depend(g *fitted) {
	c.wider = 1
	var last, both, square float64
	n := 0.0
	for i, r := range c.fitter.all {
		if g.weight[i] < 0.5 {
			continue
		}
		v := r.U*r.U + g.scatter*g.scatter
		z := g.off[i] / math.Sqrt(v)
		both += z * last
		square += z * z
		last = z
		n++
	}
	if rho := both / square; square > 0 && rho > 2.6/math.Sqrt(n) { // one in two hundred by chance
		c.Wander = min(rho, 0.95)
		c.wider = (1 + c.Wander) / (1 - c.Wander)
	}
	c.dof = max(2, n/c.wider-float64(g.parameters)) // of fewer a Student's t says nothing
}

// judge says what the likeliest law makes of each reading.
func (c *Course) judge(g *fitted) {
	for i, r := range c.fitter.all {
		p := c.fitter.points[i]
		c.Readings = append(c.Readings, Judged{Reading: r, Level: p.y - g.k*p.warm, Law: p.y - g.k*p.warm - g.off[i], Weight: g.weight[i], Part: p.part})
	}
}

// step says how large each step is.
func (c *Course) step(steps []int) {
	for i, at := range steps {
		part := i + 1
		c.Steps = append(c.Steps, Step{After: c.fitter.all[at-1].At, Before: c.fitter.all[at].At,
			Size: c.moments(func(s *solution) (float64, float64) { return s.step(part) })})
	}
}

// At is the pitch at a time, by all laws, at the mean temperature of the readings.
// Beyond the readings it is what would be were there no further step.
func (c *Course) At(t float64) Estimate {
	part := sort.Search(len(c.Steps), func(i int) bool { return c.Steps[i].Before > t })
	x := c.fitter.scaled(t)
	return c.moments(func(s *solution) (float64, float64) { return s.at(x, 0, part) })
}

// Drift is how fast the pitch moves at a time, cents per second, by all laws. It is NaN
// where all readings are of one moment.
func (c *Course) Drift(t float64) Estimate {
	x, span := c.fitter.scaled(t), c.fitter.span
	if span == 0 {
		return unknown
	}
	return c.moments(func(s *solution) (float64, float64) {
		r := s.law.rate(x, s.tau) / span
		return s.b * r, s.bb * r * r
	})
}

func (f *fitter) scaled(t float64) float64 {
	if f.span == 0 {
		return 0
	}
	return (t - f.begin) / f.span
}

// Span is the time from the first reading to the last, in seconds.
func (c *Course) Span() float64 { return c.fitter.span }

// Gap is the longest time between two readings next to each other, and whether that is
// long beside the rest: over a third of all, and ten times the usual.
func (c *Course) Gap() (from, to float64, long bool) {
	var all []float64
	for i := 1; i < len(c.Readings); i++ {
		d := c.Readings[i].At - c.Readings[i-1].At
		if d > to-from {
			from, to = c.Readings[i-1].At, c.Readings[i].At
		}
		all = append(all, d)
	}
	return from, to, to-from > c.fitter.span/3 && to-from > 10*median(all)
}

// MeanWarmer is the mean of the readings' temperatures, of which the pitches told are,
// where warmth was taken out.
func (c *Course) MeanWarmer() float64 { return c.fitter.warm }
