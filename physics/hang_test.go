package physics

import (
	"math"
	"testing"
)

// hung are loads, in newtons, on a string of 2 g/m and 650 mm that pulls with an
// offset more, and is stretched by so much strain per newton: exactly as they are,
// and said to be known to 0.1 %.
func hung(offset, compliance float64, loads ...float64) []Hang {
	heaviest := 0.0
	for _, w := range loads {
		heaviest = max(heaviest, w+offset)
	}
	var out []Hang
	for _, w := range loads {
		pull := w + offset
		mu := UnitWeight(0.002 * (1 + compliance*heaviest) / (1 + compliance*pull))
		f := FrequencyOf(Force(pull), mu, 0.65)
		out = append(out, Hang{Load: Load{Force: Stated(Force(w), Force(w*1e-3))}, F0: Stated(f, f*1e-6),
			B: Stated(Inharmonicity(2e-3/pull), Inharmonicity(2e-6/pull))})
	}
	return out
}

func rig() Rig {
	return Rig{Length: Stated[Length](0.65, 0.1e-3), Ends: EndsPinned, Core: musicWire(), Gravity: AnyGravity()}
}

// compliant is the strain per newton of a steel core as stiff as that of hung.
func compliant() float64 {
	area := math.Sqrt(4 * math.Pi * float64(StiffnessOf(2e-3, 1, 0.65)) / 206e9)
	return 1 / (206e9 * area)
}

func TestHang(t *testing.T) {
	for _, c := range []struct {
		offset float64
		loads  []float64
	}{
		{0, []float64{20, 40, 60, 80, 100}},
		{1.5, []float64{100, 20, 60}}, // in any order
		{-3, []float64{20, 40, 60, 80, 100}},
		{0.5, []float64{60, 70, 80, 90, 100}},
		{2, []float64{30, 90}},
	} {
		h := must(rig().UnitWeight(hung(c.offset, compliant(), c.loads...)))
		if got := float64(h.UnitWeight.Value); math.Abs(got/0.002-1) > 2e-5 {
			t.Errorf("%v: %v kg/m, not 0.002", c, got)
		}
		if got := float64(h.Offset.Value); math.Abs(got-c.offset) > 2e-3 {
			t.Errorf("%v: offset %v", c, got)
		}
		if h.Chi2 > 1e-3 || h.Scatter != 1 || h.Odd >= 0 || h.Bent != 0 || h.Falls >= 0 {
			t.Errorf("%v: %+v", c, h)
		}
		for i, p := range h.Points {
			if i > 0 && p.Pull.Value < h.Points[i-1].Pull.Value {
				t.Errorf("%v: points out of order", c)
			}
			if float64(p.Pull.Value) != c.loads[p.Hangs[0]] {
				t.Errorf("%v: point %d is said to be hang %d", c, i, p.Hangs[0])
			}
			if math.Abs(float64(p.Off.Value)) > 1e-2 || math.Abs(p.Cents) > 0.1 {
				t.Errorf("%v: point %d lies %v off, %v cents", c, i, p.Off, p.Cents)
			}
		}
	}
}

// Without what a string stretches by, a tenth of this one's weight would be missing
// of its hundredth.
func TestStretchMatters(t *testing.T) {
	hangs := hung(0.5, compliant(), 60, 70, 80, 90, 100)
	f := rig().frame(must(rig().UnitWeight(hangs)).Points, stiffness(hangs))
	l, _ := fitLine(f.points)
	if plain := 1 / (4 * 0.65 * 0.65 * l.slope); math.Abs(plain/0.002-1) < 5e-4 {
		t.Errorf("the plain line gives %v: this test shows nothing", plain)
	}
	unknown := rig()
	unknown.Core = Material{}
	told, untold := must(rig().UnitWeight(hangs)), must(unknown.UnitWeight(hangs))
	if told.UnitWeight.Value != untold.UnitWeight.Value || told.UnitWeight.U >= untold.UnitWeight.U {
		t.Errorf("told %v, untold %v", told.UnitWeight.Measured, untold.UnitWeight.Measured)
	}
	if !has(untold.UnitWeight.Budget, "stretch", true) || !has(told.UnitWeight.Budget, "stretch", false) {
		t.Errorf("%+v\n%+v", told.UnitWeight.Budget, untold.UnitWeight.Budget)
	}
}

