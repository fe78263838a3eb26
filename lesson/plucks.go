package lesson

import (
	"fmt"
	"math"
	"strings"

	"pluckweigh/detect"
	"pluckweigh/physics"
	"pluckweigh/safety"
)

// pluckPlace is where a string is plucked, from one end of its speaking length.
const pluckPlace physics.Role[physics.Length] = "place of the pluck"

// pluck is what plucking at a place does to the partials.
func pluck() *Lesson {
	place := quantity(physics.ClipPlace, "x", "m", "162mm or 6.4in", physics.Millimetre)
	place.Name = string(pluckPlace)
	heard := number("place heard, as a fraction of the length", "β", "", "0.25±0.01", 0, 0.5, 0.02)
	heard.Heard = true
	scale := quantity(physics.SpeakingLength, "L", "m", "650mm", physics.Millimetre)
	l := &Lesson{
		ID: "pluck", Title: "Where it is plucked", Question: "Which partials are missing when a string is plucked at a third of its length?",
		Law:    "Plucked at β of its length a string has partial n by sin(nπβ): those with a node there are missing. What is missing tells where it was plucked: heard over told is 1.",
		Source: "T. Young, Phil. Trans. R. Soc. 90 (1800) 106; Fletcher and Rossing, The Physics of Musical Instruments (from memory)",
		Steps: []string{
			"Hear the string with a microphone; a magnetic pickup leaves partials out by itself.",
			"Pluck with the edge of a pick at a place that you measured from the bridge, and tell it, like 162mm.",
			"Do so at five places or more, from a tenth of the length to nearly the middle. From the nearer end each counts.",
		},
		Cautions: []string{safety.Snap},
		X:        []Axis{place}, Y: heard, Givens: []Axis{scale}, Least: 4,
		hear: func(_ *Lesson, x []Value, t detect.Take, from string) ([]Point, error) {
			r, err := read(t)
			if err != nil {
				return nil, err
			}
			c := combOf(r.pluck)
			beta, u, err := c.place()
			if err != nil {
				return nil, err
			}
			p := Point{X: x, Y: Value{V: beta, U: u}, From: from, Doubts: r.says()}
			if m := c.missing(beta); len(m) > 0 {
				p.Note = "weak or missing: partials " + strings.Trim(strings.ReplaceAll(fmt.Sprint(m), " ", ", "), "[]")
			}
			return []Point{p}, nil
		},
	}
	l.law = law{
		axes: Axes{X: "place told, x/L", Y: "place heard, β", Off: "off the law (%)"},
		y:    func(p Point) Value { return p.Y }, fitX: logScale, fitY: logScale,
		off: func(r, _ float64) float64 { return 100 * r }, sharp: 0.05,
		given: func(g Givens) (func(Point) Value, error) {
			whole, err := needed(g, scale)
			return func(p Point) Value {
				v := times(p.X[0], 1/whole.V)
				if v.V > 0.5 {
					v.V = 1 - v.V
				}
				return v
			}, err
		},
		find: func(*regression, Givens) []finding {
			return []finding{{Finding: Finding{Name: "place heard over place told", Symbol: "β·L/x", Expected: &Value{V: 1}}, of: constant(1)}}
		},
		shared: func(_ []Point, g Givens) []shift {
			whole := g[string(physics.SpeakingLength)]
			return []shift{{name: "how long the string is", move: func(p Point) Point {
				return p.withX(0, times(p.X[0], 1/(1+whole.U/whole.V)))
			}}}
		},
		text: words{law: "the partials with a node where it is plucked are missing", x: "place",
			against: "See where the places were measured from, and that the string was heard by a microphone and not by a pickup."},
	}
	return l
}

