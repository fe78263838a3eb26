package physics

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// An Explanation is what builds explain the evidence.
type Explanation struct {
	// Builds are those that do, each of other parts, the likeliest first. Those of
	// less than a thousandth are left out.
	Builds []Explained
	// Forms are all that do, those of one form taken together.
	Forms []Form
	// Tests are what would tell them apart, the most telling first.
	Tests []Test
}

// An Explained build is one that explains the evidence.
type Explained struct {
	Probability float64 // among all that do, being equally likely before
	// Fit is the probability that errors alone make a worse fit than the best of
	// its sizes, and Misfit the χ² of that, of one degree of freedom for each of
	// unit weight, stiffness, core and pitch that is known.
	Fit, Misfit float64
	Shape       Shape
	CoreOf      Material
	Core        Span[Length] // its size
	Wraps       []Part       // the innermost first

	sizings []sizing
}

// A Part is a wire of a build.
type Part struct {
	Of   Material
	Wire Span[Length] // its diameter
}

// worstFit is the probability of a worse fit below which a build does not explain
// the evidence.
const worstFit = 0.01

// rarest is the probability below which a build is not listed.
const rarest = 1e-3

// Builds finds the builds that explain the evidence: plain strings and those of one
// or two close wraps, with a core that is round or hexagonal, of the materials
// known.
//
// For each family of builds of the same parts, the proportions are free: the core's
// share of the outside diameter, from a tenth to nineteen twentieths, and with two
// wraps the inner one's share of their depth, from a fifth to four fifths, all
// equally likely before. The misfit is that of unit weight, outside diameter,
// stiffness, core and pitch, all errors taken as normal, those of handbook densities and
// moduli among them. Its likelihood is summed over the proportions; what the family
// has of the sum is its probability (Bayes' theorem), and the sizes' distribution
// follows. The error is an *InputError; where nothing explains the evidence it says
// what contradicts what.
func (e Evidence) Builds() (Explanation, error) {
	if err := e.Check(); err != nil {
		return Explanation{}, err
	}
	found := e.explain()
	if len(found) == 0 {
		return Explanation{}, e.contradiction()
	}
	unit := e.Outside.Unit
	x := Explanation{Forms: forms(found, unit), Tests: e.tests(found)}
	for _, b := range found {
		if b.Probability < rarest {
			break
		}
		b.Core = sizeSpan(b.sizings, 0).in(unit)
		for k := range b.Wraps {
			b.Wraps[k].Wire = sizeSpan(b.sizings, 1+k).in(unit)
		}
		x.Builds = append(x.Builds, b)
	}
	return x, nil
}

// explain lists the builds that explain the evidence, the likeliest first, their
// sizes not yet summed up.
func (e Evidence) explain() []Explained {
	var found []Explained
	total := 0.0
	for _, f := range e.Known.families() {
		s := e.survey(f)
		if s.sizings == nil || s.fit() < worstFit {
			continue
		}
		x := Explained{Fit: s.fit(), Misfit: s.least, Shape: f.shape, CoreOf: f.parts[0], sizings: s.sizings}
		for _, p := range s.sizings {
			x.Probability += p.weight
		}
		for _, m := range f.parts[1:] {
			x.Wraps = append(x.Wraps, Part{Of: m})
		}
		total += x.Probability
		found = append(found, x)
	}
	if total == 0 {
		return nil
	}
	for i := range found {
		x := &found[i]
		x.Probability /= total
		for j := range x.sizings {
			x.sizings[j].weight /= total
		}
	}
	slices.SortStableFunc(found, func(a, b Explained) int { return cmp.Compare(b.Probability, a.Probability) })
	return found
}

// A survey is what the evidence says of a family.
type survey struct {
	e       *Evidence
	f       *family
	y       yardstick
	least   float64 // χ² of the best proportion; infinite for none possible
	sizings []sizing
}

// The proportions looked at.
const (
	leastCore, mostCore   = 0.1, 0.95 // share of the outside diameter
	leastInner, mostInner = 0.2, 0.8  // share of the wraps' depth
	coreCells, innerCells = 128, 16
)

// negligible is the χ² beyond which a proportion counts for nothing: a family does
// not explain the evidence from less than half of it on.
const negligible = 30

