package lesson

import (
	"fmt"
	"math"
	"slices"

	"pluckweigh/detect"
)

// A hearing makes points of a take.
type hearing func(l *Lesson, x []Value, t detect.Take, from string) ([]Point, error)

// An UnheardError says why a take gives no point.
type UnheardError struct {
	Say string
	Fix string
}

func (e *UnheardError) Error() string { return e.Say }

// Hint says what to do.
func (e *UnheardError) Hint() string { return e.Fix }

// Hear makes points of a take, x being what was told with it (Asked). The clock of the
// recorder is left as it is: no lesson rests on frequencies of different recorders. The
// error is an *UnheardError where nothing in the take can be used, or an
// *physics.InputError of what was told.
func (l *Lesson) Hear(x []Value, t detect.Take, from string) ([]Point, error) {
	points, err := l.hear(l, x, t, from)
	if err != nil {
		return nil, err
	}
	for _, p := range points {
		if err := l.Check(p); err != nil {
			return nil, err
		}
	}
	return points, nil
}

// A reading is what was heard of a take.
type reading struct {
	f0, f1 Value
	take   detect.Take
	pluck  detect.Pluck // the clearest of those that can be trusted
}

func heardValue(v detect.Value) Value { return Value{V: v.V, U: v.U} }

// read takes the reading of a take.
func read(t detect.Take) (reading, error) {
	if t.Reading == nil {
		say := "nothing was heard that can be trusted"
		for _, d := range fatal(t) {
			say += ": " + d.Say
			break
		}
		return reading{}, &UnheardError{say, "pluck one string once, damp the others, and let it ring for two seconds or more"}
	}
	best := -1
	for i, p := range t.Plucks {
		if p.Trusted && (best < 0 || p.SNRdB > t.Plucks[best].SNRdB) {
			best = i
		}
	}
	return reading{heardValue(t.Reading.F0), heardValue(t.Reading.F1), t, t.Plucks[best]}, nil
}

// fatal lists the doubts that took the trust away.
func fatal(t detect.Take) (out []detect.Doubt) {
	out = slices.Clone(t.Doubts)
	for _, p := range t.Plucks {
		for _, d := range p.Doubts {
			if d.Fatal {
				out = append(out, d)
			}
		}
	}
	return out
}

// says are the doubts of a reading.
func (r reading) says() (out []string) {
	for _, d := range r.take.Reading.Doubts {
		out = append(out, d.Say)
	}
	return out
}

// byReading makes one point of a take, its plucks taken together.
func byReading(y func(reading) Value) hearing {
	return func(_ *Lesson, x []Value, t detect.Take, from string) ([]Point, error) {
		r, err := read(t)
		if err != nil {
			return nil, err
		}
		p := Point{X: slices.Clone(x), Y: y(r), From: from, Doubts: r.says()}
		if t.Reading.BKnown {
			p.B = t.Reading.B.V
		}
		return []Point{p}, nil
	}
}

// byPartial makes points of the partials of the clearest pluck.
func byPartial(y func(detect.Partial) Value) hearing {
	return func(_ *Lesson, _ []Value, t detect.Take, from string) ([]Point, error) {
		r, err := read(t)
		if err != nil {
			return nil, err
		}
		var out []Point
		for _, q := range r.pluck.Partials {
			if q.Used {
				out = append(out, Point{X: []Value{{V: float64(q.N)}}, Y: y(q), From: from, B: r.pluck.B.V, UB: r.pluck.B.U})
			}
		}
		if len(out) == 0 {
			return nil, &UnheardError{"no partials were heard", "pluck nearer one end, and let the string ring"}
		}
		out[0].Doubts = r.says()
		return out, nil
	}
}

// strength is the amplitude of a pluck at its onset, full scale being 1: the root of the
// partials' powers, carried back from the window that was measured.
func strength(p detect.Pluck) float64 {
	sum := 0.0
	for _, q := range p.Partials {
		if q.Used {
			sum += math.Pow(amplitude(q, p), 2)
		}
	}
	return math.Sqrt(sum)
}

// amplitude is that of a partial at the onset of its pluck.
func amplitude(q detect.Partial, p detect.Pluck) float64 {
	return math.Pow(10, q.LevelDB/20) * math.Exp(q.Decay*(p.From-p.Start))
}

// How well glides and strengths are heard, for which the detector gives no uncertainty: by
// what they scatter on simulated plucks. Only which point is heard better counts.
const (
	glideU    = 0.05 // cents
	glideOf   = 0.03 // of the glide
	strengthU = 0.03 // of the strength
)

// byGlide makes a point of each pluck.
func byGlide(_ *Lesson, _ []Value, t detect.Take, from string) ([]Point, error) {
	if _, err := read(t); err != nil {
		return nil, err
	}
	var out []Point
	for _, p := range t.Plucks {
		if !p.Trusted {
			continue
		}
		a := strength(p)
		q := Point{X: []Value{{V: 1000 * a, U: 1000 * strengthU * a}}, Y: Value{p.GlideCents, math.Hypot(glideU, glideOf*p.GlideCents), true},
			From: from, B: p.B.V}
		if len(p.Partials) > 0 && p.Partials[0].N > 1 {
			q.Doubts = []string{"partial 1 was not heard: the strength may be told too low"}
		}
		if len(t.Plucks) > 1 {
			q.From = fmt.Sprintf("%s at %.1f s", from, p.Start)
		}
		// A glide that cannot be told from none has no place on a line of logarithms.
		if q.Y.V < 3*glideU {
			q.Aside = "no glide can be told from none: plucked too softly"
		}
		out = append(out, q)
	}
	return out, nil
}

// byClip makes a point of a take of a string with a clip.
func byClip(_ *Lesson, x []Value, t detect.Take, from string) ([]Point, error) {
	r, err := read(t)
	if err != nil {
		return nil, err
	}
	load := t.Reading.Load
	if load == nil {
		return nil, &UnheardError{"the take was not heard as that of a string with a clip", "hear it with the clip at mid-length"}
	}
	return []Point{{X: slices.Clone(x), Y: heardValue(load.Ratio), From: from, Doubts: r.says()}}, nil
}
