package physics

import (
	"fmt"
	"math"
	"slices"
)

// A Hang is a load on a string and how the string sounded under it.
type Hang struct {
	Load Load
	F0   Measured[Frequency]     // as in Stretch
	B    Measured[Inharmonicity] // as in Stretch
}

// A Rig is what several loads hang on, one after the other: one string at one
// speaking length. The loads may pull more or less than they weigh, by the same
// force each: a hanger that was not weighed, a spring, friction.
type Rig struct {
	Length  Measured[Length]
	Gravity Measured[Acceleration] // what masses hang by; not used where there are none
	// Scale is the relative standard uncertainty that all loads share, as weights of
	// one set may; zero where their uncertainties are independent.
	Scale Relative
	Clock Relative // of one recorder, as in Stretch
	Ends  Ends
	// Core is what the string's core is made of, which says how much it stretches; zero
	// where that is not known.
	Core Material
}

// A HungPoint is what was heard under one load, all its takes together.
type HungPoint struct {
	Load  Load
	Pull  Measured[Force] // of the load alone
	F0    Measured[Frequency]
	Hangs []int // which of those given
	// Off is how much more it pulls than the line says, its uncertainty that of the load
	// and f0 together, and Cents how far its f0 lies above the line.
	Off   Measured[Force]
	Cents float64
	// Square is f0² brought to a flexible string that is stretched as under the heaviest
	// load, in Hz², and USquare its standard uncertainty.
	Square, USquare float64
}

// A Hung string is what several loads say of it.
type Hung struct {
	UnitWeight Result[UnitWeight]
	// Offset is how much harder the string pulls than its load. Terms of the budget:
	// "loads", "f0", and as those of UnitWeight.
	Offset Result[Force]
	Points []HungPoint // in the order of their pulls
	Chi2   float64
	Free   int     // degrees of freedom of Chi2: points less two
	Chance float64 // probability that chance makes Chi2 as large or larger
	// Scatter is by what factor the points lie farther from the line than their
	// uncertainties say, Birge's ratio, 1 where chance explains it. Extra is the force
	// that each load errs by then, standard deviation; it is in the budget.
	Scatter float64
	Extra   Force
	// Odd is the index of the one point that does not belong to the others, and Bent
	// tells whether they follow a curve instead of a line, upward (1) or downward (−1).
	// Each is −1 or 0 where that cannot be said.
	Odd  int
	Bent int
	// Falls is the index of a point that sounds lower than that before it, −1 for none.
	Falls int

	line line
}

// Slope is that of f0², brought to a flexible string, against the load in Hz²/N, with
// its standard uncertainty from loads, f0 and scatter.
func (h Hung) Slope() (slope, u float64) {
	return h.line.slope, math.Sqrt(h.widened() * h.line.varSlope)
}

// At is f0² of the flexible string on the line where the load pulls so much, in Hz²,
// with its standard uncertainty from loads, f0 and scatter.
func (h Hung) At(pull Force) (square, u float64) {
	square, v := h.line.at(float64(pull))
	return square, math.Sqrt(h.widened() * v)
}

// Farthest is the index of the point that lies farthest off the line by its
// uncertainties.
func (h Hung) Farthest() int {
	far, least := 0, math.Inf(1)
	for i := range h.Points {
		if rest := h.line.without(i); rest < least {
			far, least = i, rest
		}
	}
	return far
}

// WithoutOdd are the hangs that the line was made of but for those of the odd point.
func (h Hung) WithoutOdd(hangs []Hang) []Hang {
	if h.Odd < 0 {
		return hangs
	}
	var out []Hang
	for i, g := range hangs {
		if !slices.Contains(h.Points[h.Odd].Hangs, i) {
			out = append(out, g)
		}
	}
	return out
}

// roughestLine is the largest relative standard uncertainty of a slope that is
// taken for a measurement: of loads and takes that fit each other none is as bad.
const roughestLine = 0.05