// glide is how the pitch falls after a loud pluck.
func glide() *Lesson {
	l := &Lesson{
		ID: "glide", Rings: true, Title: "Glide", Question: "Why does a loud pluck begin sharp?",
		Law:    "A string that swings far is stretched by it: the pitch begins higher, by an amount that goes with the square of the swing, and falls back. On the line of the glide against A² the exponent is 1.",
		Source: "First order of the Duffing equation, 3π²a²EA/(32TL²) in a plane; K. A. Legge and N. H. Fletcher, J. Acoust. Soc. Am. 76 (1984) 5 (from memory)",
		Steps: []string{
			"Take a long string that is not tuned high, and leave the microphone and its level where they are.",
			"Pluck at one place and in one direction, softly first, then harder and harder, and let each ring for two seconds or more.",
			"One take may have all plucks. Take eight or more, the loudest four times as strong as the softest.",
		},
		Cautions: []string{safety.Snap, safety.Hard},
		X:        []Axis{heardNumber(number("strength at the onset", "A", "‰", "120‰±4‰", 0, 1e5, strengthU))},
		Y:        heardNumber(number("glide", "g", "cents", "3.2cents±0.1cents", 0, 300, 0.05)), Least: 5,
		hear: byGlide,
	}
	l.law = law{
		axes: Axes{X: "A² (‰²)", Y: "glide (cents)", Off: "off the law (%)"}, rough: true,
		x: []func(Point) Value{func(p Point) Value { return power(p.X[0], 2) }},
		y: func(p Point) Value { return p.Y }, fitX: logScale, fitY: logScale,
		off: func(r, _ float64) float64 { return 100 * r }, sharp: 0.15, curves: true,
		find: func(*regression, Givens) []finding { return []finding{exponent("exponent of A²", 1)} },
		text: words{law: "the glide goes with the square of the swing", x: "strength",
			against: "See that level and microphone were left alone and the recording was not cut off at full scale."},
	}
	return l
}

// clip is weighing by ear.
func clip() *Lesson {
	clipMass := quantity(physics.ClipMass, "m", "kg", "0.5g±0.002g", physics.Gram)
	l := &Lesson{
		ID: "clip", Title: "Weighing by ear", Question: "What does a string weigh that nobody takes off the instrument?",
		Law:    "A small mass clipped to the middle lowers the odd partials and not the even ones. By how much says what share of the string's mass it is: that goes with the clip's mass, and on the line of the share against the mass the exponent is 1.",
		Source: "Loaded string, tan(a) = µL/(m·a), a = πf/(2·f0): any acoustics text",
		Steps: []string{
			"Weigh three clips or more, the heaviest four times the lightest, between 2 and 9 % of the string's mass (see pluckweigh weigh --clip-for).",
			"Clip one to the middle of the string, pluck softly near one end, and let it ring. Tell its mass, like 0.5g±0.002g.",
			"Do so with each, and with all of them twice.",
			"At last take a string of the kind to a balance, and see who was right.",
		},
		Cautions: []string{safety.Fly},
		X:        []Axis{clipMass},
		Y:        heardNumber(number("share of the string's mass", "r", "", "0.042±0.001", 0, physics.HeaviestClip, 0.01)), Least: 4,
		Clip: true, PerString: true, hear: byClip,
		Givens: []Axis{
			optionally(quantity(physics.SpeakingLength, "L", "m", "650mm", physics.Millimetre), "tells what the string weighs per metre"),
			optionally(quantity(physics.StringWeight, "µ", "kg/m", "18.4g/m±0.5%", physics.GramPerMetre), "what the balance says, to compare"),
		},
	}
	l.law = law{
		axes: Axes{X: "mass of the clip (g)", Y: "share of the string's mass", Off: "off the law (%)"},
		x:    []func(Point) Value{func(p Point) Value { return times(p.X[0], 1000) }},
		y:    func(p Point) Value { return p.Y }, fitX: logScale, fitY: logScale,
		off: func(r, _ float64) float64 { return 100 * r }, sharp: 0.1, curves: true,
		find: func(_ *regression, g Givens) []finding {
			mass := func(r *regression) (v, u float64, ok bool) {
				v, u, ok = constant(1)(r)
				return 1 / v, u / (v * v), ok
			}
			all := []finding{exponent("exponent of the clip's mass", 1), {Finding: Finding{Name: "mass of the string", Symbol: "M", Unit: "g"}, of: mass}}
			if long, told := g[string(physics.SpeakingLength)]; told {
				f := Finding{Name: "unit weight by ear", Symbol: "µ", Unit: "g/m"}
				if by, told := g[string(physics.StringWeight)]; told {
					e := times(by, 1000)
					f.Expected = &e
				}
				all = append(all, finding{Finding: f, extra: long.U / long.V, of: func(r *regression) (v, u float64, ok bool) {
					v, u, ok = mass(r)
					return v / long.V, u / long.V, ok
				}})
			}
			return all
		},
		text: words{law: "the share heard goes with the clip's mass", x: "mass of the clip",
			against: "Weigh the clips again, and see that each was fixed firmly at the middle."},
	}
	return l
}

