package lesson

import (
	"math"

	"pluckweigh/detect"
	"pluckweigh/physics"
	"pluckweigh/safety"
)

// harmonics is how the overtones lie.
func harmonics() *Lesson {
	l := &Lesson{
		ID: "harmonics", Title: "Harmonics", Question: "Which notes sound when a string is touched at a half, a third, a quarter of its length?",
		Law:    "Touched lightly at 1/n of its length a flexible string sounds n times as high: it swings in n equal parts. On the line of the pitch against n the exponent is 1.",
		Source: openStax,
		Steps: []string{
			"Take a thin string, which is nearly a flexible one, and pluck it open: that is n = 1.",
			"Touch it lightly at a half, a third, a quarter, a fifth of its length, pluck near one end, lift the finger at once, and let it ring.",
			"Tell n with each. Do so up to five parts or more.",
		},
		Cautions: []string{safety.Press},
		X:        []Axis{count("parts of the string", "n", "3", 1, 20)},
		Y:        pitch("pitch", "f"), Least: 4, hear: byReading(func(r reading) Value { return r.f1 }),
	}
	l.law = law{
		axes: Axes{X: "parts of the string, n", Y: "f (Hz)", Off: "off the law (cents)"},
		x:    []func(Point) Value{func(p Point) Value { return p.X[0] }},
		y:    func(p Point) Value { return p.Y }, fitX: logScale, fitY: logScale, off: inCents, sharp: 0.02, curves: true,
		find: func(*regression, Givens) []finding {
			return []finding{exponent("exponent of n", 1), {Finding: Finding{Name: "pitch of the whole string", Symbol: "f1", Unit: "Hz"}, extra: clock, of: constant(1)}}
		},
		shared: stiffOrNot,
		text: words{law: "the pitch goes with the number of parts", x: "number of parts",
			against: "See that each take is of its n. A stiff string's are sharper and sharper: the lesson stiffness has that."},
	}
	return l
}

// stiffOrNot moves pitches by what the string's stiffness raises them, which the law of a
// flexible one does not know: f_n = n·f0·√(1+Bn²) (Fletcher 1964).
func stiffOrNot([]Point, Givens) []shift {
	return []shift{{name: "how stiff the string is", move: func(p Point) Point {
		n := p.X[0].V
		// B as heard of the harmonic is that of a string of an n-th of the length.
		p.Y.V /= math.Sqrt((1 + p.B) / (1 + p.B/(n*n)))
		return p
	}}}
}

// frets is how frets are spaced.
func frets() *Lesson {
	l := &Lesson{
		ID: "frets", Title: "Frets", Question: "By how much does each fret raise the pitch?",
		Law:    "Twelve frets to the octave, all steps alike: fret n sounds f(0)·2^(n/12). In semitones over the fret the line has the slope 1.",
		Source: "Twelve-tone equal temperament; Fletcher and Rossing, The Physics of Musical Instruments (attribution from memory)",
		Steps: []string{
			"Pluck the open string: that is fret 0.",
			"Press it down just behind a fret, no harder than it takes to sound clean, pluck, and let it ring. Tell the fret.",
			"Do so at five frets or more of one string, up to the twelfth, and leave the tuning alone between.",
		},
		Cautions: []string{safety.Press},
		X:        []Axis{count("fret", "n", "5", 0, 30)},
		Y:        pitch("pitch", "f0"), Least: 4, hear: byReading(func(r reading) Value { return r.f0 }),
	}
	l.law = law{
		axes: Axes{X: "fret", Y: "f0 (Hz)", Off: "off the law (cents)"},
		x:    []func(Point) Value{func(p Point) Value { return p.X[0] }},
		y:    func(p Point) Value { return p.Y }, fitX: plainScale, fitY: semitones,
		off: func(r, _ float64) float64 { return 100 * r }, sharp: 0.03, curves: true,
		find: func(*regression, Givens) []finding {
			return []finding{
				{Finding: Finding{Name: "semitones a fret", Symbol: "s", Expected: &Value{V: 1}}, of: slope(0)},
				{Finding: Finding{Name: "twelve frets raise the pitch by a factor", Symbol: "f(12)/f(0)", Expected: &Value{V: 2}},
					of: func(r *regression) (v, u float64, ok bool) {
						v = math.Exp2(r.fit.Slopes[0])
						return v, v * math.Ln2 * r.fit.U(0), true
					}},
			}
		},
		shared: func([]Point, Givens) []shift {
			return []shift{{name: "how far pressing a string down stretches it", move: func(p Point) Point {
				if p.X[0].V > 0 {
					p.Y.V *= 1 + physics.UnevenAssumed().U
				}
				return p
			}}, {name: "whether the ends are pinned or clamped", move: func(p Point) Point {
				p.Y.V *= 1 + clampedBy(p.B)
				return p
			}}, {name: "how the stretch by pressing grows up the neck", move: func(p Point) Point {
				p.Y.V *= 1 + physics.UnevenAssumed().U*p.X[0].V/12
				return p
			}}}
		},
		text: words{law: "each fret raises the pitch by a twelfth of an octave", x: "fret",
			against: "See that each take is of its fret and of one string, and that the saddle stands where it should."},
	}
	return l
}

