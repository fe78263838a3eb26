package main

import (
	"cmp"
	"fmt"
	"slices"

	"pluckweigh/detect"
	"pluckweigh/detect/course"
	"pluckweigh/survey"
)

// plucked is the doubt on a pluck that is one of two which sounded together.
const plucked detect.Code = "together"

// part hears both strings of a course where two were plucked together: each becomes a pluck
// of its own. Where they cannot be parted it says which of them are meant.
func (w *surveying) part(x []float64, rate float64, take *detect.Take) {
	courses := survey.Courses(w.on.as, w.rules())
	courses = slices.CompactFunc(courses, func(a, b survey.Course) bool { return a.Notes == b.Notes })
	if len(courses) == 0 {
		return
	}
	var all []detect.Pluck
	for i, p := range take.Plucks {
		if p.Trusted || !onlyTwo(p) {
			all = append(all, p)
			continue
		}
		end := float64(len(x)) / rate
		if i+1 < len(take.Plucks) {
			end = take.Plucks[i+1].Start
		}
		var found, nearest course.Pair
		likely := w.likely(courses, x, rate, p.Start, end)
		of, sure := likely[0], 0
		for _, c := range likely {
			pair, ok := course.Part(x, rate, p.Start, end, notesOf(c), w.rules().Out)
			if ok {
				found = pair
				sure++
			}
			if pair.Share > nearest.Share {
				nearest, of = pair, c
			}
		}
		if sure == 1 {
			all = append(all, oneOfTwo(p, end, found.Low, found), oneOfTwo(p, end, found.High, found))
			continue
		}
		if nearest.Share > 0 || len(courses) == 1 {
			p.Doubts = slices.Clone(p.Doubts)
			k := slices.IndexFunc(p.Doubts, func(d detect.Doubt) bool { return d.Code == detect.TwoStrings && d.Fatal })
			p.Doubts[k].Say += fmt.Sprintf("; if they are %s and %s, which cannot be parted here, pluck one and damp the other", placeOf(w.on.Instrument, of.Low), placeOf(w.on.Instrument, of.High))
		}
		all = append(all, p)
	}
	take.Plucks = all
}

func notesOf(c survey.Course) [2]float64 {
	return [2]float64{float64(c.Notes[0]), float64(c.Notes[1])}
}

// likely are the courses that a sound may be of, the likeliest first: more than a few would
// take too long to try.
func (w *surveying) likely(courses []survey.Course, x []float64, rate, onset, end float64) []survey.Course {
	const most = 3
	type scored struct {
		survey.Course
		score float64
	}
	var all []scored
	for _, c := range courses {
		all = append(all, scored{c, course.Stands(x, rate, onset, end, notesOf(c), w.rules().Out)})
	}
	slices.SortStableFunc(all, func(a, b scored) int { return cmp.Compare(b.score, a.score) })
	var out []survey.Course
	for _, c := range all[:min(most, len(all))] {
		out = append(out, c.Course)
	}
	return out
}

// onlyTwo tells whether a pluck is refused because two strings ring, and for nothing else.
func onlyTwo(p detect.Pluck) bool {
	two := false
	for _, d := range p.Doubts {
		if d.Fatal && d.Code != detect.TwoStrings {
			return false
		}
		two = two || d.Code == detect.TwoStrings && d.Fatal
	}
	return two
}

// oneOfTwo is the pluck of one of two strings.
func oneOfTwo(p detect.Pluck, end float64, s course.String, of course.Pair) detect.Pluck {
	other := of.High
	if s.F0 == other.F0 {
		other = of.Low
	}
	return detect.Pluck{Start: p.Start, From: p.Start, To: end, F0: s.F0, F1: s.F1, B: s.B, BKnown: true, Corr: s.Corr, GlideCents: s.GlideCents, SNRdB: -of.Left, Trusted: true,
		Doubts: []detect.Doubt{{Code: plucked, Say: fmt.Sprintf("another string sounded with it, at %.5g Hz", other.F1.V)}}}
}

// together tells whether any of the plucks sounded together with another.
func (w *surveying) together(plucks []int) bool {
	heard := w.heard()
	return slices.ContainsFunc(plucks, func(i int) bool { return heard[i].Stroke != 0 })
}

// strokes numbers the plucks that sounded together: they are of one moment of one take.
func (w *surveying) strokes(heard []survey.Heard) {
	type moment struct {
		source string
		start  float64
		at     int64
	}
	first := map[moment]int{}
	for i, p := range w.plucks {
		m := moment{p.Source, p.Start, p.At.UnixMilli()}
		if j, both := first[m]; both {
			heard[i].Stroke, heard[j].Stroke = j+1, j+1
			continue
		}
		first[m] = i
	}
}
