package lesson

import (
	"fmt"
	"math"

	"pluckweigh/calib"
	"pluckweigh/physics"
	"pluckweigh/safety"
)

const openStax = "M. Mersenne, Harmonie universelle (1636); OpenStax, University Physics 1, 16.3 and 16.6: f = √(T/µ)/(2L)"

// inCents is a residual of the logarithm of a frequency in cents, inCentsSquare of that of its
// square.
func inCents(r, _ float64) float64       { return r * 1200 / math.Ln2 }
func inCentsSquare(r, _ float64) float64 { return r * 600 / math.Ln2 }

// power is v to a power.
func power(v Value, n float64) Value {
	p := math.Pow(v.V, n)
	return Value{V: p, U: math.Abs(n*p/v.V) * v.U}
}

func times(v Value, n float64) Value { return Value{V: n * v.V, U: math.Abs(n) * v.U} }

// exponent is the slope in logarithms, of which the law says what it is.
func exponent(name string, expected float64) finding {
	return finding{Finding: Finding{Name: name, Symbol: "p", Expected: &Value{V: expected}}, of: slope(0)}
}

// squared places f0² of a point.
func squared(p Point) Value { return power(p.Y, 2) }

// optionally is an axis that may be missing.
func optionally(a Axis, says string) Axis {
	a.Optional, a.Says = true, says
	return a
}

// length is how the pitch goes with the length.
func length() *Lesson {
	l := &Lesson{
		ID: "length", Title: "Length and pitch", Question: "How does the pitch depend on the length of the string?",
		Law:    "At one pull f0 goes with 1/L: half the length sounds an octave higher. On the line of f0 against 1/L the exponent is 1.",
		Source: openStax,
		Steps: []string{
			"Take a string that keeps its pull: a sonometer with a movable bridge, or a guitar string and a round rod under it.",
			"Measure the length that sounds, from one end to the bridge, and tell it with its uncertainty, like 650mm±0.5mm.",
			"Pluck that length by itself, damp the rest, and let it ring for two seconds or more.",
			"Do so at five lengths or more, the shortest no more than half of the longest. Do not press the string down harder at one than at another.",
		},
		Cautions: []string{safety.Snap, safety.Press},
		X:        []Axis{quantity(physics.SpeakingLength, "L", "m", "650mm or 25.5in±0.02in", physics.Millimetre)},
		Y:        pitch("pitch", "f0"), Least: 4, hear: byReading(func(r reading) Value { return r.f0 }),
		Givens: []Axis{optionally(quantity(rulesStart, "", "m", "0.5mm", physics.Millimetre),
			"the standard uncertainty of where the rule and the string begin, that all lengths share (0.5mm if it is not told)")},
	}
	l.law = law{
		axes: Axes{X: "1/L (1/m)", Y: "f0 (Hz)", Off: "off the law (cents)"},
		x:    []func(Point) Value{func(p Point) Value { return power(p.X[0], -1) }},
		y:    func(p Point) Value { return p.Y }, fitX: logScale, fitY: logScale, off: inCents, sharp: 0.05, curves: true,
		find: func(*regression, Givens) []finding {
			return []finding{exponent("exponent of 1/L", 1),
				{Finding: Finding{Name: "speed of waves, 2·f0·L", Symbol: "v", Unit: "m/s"}, extra: clock,
					of: func(r *regression) (v, u float64, ok bool) {
						v, u, ok = constant(1)(r)
						return 2 * v, 2 * u, ok
					}}}
		},
		shared: func(_ []Point, g Givens) []shift {
			u := 0.5e-3
			if v, told := g[string(rulesStart)]; told {
				u = v.V
			}
			return []shift{{name: "where the rule and the string begin", move: func(p Point) Point {
				return p.withX(0, Value{V: p.X[0].V + u, U: p.X[0].U})
			}}, {name: "whether the ends are pinned or clamped", move: func(p Point) Point {
				return p.withX(0, Value{V: p.X[0].V / (1 + clampedBy(p.B)), U: p.X[0].U})
			}}}
		},
		text: words{law: "f0 goes with 1/L", x: "length",
			against: "Where a bridge presses the string down it pulls harder, and stiff ends make it sound shorter: look at the residuals."},
	}
	return l
}

// clampedBy is by what factor more a string sounds that may be anything from pinned to
// clamped: the root mean square of that, over 1.
func clampedBy(b float64) float64 {
	return (physics.ClampRaise(physics.Inharmonicity(max(b, 0))) - 1) / math.Sqrt(3)
}

// rulesStart is what all lengths of a class may be off by.
const rulesStart physics.Role[physics.Length] = "start of the rule"

// withX is the point with another x.
func (p Point) withX(i int, v Value) Point {
	x := append([]Value(nil), p.X...)
	x[i] = v
	p.X = x
	return p
}

