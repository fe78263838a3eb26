package main

import (
	"math"
	"time"

	"pluckweigh/settle"
)

type sessionJSON struct {
	Session  string    `json:"session"`
	Readings int       `json:"readings"`
	First    time.Time `json:"first"`
	Last     time.Time `json:"last"`
}

// settledJSON is what is told of a string that was watched. Times in seconds count from
// the first reading, cents from the note.
type settledJSON struct {
	Session  *string           `json:"session"`
	Begun    *time.Time        `json:"begun"` // null where the readings have no dates
	Note     string            `json:"note"`
	A4       *float64          `json:"a4_hz"`
	LeftOut  int               `json:"left_out"`
	Now      estimateJSON      `json:"now_cents"`
	Drift    estimateJSON      `json:"drift_cents_per_hour"`
	Scatter  *float64          `json:"scatter_cents"`
	Wander   *float64          `json:"wander"` // null for none
	Warmth   *estimateJSON     `json:"warmth_cents_per_kelvin"`
	MeanWarm *float64          `json:"temperature_c"` // that the cents are of, where warmth was taken out
	Forecast forecastJSON      `json:"forecast"`
	Laws     []lawJSON         `json:"laws"`
	Steps    []stepJSON        `json:"steps"`
	Event    *returnJSON       `json:"event"`
	Readings []settledReadJSON `json:"readings"` // since the event, if there was one
	Doubts   []doubtJSON       `json:"doubts"`
}

// estimateJSON is a value, its standard uncertainty, and what holds the truth in 95 %.
type estimateJSON struct {
	Value *float64 `json:"value"`
	U     *float64 `json:"u"`
	Low   *float64 `json:"low"`
	High  *float64 `json:"high"`
}

type forecastJSON struct {
	Within    *float64      `json:"within_cents"`
	For       *float64      `json:"for_s"`
	Answer    string        `json:"answer"` // yes, not_yet or cannot_tell
	Holds     *float64      `json:"probability"`
	Move      estimateJSON  `json:"move_cents"`
	Wait      *estimateJSON `json:"wait_s"` // null but for not_yet; its ends null where infinite
	WaitTold  bool          `json:"wait_told"`
	MustWatch bool          `json:"watched_too_short"`
}

type lawJSON struct {
	Law     string        `json:"law"` // still, linear, logarithmic or exponential
	Weight  *float64      `json:"weight"`
	AICc    *float64      `json:"aicc"`
	A       estimateJSON  `json:"a_cents"`
	B       *estimateJSON `json:"b_cents"`          // null for still and linear
	Slope   *estimateJSON `json:"b_cents_per_hour"` // of linear, null for others
	Tau     *estimateJSON `json:"tau_s"`
	TauTold bool          `json:"tau_told"`
}

type stepJSON struct {
	After  *float64     `json:"after_s"`
	Before *float64     `json:"before_s"`
	Size   estimateJSON `json:"cents"`
}

type returnJSON struct {
	At     *float64     `json:"at_s"`
	AtOnce estimateJSON `json:"at_once_cents"`
	Off    estimateJSON `json:"off_cents"`
	Before int          `json:"readings_before"`
}

type settledReadJSON struct {
	At          *float64 `json:"at_s"`
	Cents       *float64 `json:"cents"` // as heard
	U           *float64 `json:"u_cents"`
	Level       *float64 `json:"level_cents"` // with warmth taken out
	Law         *float64 `json:"law_cents"`
	Weight      *float64 `json:"weight"`
	Odd         bool     `json:"odd"`
	Temperature *float64 `json:"temperature_c"`
}

var lawNames = map[settle.Law]string{settle.Still: "still", settle.Linear: "linear", settle.Logarithmic: "logarithmic", settle.Exponential: "exponential"}

var verdictNames = map[settle.Verdict]string{settle.Yes: "yes", settle.NotYet: "not_yet", settle.CannotTell: "cannot_tell"}

func newEstimateJSON(e settle.Estimate, times float64) estimateJSON {
	return estimateJSON{finite(e.Value * times), finite(e.U * times), finite(e.Low * times), finite(e.High * times)}
}

func newSettledJSON(a *settled) settledJSON {
	c := a.course
	last := c.Readings[len(c.Readings)-1].At
	j := settledJSON{
		Session: orNull(a.session), Note: a.note.Name(), A4: finite(float64(a.a4)), LeftOut: a.left,
		Now: newEstimateJSON(c.At(last), 1), Drift: newEstimateJSON(c.Drift(last), 3600), Scatter: finite(c.Scatter), Wander: orNull(c.Wander),
		Laws: []lawJSON{}, Steps: []stepJSON{}, Readings: make([]settledReadJSON, 0, len(c.Readings)), Doubts: doubtsJSON(a.doubts),
	}
	if first := a.readings[0].when; first.Dated() {
		begun := first.Time.UTC()
		j.Begun = &begun
	}
	if c.Warmth != nil {
		k := newEstimateJSON(*c.Warmth, 1)
		j.Warmth, j.MeanWarm = &k, finite(c.MeanWarmer())
	}
	f := a.forecast
	j.Forecast = forecastJSON{finite(f.Tolerance), finite(f.Ahead), verdictNames[f.Verdict], finite(f.Holds), newEstimateJSON(f.Move, 1), nil, f.WaitTold, f.TooShort}
	if f.Verdict == settle.NotYet {
		k := newEstimateJSON(f.Wait, 1)
		j.Forecast.Wait = &k
	}
	for _, l := range c.Laws {
		j.Laws = append(j.Laws, newLawJSON(l))
	}
	for _, s := range c.Steps {
		j.Steps = append(j.Steps, stepJSON{finite(s.After), finite(s.Before), newEstimateJSON(s.Size, 1)})
	}
	if b := a.back; b != nil {
		j.Event = &returnJSON{finite(a.event.Since(a.readings[0].when)), newEstimateJSON(b.AtOnce, 1), newEstimateJSON(b.Off, 1), len(b.Before.Readings)}
	}
	for _, r := range c.Readings {
		j.Readings = append(j.Readings, settledReadJSON{finite(r.At), finite(r.Cents), finite(r.U), finite(r.Level), finite(r.Law), finite(r.Weight), r.Odd(), finite(r.Warmer)})
	}
	return j
}

func newLawJSON(l settle.Told) lawJSON {
	j := lawJSON{Law: lawNames[l.Law], Weight: finite(l.Weight), AICc: finite(l.AICc), A: newEstimateJSON(l.A, 1), TauTold: l.TauTold}
	switch l.Law {
	case settle.Linear:
		k := newEstimateJSON(l.B, 3600)
		j.Slope = &k
	case settle.Logarithmic, settle.Exponential:
		b, tau := newEstimateJSON(l.B, 1), newEstimateJSON(l.Tau, 1)
		j.B = &b
		if !math.IsNaN(l.Tau.Value) && l.Tau.Value > 0 {
			j.Tau = &tau
		}
	}
	return j
}
