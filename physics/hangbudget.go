package physics

import (
	"fmt"
	"math"
	"slices"
)

// A frame is the points of a line of f0² against the load, and by how much they
// all move with what they share.
type frame struct {
	points []point
	pinned []point // what they are where the ends are pinned
	shared []shared

	stiff                   Measured[Inharmonicity] // B·f0² of the string
	compliance, uCompliance float64                 // 1/(EA), strain per newton
}

// shared is one standard uncertainty that all points have in common.
type shared struct {
	term  Term    // with the U that it is moved by; its sensitivity is yet to be found
	moved []point // where the points are then
}

// frame lays out the points, the end factor in them.
func (r Rig) frame(hung []HungPoint, stiff Measured[Inharmonicity]) frame {
	f := frame{stiff: stiff}
	// What is known better than this is not known better than arithmetic.
	const exact = 1e-9
	var ends, b []point
	heaviest := stiff // B under the least pull, where it is largest
	for i, h := range hung {
		f2 := float64(h.F0.Value) * float64(h.F0.Value)
		at := Measured[Inharmonicity]{Value: stiff.Value / Inharmonicity(f2), U: stiff.U / Inharmonicity(f2), Assumed: stiff.Assumed}
		if i == 0 {
			heaviest = at
		}
		e := r.Ends.factor(at)
		u := max(2*h.F0.Relative(), exact) * f2
		p := point{float64(h.Pull.Value), f2, float64(h.Pull.U), u}
		f.pinned = append(f.pinned, p)
		p.y, p.uy = f2*e.value, u*e.value
		f.points = append(f.points, p)
		p.y = f2 * (e.value + e.ends)
		ends = append(ends, p)
		p.y = f2 * (e.value + e.b)
		b = append(b, p)
	}
	if r.Ends == EndsUnknown && stiff.Value+stiff.U > 0 {
		f.shared = append(f.shared, shared{Term{Input: "end condition", Said: "pinned or clamped, unknown", Assumed: true, Even: true, Reach: Reach{0, "known"}}, ends})
	}
	if r.Ends != EndsPinned && stiff.U > 0 {
		f.shared = append(f.shared, shared{Term{Input: string(StringInharmonicity), U: float64(heaviest.U), Assumed: stiff.Assumed,
			Said: heaviest.Expanded(1) + " under " + hung[0].Load.String()}, b})
	}
	f.scales(r, hung)
	return f
}

// scales adds what scales the loads: gravity that of masses, and what they share.
func (f *frame) scales(r Rig, hung []HungPoint) {
	scaled := func(u float64, is func(Load) bool) (moved []point, any bool) {
		for i, p := range f.points {
			if is(hung[i].Load) {
				p.x *= 1 + u
				any = true
			}
			moved = append(moved, p)
		}
		return moved, any && u > 0
	}
	if moved, any := scaled(r.Gravity.Relative(), Load.Weighs); any {
		f.shared = append(f.shared, shared{slope(string(LocalGravity), r.Gravity, 0), moved})
	}
	if moved, any := scaled(r.Scale.U, func(Load) bool { return true }); any {
		f.shared = append(f.shared, shared{r.Scale.weights(0), moved})
	}
}

// spread adds so much uncertainty to all loads.
func (f *frame) spread(extra float64) {
	f.points, f.pinned = spread(f.points, extra), spread(f.pinned, extra)
	for i := range f.shared {
		f.shared[i].moved = spread(f.shared[i].moved, extra)
	}
}

// relativeSaid prints a relative uncertainty, in parts per million where it is small.
func relativeSaid(relative float64) string {
	if relative < 1e-5 {
		return fmt.Sprintf("± %.2g ppm", 1e6*relative)
	}
	return fmt.Sprintf("± %.2g %%", 100*relative)
}