// tension is how the pitch goes with the load.
func tension() *Lesson {
	l := &Lesson{
		ID: "tension", Title: "Pull and pitch", Question: "How does the pitch depend on how hard the string pulls?",
		Law:    "At one length f0² goes with the pull T: four times the load sounds an octave higher. On the line of f0² against T the exponent is 1, and the line begins at zero.",
		Source: openStax,
		Steps: []string{
			"Hang the string over a low-friction edge or pulley, over a fixed speaking length.",
			"Hang a load that was weighed, hanger and all, let it come to rest, and tell it, like 2kg or 20N.",
			"Pluck, and let the string ring for two seconds or more.",
			"Do so with five loads or more, the heaviest at least four times the lightest and well below what the string bears.",
		},
		Cautions: []string{safety.Snap, safety.Fall, safety.Whip},
		X:        []Axis{hung()},
		Y:        pitch("pitch", "f0"), Least: 4, hear: byReading(func(r reading) Value { return r.f0 }),
		Givens: []Axis{optionally(quantity(physics.SpeakingLength, "L", "m", "650mm", physics.Millimetre), "tells what the string weighs")},
	}
	l.law = law{
		axes: Axes{X: "load (N)", Y: "f0² (Hz²)", Off: "off the law (cents)"},
		x:    []func(Point) Value{func(p Point) Value { return p.X[0] }},
		y:    squared, fitX: logScale, fitY: logScale, off: inCentsSquare, sharp: 0.05, curves: true,
		find: func(r *regression, g Givens) []finding {
			all := []finding{exponent("exponent of the load", 1),
				{Finding: Finding{Name: "pull beside the loads", Symbol: "T0", Unit: "N"}, of: beside, extra: gravity}}
			if v, told := g[string(physics.SpeakingLength)]; told {
				all = append(all, finding{Finding: Finding{Name: "unit weight", Symbol: "µ", Unit: "g/m"}, of: weighed(v), extra: math.Hypot(2*clock, math.Hypot(gravity, 2*v.U/v.V))})
			}
			return all
		},
		look: func(all []Finding) string {
			for _, f := range all {
				switch {
				case f.Symbol != "T0":
				case f.Low > 0:
					return fmt.Sprintf("find what pulls beside the loads, as a hanger that was not weighed: a straight line of f0² against the load takes %s of it", f.Text())
				case f.High < 0:
					return fmt.Sprintf("find what takes off the loads, as friction: a straight line of f0² against the load takes %s of it", f.Text())
				}
			}
			return ""
		},
		text: words{law: "f0² goes with the load", x: "load",
			against: "What pulls beside the loads, what rubs, and a string that grows longer under its load bend the line."},
	}
	return l
}

// clock is the relative standard uncertainty of the recorder's, which nobody calibrated.
var clock = calib.Uncalibrated().Relative().U

// gravity is the relative standard uncertainty of gravity where nobody named the place.
var gravity = physics.AnyGravity().Relative()

// straightLoads fits f0² against the load as they are.
func (r *regression) straightLoads() (q *regression, ok bool) {
	w := *r.law
	w.fitX, w.fitY, w.shared = plainScale, plainScale, nil
	return w.regress(r.points)
}

// beside is how much harder the string pulls than its loads: where the line of f0² against
// the load comes to zero.
func beside(r *regression) (v, u float64, ok bool) {
	q, ok := r.straightLoads()
	if !ok || q.parts != 1 {
		return 0, 0, false
	}
	a, b := q.fit.Intercepts[0], q.fit.Slopes[0]
	ua, cov := q.fit.InterceptU(0, 0)
	u = math.Abs(a/b) * math.Sqrt(math.Max(0, ua*ua/(a*a)+math.Pow(q.fit.U(0)/b, 2)-2*cov/(a*b)))
	return a / b, u * q.s / r.s, true
}

// weighed is the unit weight by the slope of that line at a speaking length, in g/m.
func weighed(length Value) func(*regression) (v, u float64, ok bool) {
	return func(r *regression) (v, u float64, ok bool) {
		q, ok := r.straightLoads()
		if !ok || q.parts != 1 || !(q.fit.Slopes[0] > 0) {
			return 0, 0, false
		}
		v = 1000 / (4 * length.V * length.V * q.fit.Slopes[0])
		return v, v * q.fit.U(0) / q.fit.Slopes[0] * q.s / r.s, true
	}
}

// unitWeight is how the pitch goes with what the string weighs.
func unitWeight() *Lesson {
	l := &Lesson{
		ID: "unit-weight", Title: "Weight and pitch", Question: "How does the pitch depend on how heavy the string is?",
		Law:    "At one pull and one length f0² goes with 1/µ: a string four times as heavy sounds an octave lower. On the line of f0² against 1/µ the exponent is 1.",
		Source: openStax,
		Steps: []string{
			"Weigh a metre of each of several strings (mass over length), or take what pluckweigh weigh says of them.",
			"Put one after the other over the same length under the same load, hanger and all.",
			"Tell the unit weight, like 1.21g/m±0.5%, pluck, and let it ring for two seconds or more.",
			"Do so with four strings or more, the heaviest at least four times the lightest, under a load that the thinnest bears.",
		},
		Cautions: []string{safety.Snap, safety.Fall, safety.Whip},
		X:        []Axis{quantity(physics.StringWeight, "µ", "kg/m", "1.21g/m±0.5%", physics.GramPerMetre)},
		Y:        pitch("pitch", "f0"), Least: 4, hear: byReading(func(r reading) Value { return r.f0 }),
	}
	l.law = law{
		axes: Axes{X: "1/µ (m/g)", Y: "f0² (Hz²)", Off: "off the law (cents)"},
		x:    []func(Point) Value{func(p Point) Value { return times(power(p.X[0], -1), 1e-3) }},
		y:    squared, fitX: logScale, fitY: logScale, off: inCentsSquare, sharp: 0.05, curves: true,
		find: func(*regression, Givens) []finding { return []finding{exponent("exponent of 1/µ", 1)} },
		text: words{law: "f0² goes with 1/µ", x: "unit weight",
			against: "See that all strings had the same load and the same length, and weigh them again."},
	}
	return l
}