func (e Evidence) survey(f family) *survey {
	s := &survey{e: &e, f: &f, y: e.yardstick(f.play()), least: math.Inf(1)}
	if len(f.parts) == 1 {
		p := proportion{core: 1}
		if !e.pitched() {
			r, m := s.residuals(p)
			s.add(p, r, m.v, f.prior)
		}
		return s
	}
	rows := 1
	if len(f.parts) > 2 {
		rows = innerCells
	}
	for i := range rows {
		s.row(leastInner+(mostInner-leastInner)*(float64(i)+0.5)/float64(rows), f.prior/float64(rows))
	}
	return s
}

// row sums over the core's share, for a share of the inner wrap. Between
// neighbouring cells' edges the residuals are taken as straight lines; a cell in
// which the likelihood rises and falls is divided further.
func (s *survey) row(inner, weight float64) {
	const width = (mostCore - leastCore) / coreCells
	var before residuals
	var last model
	for i := 0; i <= coreCells; i++ {
		p := proportion{leastCore + width*float64(i), inner}
		r, m := s.residuals(p)
		if middle := (proportion{p.core - width/2, inner}); i > 0 && s.f.possible(middle, s.e.Outside.Value) {
			s.cell(before, r, (last.v+m.v)/2, middle, width, weight/coreCells)
		}
		before, last = r, m
	}
}

// cell sums over a cell from the residuals at its edges.
func (s *survey) cell(from, to residuals, v float64, middle proportion, width, weight float64) {
	var rise residuals
	for i := range s.y.n {
		rise[i] = to[i] - from[i]
	}
	// χ² is steep·t² + 2·turn·t + start over the cell, t from 0 to 1.
	steep, turn, start := s.y.product(rise, rise, v), s.y.product(rise, from, v), s.y.product(from, from, v)
	best := 0.0
	if steep > 0 {
		best = min(max(-turn/steep, 0), 1)
	}
	least := (steep*best+2*turn)*best + start
	s.least = min(s.least, max(least, 0))
	if least > negligible {
		return
	}
	const finer, finest = 4, 256 // parts of a standard deviation, of a cell
	n := int(min(max(1, math.Ceil(finer*math.Sqrt(steep))), finest))
	for i := range n {
		t := (float64(i) + 0.5) / float64(n)
		r := from
		for j := range s.y.n {
			r[j] += t * rise[j]
		}
		s.add(proportion{middle.core + width*(t-0.5), middle.inner}, r, v, weight/float64(n))
	}
}

// residuals are those of a proportion.
func (s *survey) residuals(p proportion) (residuals, model) {
	m := s.f.at(p)
	d := math.Log(float64(s.e.Outside.Value))
	r := residuals{math.Log(float64(s.e.UnitWeight.Value)) - 2*d - math.Log(m.weight)}
	n := 1
	if s.e.stiff() {
		r[n] = math.Log(float64(s.e.Stiffness.Value)) - 4*d - math.Log(s.f.stiffness(p))
		n++
	}
	if s.e.cored() {
		r[n] = math.Log(float64(s.e.Core.Value)) - d - math.Log(p.core/s.f.shape.over())
		n++
	}
	if s.e.pitched() {
		r[n] = math.Log(float64(s.e.Pitch.Value)) - d - math.Log(s.f.pitch(p))
	}
	return r, m
}

// add adds a proportion of the weight given.
func (s *survey) add(p proportion, r residuals, v, weight float64) {
	misfit := s.y.product(r, r, v)
	if len(s.f.parts) == 1 {
		s.least = max(misfit, 0)
	}
	if misfit > negligible {
		return
	}
	// What the residuals say of the error of the outside diameter, which they
	// share.
	d := float64(s.e.Outside.Value) * math.Exp(s.y.u*s.y.u*s.y.product(s.y.powers, r, v))
	known := s.y.u * s.y.u * s.y.product(s.y.powers, s.y.powers, v)
	pt := sizing{
		weight: weight * s.y.height(v) * math.Exp(-misfit/2),
		spread: s.y.u * math.Sqrt(max(1-known, 0)),
		ei:     s.f.stiffness(p) * d * d * d * d,
		uEI:    s.f.play(),
	}
	pt.sizes[0] = p.core / s.f.shape.over() * d
	for i, w := range p.wires(len(s.f.parts) - 1) {
		pt.sizes[1+i] = w * d
	}
	if n := len(s.f.parts) - 1; n > 0 {
		pt.pitch = s.f.pitch(p) * d
	}
	s.sizings = append(s.sizings, pt)
}

// fit is the probability that errors alone make a worse fit.
func (s *survey) fit() float64 {
	return distuv.ChiSquared{K: float64(s.y.n)}.Survival(s.least)
}