// Warmth is the name of what warmth is expected to do to the string, in Givens.
const Warmth = "warmth"

// airColumn is by how many cents a kelvin an air column rises: the speed of sound in air
// goes with the root of the absolute temperature, here at 20 °C.
var airColumn = 600 / math.Ln2 / 293.15

// temperature is what warmth does to the pitch.
func temperature() *Lesson {
	warm := number("what warmth does to the string", "", "cents/K", "-2.1cents/K±0.3cents/K", -100, 100, 0.1)
	warm.Name = Warmth
	l := &Lesson{
		ID: "temperature", Title: "Warm air, warm string", Question: "Is it the air or the string that puts an instrument out of tune when the room gets warm?",
		Law:    fmt.Sprintf("The string: warm steel is longer and pulls less, so that its pitch falls, by αE/(2σ) a kelvin. The air about it does not matter, where that in a flute, whose pitch goes with the speed of sound, raises it by %.1f cents a kelvin.", airColumn),
		Source: "df/f = −αE·Δθ/(2σ) on a rigid frame: any text on strength of materials; the speed of sound in air goes with √T",
		Steps: []string{
			"Pluck, and note how warm the string is, and the air about it if you know that apart, like 21.5°C,19°C.",
			"Warm or cool the whole instrument with its room and wait an hour, or lay a hand about the string for a minute and pluck at once: it warms the string and not the air.",
			"Do so at five temperatures or more, ten kelvin apart if the instrument bears it, going up and down again so that what creeps does not count as warmth. Leave the tuning alone.",
		},
		Cautions: []string{safety.Snap, safety.Warm},
		X:        []Axis{warmth("temperature of the string", "θ"), optionally(warmth("temperature of the air", "θ_air"), "where it is not that of the string")},
		Y:        pitch("pitch", "f1"), Least: 4, hear: byReading(func(r reading) Value { return r.f1 }),
		PerString: true,
		Givens:    []Axis{optionally(warm, "what is expected of this string; the sign alone where it is not told")},
	}
	l.law = law{
		axes: Axes{X: "temperature of the string (°C)", Y: "f1 (Hz)", Off: "off the law (cents)"},
		x:    []func(Point) Value{func(p Point) Value { return p.X[0] }, func(p Point) Value { return p.X[1] }},
		y:    func(p Point) Value { return p.Y }, fitX: plainScale, fitY: cents, off: func(r, _ float64) float64 { return r }, sharp: 1,
		find: func(_ *regression, g Givens) []finding {
			const unit = "cents/K"
			air := finding{Finding: Finding{Name: "what warm air does", Symbol: "b_air", Unit: unit, Expected: &Value{}}, of: slope(1)}
			if w, told := g[Warmth]; told {
				return []finding{{Finding: Finding{Name: "what warmth does to the string", Symbol: "b", Unit: unit, Expected: &w}, of: slope(0)}, air}
			}
			return []finding{{Finding: Finding{Name: "by how much a warmer string falls", Symbol: "−b", Unit: unit, AboveZero: true}, of: func(r *regression) (v, u float64, ok bool) {
				v, u, ok = slope(0)(r)
				return -v, u, ok
			}}, air}
		},
		text: words{law: "a warmer string sounds lower", x: "temperature",
			against: "A frame that expands more than the string, or wood that swells with moisture, can do more than the string: see how fast it comes and goes."},
	}
	return l
}

// needed is what was told once for all points. The error is an *physics.InputError.
func needed(g Givens, a Axis) (Value, error) {
	v, told := g[a.Name]
	if !told {
		return v, &physics.InputError{What: a.Name, Why: "is not told", Fix: "tell it, like " + a.Example}
	}
	return v, a.check(v)
}