// conclude makes unit weight and offset of the line.
func (r Rig) conclude(h Hung, f frame) (Hung, error) {
	l := h.line
	weigh := func(l line) float64 { return 1 / (4 * float64(r.Length.Value) * float64(r.Length.Value) * l.slope) }
	mu, offset := weigh(l), l.intercept/l.slope
	relative := func(input, said string, u float64, assumed bool) Term {
		return Term{Input: input, Said: said, U: u, Sensitivity: -mu, Assumed: assumed}
	}
	loads, pitches, scatter := h.parts()
	assumed := slices.ContainsFunc(h.Points, func(p HungPoint) bool { return p.Pull.Assumed })
	said := func(u float64) string { return fmt.Sprintf("%d, %s of the slope", len(h.Points), relativeSaid(u)) }
	weighed, heard := relative("loads", said(loads), loads, assumed), relative("f0", said(pitches), pitches, false)
	if u := HungLoad.usage().reachRelative; loads > 0 {
		weighed.Reach = Reach{h.weighed(u), "each known to " + relativeSaid(u)}
	}
	if pitches > 0 {
		heard.Reach = Reach{pitches / 2, "from four times as many plucks"}
	}
	terms := []Term{weighed, heard, power(string(SpeakingLength), r.Length, mu, -2)}
	if scatter > 0 {
		terms = append(terms, relative("scatter about the line", "each load off by ± "+Format(h.Extra, h.Points[0].Pull.Unit, 2), scatter, false))
	}
	if h.Bent != 0 {
		// Which of its slopes the string answers for is not known.
		curve := relative("curve of the line", "anywhere between its middle and its end", l.steepening()/l.slope/math.Sqrt(3), false)
		curve.Even = true
		terms = append(terms, curve)
	}
	if r.Clock.U > 0 {
		terms = append(terms, r.Clock.term(-2*mu))
	}
	beside := h.besides(offset)
	for _, s := range f.shared {
		m, ok := fitLine(s.moved)
		if !ok {
			return Hung{}, h.misfit()
		}
		t := s.term
		if t.U == 0 {
			t.U = math.Abs(weigh(m)/mu - 1) // of the slope
		}
		if t.U > 0 {
			t.Sensitivity = (weigh(m) - mu) / t.U
		}
		if r.Ends == EndsUnknown && t.Input == "end condition" {
			if pinned, ok := fitLine(f.pinned); ok {
				t.Shift = mu - weigh(pinned)
			}
		}
		terms = append(terms, t)
		if d := m.intercept/m.slope - offset; d != 0 && t.U > 0 {
			t.Sensitivity, t.Shift = d/t.U, 0
			beside = append(beside, t)
		}
	}
	var err error
	h.UnitWeight, err = conclude(string(StringWeight), UnitWeight(mu), weightUnit(h.Points[0].Pull.Unit), terms...)
	if err != nil {
		return Hung{}, err
	}
	h.UnitWeight.Model = r.model(h, f)
	if h.Offset, err = concludeChange("offset of the loads", derived{value: offset, terms: beside}, h.Points[0].Pull.Unit); err != nil {
		return Hung{}, err
	}
	if heaviest := h.Points[len(h.Points)-1].Pull.Value; h.Free == 0 && max(h.Offset.Value, -h.Offset.Value) > heaviest/2 {
		// Nothing checks two loads, and one typed in another unit does this.
		return Hung{}, &InputError{What: "loads",
			Why: "would leave the string pulling " + h.Offset.Expanded(0) + " beside them, more than half of the heaviest",
			Fix: "check both loads and their units, or hang a third, which checks the two"}
	}
	return h, nil
}

// besides are the terms of the offset, intercept over slope, that are each load's own.
func (h Hung) besides(offset float64) []Term {
	l := h.line
	var loads, pitches, scatter float64
	extra := float64(h.Extra)
	for i, p := range l.points {
		// By how much the offset changes with the y of the point, a force per y.
		k := l.leverage(i)
		c := (l.weights[i]/l.sumWeight - l.meanX*k - offset*k) / l.slope
		b := c * l.slope
		loads += b * b * (p.ux*p.ux - extra*extra)
		pitches += c * c * p.uy * p.uy
		scatter += b * b * extra * extra
	}
	term := func(input string, v float64) Term {
		u := math.Sqrt(max(0, v))
		return Term{Input: input, Said: "± " + Format(Force(u), h.Points[0].Pull.Unit, 2) + " of the offset", U: u, Sensitivity: 1}
	}
	terms := []Term{term("loads", loads), term("f0", pitches)}
	terms[0].Assumed = slices.ContainsFunc(h.Points, func(p HungPoint) bool { return p.Pull.Assumed })
	if scatter > 0 {
		terms = append(terms, term("scatter about the line", scatter*h.fewer()*h.fewer()))
	}
	return terms
}