const fletcher = "H. Fletcher, Normal vibration frequencies of a stiff piano string, J. Acoust. Soc. Am. 36 (1964) 203: f_n = n·f0·√(1+Bn²)"

// stiffness is why an octave of a thick string is not 2:1.
func stiffness() *Lesson {
	l := &Lesson{
		ID: "stiffness", Title: "Stiffness", Question: "Why is the octave of a thick string not 2:1?",
		Law:    "Bending stiffness raises high partials more than low ones: (f_n/n)² is a straight line over n², whose slope over its height at zero is B, above zero.",
		Source: fletcher,
		Steps: []string{
			"Take a thick string, pluck it by itself near one end, and let it ring for three seconds or more.",
			"One clean pluck has all the points: the partials that are heard.",
			"Pluck a thin string as well, and compare B.",
		},
		Cautions: []string{safety.Snap}, Many: true, PerString: true,
		X: []Axis{heardCount("number of the partial")},
		Y: pitch("frequency of the partial", "f_n"), Least: 5, hear: byPartial(func(q detect.Partial) Value { return heardValue(q.Freq) }),
	}
	l.law = law{
		axes: Axes{X: "n²", Y: "(f_n/n)² (Hz²)", Off: "off the law (cents)"},
		x:    []func(Point) Value{func(p Point) Value { return power(p.X[0], 2) }},
		y:    func(p Point) Value { return power(times(p.Y, 1/p.X[0].V), 2) }, fitX: plainScale, fitY: plainScale,
		off: func(r, y float64) float64 { return r / y * 600 / math.Ln2 }, curves: true,
		find: func(*regression, Givens) []finding {
			return []finding{
				{Finding: Finding{Name: "inharmonicity", Symbol: "B", AboveZero: true}, of: inharmonicity},
				{Finding: Finding{Name: "second partial over the first", Symbol: "f2/f1"}, of: func(r *regression) (v, u float64, ok bool) {
					b, ub, ok := inharmonicity(r)
					ratio := func(b float64) float64 { return 2 * math.Sqrt((1+4*b)/(1+b)) }
					return ratio(b), (ratio(b+1e-6) - ratio(b)) / 1e-6 * ub, ok && b > -0.2
				}},
				{Finding: Finding{Name: "fundamental of the flexible string", Symbol: "f0", Unit: "Hz"}, extra: clock, of: func(r *regression) (v, u float64, ok bool) {
					a := r.fit.Intercepts[0]
					ua, _ := r.fit.InterceptU(0, 0)
					return math.Sqrt(a), ua / (2 * math.Sqrt(a)), r.parts == 1 && a > 0
				}},
			}
		},
		shared: func([]Point, Givens) []shift {
			return []shift{{name: "what two directions and a glide do to all partials", move: func(p Point) Point {
				n := p.X[0].V
				p.Y.V *= math.Sqrt((1 + (p.B+p.UB)*n*n) / (1 + p.B*n*n))
				return p
			}}}
		},
		text: words{law: "partials are sharper the higher they are", x: "number of the partial",
			against: "A worn or damaged string, or one wound unevenly, does not obey it, nor do partials that were taken for others."},
	}
	return l
}