// What all loads or takes share moves the result as a whole, and is not averaged.
func TestHangShares(t *testing.T) {
	five := func() []Hang { return hung(1, compliant(), 20, 40, 60, 80, 100) }
	contribution := func(r Rig, hangs []Hang, input string) float64 {
		h := must(r.UnitWeight(hangs))
		for _, term := range h.UnitWeight.Budget {
			if term.Input == input {
				return term.Contribution() / float64(h.UnitWeight.Value)
			}
		}
		t.Errorf("no %s in %+v", input, h.UnitWeight.Budget)
		return 0
	}
	near := func(what string, got, want float64) {
		if math.Abs(got/want-1) > 2e-3 {
			t.Errorf("%s contributes %v, not %v", what, got, want)
		}
	}
	r := rig()
	r.Clock = Relative{U: 1e-4}
	near("clock", contribution(r, five(), "recorder clock"), 2e-4)
	near("length", contribution(r, five(), "speaking length"), 2*0.1/650)
	r.Scale = Relative{U: 5e-4}
	near("scale", contribution(r, five(), "weights"), 5e-4)
	masses := five()
	for i := range masses {
		m := float64(masses[i].Load.Force.Value) / StandardGravity
		masses[i].Load = Load{Mass: Stated(Mass(m), Mass(1e-3*m))}
	}
	near("gravity", contribution(r, masses, "gravity"), AnyGravity().Relative())
	forces, weights := must(rig().UnitWeight(five())), must(rig().UnitWeight(masses))
	if d := forces.UnitWeight.Value - weights.UnitWeight.Value; math.Abs(float64(d)) > 1e-12 {
		t.Errorf("as forces %v, as masses %v", forces.UnitWeight.Value, weights.UnitWeight.Value)
	}
	// The slope's own variance is that of least squares with what loads and f0 do.
	h := must(rig().UnitWeight(five()))
	slope, u := h.Slope()
	loads, f0 := contribution(rig(), five(), "loads"), contribution(rig(), five(), "f0")
	near("slope", math.Hypot(loads, f0), u/slope)
}

// Unknown ends count about half of what they do under one load: the offset takes the
// rest. Said by the roots that all clamped strings follow (Fletcher 1964).
func TestHangEnds(t *testing.T) {
	hangs := hung(0, compliant(), 20, 40, 60, 80, 100)
	clamped := rig()
	clamped.Ends = EndsClamped
	for i, h := range hangs {
		hangs[i].F0.Value = Frequency(float64(h.F0.Value) * ClampRaise(h.B.Value))
	}
	got := must(clamped.UnitWeight(hangs))
	// The stiffness heard goes with the square of the raised f0.
	if math.Abs(float64(got.UnitWeight.Value)/0.002-1) > 2e-4 {
		t.Errorf("clamped: %v", got.UnitWeight.Value)
	}
	unknown := rig()
	unknown.Ends = EndsUnknown
	h := must(unknown.UnitWeight(hangs))
	if off := math.Abs(float64(h.UnitWeight.Value) - 0.002); off > 1.8*float64(h.UnitWeight.U) {
		t.Errorf("unknown: %v, clamped 0.002", h.UnitWeight.Measured)
	}
	single := must(Stretch{Length: unknown.Length, F0: hangs[4].F0, B: hangs[4].B}.UnitWeight(Stated[Force](100, 0.1)))
	share := func(b Budget) float64 {
		for _, term := range b {
			if term.Input == "end condition" {
				return term.Contribution()
			}
		}
		return 0
	}
	if ratio := share(h.UnitWeight.Budget) / share(single.Budget); ratio < 0.4 || ratio > 0.9 {
		t.Errorf("the ends count %v times what they do under the heaviest load", ratio)
	}
}

func TestHangDiagnosis(t *testing.T) {
	loads := []float64{20, 40, 60, 80, 100}
	for _, c := range []struct {
		name  string
		spoil func([]Hang)
		odd   int
		bent  int
		falls int
	}{
		{"as it should be", func([]Hang) {}, -1, 0, -1},
		{"60 N read as 61.5", func(h []Hang) { h[2].Load.Force.Value = 61.5 }, 2, 0, -1},
		{"100 N read as 98", func(h []Hang) { h[4].Load.Force.Value = 98 }, 4, 0, -1},
		{"rubs ever more", func(h []Hang) {
			for i := range h {
				h[i].F0.Value *= Frequency(1 - 6e-7*loads[i]*loads[i])
			}
		}, -1, -1, -1},
		{"gives way", func(h []Hang) {
			for i := range h {
				h[i].F0.Value *= Frequency(1 + 6e-7*loads[i]*loads[i])
			}
		}, -1, 1, -1},
	} {
		hangs := hung(1, compliant(), loads...)
		c.spoil(hangs)
		h, err := rig().UnitWeight(hangs)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if h.Odd != c.odd || h.Bent != c.bent || h.Falls != c.falls {
			t.Errorf("%s: odd %d, bent %d, falls %d; chi-square %v", c.name, h.Odd, h.Bent, h.Falls, h.Chi2)
		}
		if c.odd >= 0 && (h.Farthest() != c.odd || !has(h.UnitWeight.Budget, "scatter about the line", false)) {
			t.Errorf("%s: farthest %d, %+v", c.name, h.Farthest(), h.UnitWeight.Budget)
		}
		// Under a lighter load it is stretched less.
		if rest := must(rig().UnitWeight(h.WithoutOdd(hangs))); c.odd >= 0 && math.Abs(float64(rest.UnitWeight.Value)/0.002-1) > 1.5e-3 {
			t.Errorf("%s: without it %v", c.name, rest.UnitWeight.Measured)
		}
		if u := float64(h.UnitWeight.U); math.Abs(float64(h.UnitWeight.Value)-0.002) > 3*u {
			t.Errorf("%s: %v", c.name, h.UnitWeight.Measured)
		}
	}
}

