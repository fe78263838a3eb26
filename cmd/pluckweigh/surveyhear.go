package main

import (
	"math"
	"slices"

	"pluckweigh/detect"
	"pluckweigh/physics"
	"pluckweigh/survey"
)

// bare hears a take. Where the sound leaves an octave open, and one answer alone is a
// string of the instrument's, it is that.
func (w *surveying) bare(x []float64, rate float64, o detect.Options) (detect.Take, error) {
	take, err := detect.Analyze(x, rate, o)
	if err != nil {
		return take, err
	}
	octave := func(d detect.Doubt) bool { return d.Code == detect.OctaveOpen && d.Fatal }
	for i := range take.Plucks {
		p := &take.Plucks[i]
		if p.Trusted || !slices.ContainsFunc(p.Doubts, octave) {
			continue
		}
		var found []detect.Pluck
		for _, near := range survey.Notes(w.on.as, w.rules()) {
			o.Near = float64(near)
			again, err := detect.Analyze(x, rate, o)
			if err != nil {
				return take, err
			}
			k := slices.IndexFunc(again.Plucks, func(q detect.Pluck) bool { return math.Abs(q.Start-p.Start) < samePluck })
			if k < 0 || !again.Plucks[k].Trusted {
				continue
			}
			q := again.Plucks[k]
			if survey.Fits(w.on.as, physics.Frequency(q.F1.V), w.rules()) && !slices.ContainsFunc(found, func(r detect.Pluck) bool { return math.Abs(r.F0.V/q.F0.V-1) < 0.02 }) {
				found = append(found, q)
			}
		}
		if len(found) == 1 && survey.Alone(w.on.as, physics.Frequency(found[0].F1.V), w.rules()) {
			*p = found[0]
		}
	}
	if !w.clip.given && w.named == survey.Nowhere {
		w.part(x, rate, &take)
	}
	return take, nil
}

// eitherWay hears a take whose strings may have the clip on or not. Where the sound
// leaves open whether one has, it is refused.
func (w *surveying) eitherWay(x []float64, rate float64, o detect.Options) (detect.Take, error) {
	bare, err := w.bare(x, rate, o)
	if err != nil {
		return bare, err
	}
	loaded, err := detect.AnalyzeLoaded(x, rate, w.mass, o)
	if err != nil {
		return bare, err
	}
	for i := range bare.Plucks {
		p := &bare.Plucks[i]
		k := slices.IndexFunc(loaded.Plucks, func(q detect.Pluck) bool { return math.Abs(q.Start-p.Start) < samePluck })
		switch {
		case k < 0:
		case loaded.Plucks[k].Trusted:
			*p = loaded.Plucks[k]
		case p.Trusted && !slices.ContainsFunc(loaded.Plucks[k].Doubts, func(d detect.Doubt) bool { return d.Code == detect.NoShift }):
			p.Trusted = false
			p.Doubts = append(p.Doubts, detect.Doubt{Code: clipOpen, Fatal: true, Say: "the sound leaves open whether the clip is on: pluck it again, nearer one end"})
		}
	}
	return bare, nil
}

// clipOpen is a pluck of which it is not clear whether a clip is on the string.
const clipOpen detect.Code = "clip_open"