// UnitWeight is the unit weight of the string, as it is stretched under the heaviest
// load, from the line of f0² against the load: its slope is 1/(4µL²), whatever the
// offset of all loads is. Terms of the budget: "loads", "f0", "speaking length", and
// where they matter "scatter about the line", "curve of the line", "gravity", "weights", "recorder clock", "end condition", "inharmonicity" and "stretch". The
// order of the hangs does not matter, and those of one load are taken together. The
// error is an *InputError.
//
// B·T is one number for a string at one length (Fletcher 1964), so the stiffness
// heard under all loads is brought to each by the square of its frequency. What all
// points share, such as the clock or the ends, is not averaged away: the line is
// fitted once more with all of them shifted by one standard uncertainty.
func (r Rig) UnitWeight(hangs []Hang) (Hung, error) {
	if err := r.check(hangs); err != nil {
		return Hung{}, err
	}
	if err := alike(hangs); err != nil {
		return Hung{}, err
	}
	points := r.pool(hangs)
	if len(points) < 2 {
		return Hung{}, &InputError{What: "loads", Why: "are all the same", Fix: "hang two different loads, better five"}
	}
	stiff := stiffness(hangs)
	f := r.frame(points, stiff)
	l, ok := fitLine(f.points)
	if ok && l.slope > 0 {
		f.relax(r, l, stiff)
		l, ok = fitLine(f.points)
	}
	h := Hung{Points: points, Chi2: l.chi2, Free: l.free(), Falls: falls(f.points, l.slope)}
	if !ok || !(l.slope > 0) {
		return Hung{}, h.misfit()
	}
	h.Chance, h.Scatter = l.chance(), l.birge()
	loose, extra, ok := loosen(f.points)
	if !ok || !(loose.slope > 0) {
		return Hung{}, h.misfit()
	}
	h.line, h.Extra = loose, Force(extra)
	h.Odd, h.Bent = verdict(l, loose)
	if slope, u := h.Slope(); u > roughestLine*slope {
		return Hung{}, h.misfit()
	}
	for i, q := range f.points {
		h.Points[i].lie(q, loose.residual(i), loose.slope)
	}
	f.spread(extra)
	return r.conclude(h, f)
}

// lie notes where the point is and how far above a line of the slope given.
func (p *HungPoint) lie(q point, off, slope float64) {
	p.Square, p.USquare = q.y, q.uy
	p.Off = Stated(Force(off/slope), Force(math.Hypot(q.ux, q.uy/slope)))
	p.Cents = 600 * math.Log2(q.y/(q.y-off))
}

// misfit is the error of loads and takes that do not make a line.
func (h Hung) misfit() error {
	e := &InputError{What: "loads", Why: "and what was heard under them lie on no line",
		Fix: "check which take belongs to which load, and hang loads further apart"}
	if i := h.Falls; i > 0 {
		e.Why = fmt.Sprintf("and what was heard under them do not belong together: %s sounds lower than %s",
			h.Points[i].Load, h.Points[i-1].Load)
		e.Fix = "check which take belongs to which load"
	}
	return e
}

// falls is the index of the first point that lies lower than that before it by
// more than their uncertainties, −1 for none.
func falls(points []point, slope float64) int {
	const beyond = 3 // standard uncertainties
	for i, p := range points[1:] {
		q := points[i]
		u := math.Hypot(math.Hypot(p.uy, q.uy), slope*math.Hypot(p.ux, q.ux))
		if p.y-q.y < -beyond*u {
			return i + 1
		}
	}
	return -1
}

func (r Rig) check(hangs []Hang) error {
	if len(hangs) == 0 {
		return &InputError{What: "loads", Why: "are missing", Fix: "hang two different loads, better five"}
	}
	for _, h := range hangs {
		if h.Load.Weighs() {
			if err := r.Gravity.check(string(LocalGravity)); err != nil {
				return err
			}
		}
		if err := h.Load.Pull(r.Gravity.Value).check(string(HungLoad)); err != nil {
			return err
		}
		s := Stretch{Length: r.Length, F0: h.F0, B: h.B, Clock: r.Clock, Ends: r.Ends}
		if err := s.check(); err != nil {
			return err
		}
	}
	return checkU(weights, r.Scale.U)
}

// StillUnder tells whether a string that sounded at one f0 under one load sounds as if
// it had not been given the other yet: the square of its f0 has come less than half
// of the way.
func StillUnder(before, now Frequency, from, to Force) bool {
	way := float64(to-from) / float64(from)
	moved := math.Pow(float64(now/before), 2) - 1
	return math.Abs(moved) < math.Abs(way)/2 || moved*way < 0
}

// Band is the standard uncertainty of the line where the load pulls so much, as a
// force.
func (h Hung) Band(pull Force) Force {
	_, u := h.At(pull)
	return Force(u / h.line.slope)
}