// Takes of one load count once, and what they differ by counts.
func TestHangPools(t *testing.T) {
	hangs := hung(1, compliant(), 20, 60, 100, 60, 60)
	hangs[1].F0.Value *= 1.001
	hangs[3].F0.Value *= 0.999
	hangs[4].Load = Load{Mass: Stated(Mass(60/StandardGravity), 0.01*60/StandardGravity)} // the same, less well known
	h := must(rig().UnitWeight(hangs))
	if len(h.Points) != 3 || len(h.Points[1].Hangs) != 3 {
		t.Fatalf("%+v", h.Points)
	}
	p := h.Points[1]
	if math.Abs(p.F0.Relative()-1e-3/math.Sqrt(3)) > 1e-4 || math.Abs(p.Pull.Relative()-0.01) > 1e-9 {
		t.Errorf("pooled to %v under %v", p.F0, p.Pull)
	}
}

func TestStillUnder(t *testing.T) {
	for _, c := range []struct {
		now  Frequency
		to   Force
		want bool
	}{
		{100, 40, true}, {101, 40, true}, {141, 40, false}, {130, 40, false}, {99, 40, true},
		{100, 10, true}, {70.7, 10, false}, {101, 10, true},
	} {
		if got := StillUnder(100, c.now, 20, c.to); got != c.want {
			t.Errorf("100 Hz under 20 N, %v under %v: %t", c.now, c.to, got)
		}
	}
}

// Lines through a million rigs like this one: loads, pitches and what they share drawn
// anew (JCGM 101:2008) and fitted once more, beside the budget.
func TestHangMonteCarlo(t *testing.T) {
	for _, ends := range []Ends{EndsUnknown, EndsPinned, EndsClamped} {
		for _, c := range []struct {
			off    Force   // factor by which the third load is misread
			within float64 // of the standard deviation
		}{{1, 0.01}, {1.01, 0.15}} { // two times u covers 95 % of what few points scatter, which has longer tails
			hangs := hung(1, compliant(), 20, 40, 60, 80, 100)
			hangs[2].Load.Force.Value *= c.off
			r := Rig{Length: Stated[Length](0.65, 0.1e-3), Clock: Relative{U: 1e-4, Assumed: true}, Ends: ends, Scale: Relative{U: 1e-3}}
			got := must(r.UnitWeight(hangs)).UnitWeight
			v := drawn(got)
			if u := float64(got.U); math.Abs(v.Mean-float64(got.Value)) > 0.02*u || math.Abs(v.U/u-1) > c.within || !v.Holds() {
				t.Errorf("ends %v, a load off by %v: %v ± %v, Monte Carlo %v ± %v", ends, float64(c.off), got.Value, got.U, v.Mean, v.U)
			}
		}
	}
}

// A line through the points that were fitted is that line.
func TestLineAgain(t *testing.T) {
	points := []point{{20, 81, 0.1, 1}, {41, 160, 0.2, 0.5}, {60, 243, 0.3, 2}, {79, 318, 0.1, 1}}
	l, ok := fitLine(points)
	if again := l.again(points, l.slope, 3); !ok || math.Abs(again/l.slope-1) > 1e-12 {
		t.Errorf("slope %v, again %v", l.slope, again)
	}
	for i := range points {
		points[i].y *= 1.01
	}
	if m, _ := fitLine(points); math.Abs(l.again(points, l.slope, 3)/m.slope-1) > 1e-6 {
		t.Errorf("slope %v, from nearby %v", m.slope, l.again(points, l.slope, 3))
	}
}