// heardCount is the number of a partial, which is typed only where all numbers are.
func heardCount(name string) Axis {
	a := count(name, "n", "3", 1, 200)
	a.Heard = true
	return a
}

// inharmonicity is the slope over the intercept of one string's (f_n/n)² over n².
func inharmonicity(r *regression) (v, u float64, ok bool) {
	if r.parts != 1 {
		return 0, 0, false
	}
	a, b := r.fit.Intercepts[0], r.fit.Slopes[0]
	ua, cov := r.fit.InterceptU(0, 0)
	variance := (r.fit.Cov.At(0, 0) + b*b/(a*a)*ua*ua - 2*b/a*cov) / (a * a)
	return b / a, math.Sqrt(math.Max(0, variance)), a > 0
}

// decay is how fast partials die.
func decay() *Lesson {
	l := &Lesson{
		ID: "decay", Rings: true, Title: "Decay", Question: "Which partials die away first?",
		Law:    "The amplitude of each partial falls as exp(−αt), the faster the higher it lies: α = b1 + b3·(2πf)², with b3 above zero.",
		Source: "A. Chaigne and A. Askenfelt, Numerical simulations of piano strings, J. Acoust. Soc. Am. 95 (1994) 1112 (from memory): losses in the air and within the string together",
		Steps: []string{
			"Pluck one string near one end, away from anything that rings along, and let it die away by itself.",
			"One clean pluck has all the points: the partials that are heard.",
			"Do so again with an old string, or one with a bit of felt at the bridge, and compare.",
		},
		Cautions: []string{safety.Snap}, Many: true, PerString: true,
		X: []Axis{pitch("frequency of the partial", "f")},
		Y: heardNumber(number("decay rate", "α", "1/s", "1.4/s±0.1/s", 0, 1000, 0.05)), Least: 5,
		hear: func(_ *Lesson, _ []Value, t detect.Take, from string) ([]Point, error) {
			r, err := read(t)
			if err != nil {
				return nil, err
			}
			var out []Point
			for _, q := range r.pluck.Partials {
				if q.Used && q.Decay > 0 {
					// The relative uncertainty of a decay that is told over some of its own
					// length goes with the noise, and with how little of it was heard.
					heard := q.Decay * (r.pluck.To - r.pluck.From)
					u := q.Decay * math.Pow(10, -q.SNRdB/20) * (1 + 1/heard)
					out = append(out, Point{X: []Value{heardValue(q.Freq)}, Y: Value{q.Decay, u, true}, From: from})
				}
			}
			if len(out) > 0 {
				out[0].Doubts = r.says()
			}
			return out, nil
		},
	}
	l.law = law{
		axes: Axes{X: "f² (kHz²)", Y: "α (1/s)", Off: "off the law (1/s)"}, rough: true,
		x: []func(Point) Value{func(p Point) Value { return power(times(p.X[0], 1e-3), 2) }},
		y: func(p Point) Value { return p.Y }, fitX: plainScale, fitY: plainScale, off: func(r, _ float64) float64 { return r },
		find: func(*regression, Givens) []finding {
			return []finding{
				{Finding: Finding{Name: "rise of the decay rate", Symbol: "4π²·b3", Unit: "1/s/kHz²", AboveZero: true}, of: slope(0)},
				{Finding: Finding{Name: "decay rate at low frequencies", Symbol: "b1", Unit: "1/s"}, of: func(r *regression) (v, u float64, ok bool) {
					u, _ = r.fit.InterceptU(0, 0)
					return r.fit.Intercepts[0], u, r.parts == 1
				}},
			}
		},
		text: words{law: "high partials die sooner", x: "frequency of the partial",
			against: "A string that drives the body of an instrument loses low partials to it, which is another law: try a string on a heavy frame."},
	}
	return l
}

// heardNumber is an axis that the sound tells.
func heardNumber(a Axis) Axis {
	a.Heard = true
	return a
}
