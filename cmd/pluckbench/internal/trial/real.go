package trial

import (
	"context"
	"fmt"
	"math"

	"pluckweigh/detect"
	"pluckweigh/detect/detecttest"
)

// Recorded is what the detector made of recorded notes.
type Recorded struct {
	Notes   int         `json:"notes"`
	Wrong   []Exception `json:"wrong_notes"`
	Refused []Exception `json:"refused"`
	// How far first partials lie from the keys that the file gives, cents.
	KeyMedian Number `json:"key_median_cents"`
	KeyMax    Number `json:"key_max_cents"`
	// How far f0 from the odd partials lies from f0 from the even ones, cents.
	Halves        int         `json:"odd_even_notes"`
	HalvesMedian  Number      `json:"odd_even_median_cents"`
	HalvesP95     Number      `json:"odd_even_p95_cents"`
	HalvesFarther []Exception `json:"odd_even_beyond_1_cent"`
	// Inharmonicity over the open string's, against the law of frets.
	Frets     []Fret `json:"frets"`
	FretsMost Number `json:"frets_most_percent"`
	OpenMost  Number `json:"open_spread_percent"` // between ways of plucking one string
}

// A Fret is one note on a string whose open note was heard, too.
type Fret struct {
	Family string `json:"family"`
	Fret   int    `json:"fret"`
	B      Number `json:"inharmonicity"`
	Ratio  Number `json:"over_open"`
	Law    Number `json:"law"`
	Off    Number `json:"off_percent"`
}

// Real listens to the recorded notes of Debian's package fluid-soundfont-gm.
func Real(ctx context.Context, o Options) (Recorded, error) {
	notes, err := detecttest.Notes()
	if err != nil {
		return Recorded{}, err
	}
	if o.Takes > 0 && o.Takes < len(notes) {
		notes = notes[:o.Takes]
	}
	takes, err := each(ctx, o, len(notes), func(i int) (detect.Take, error) {
		return detect.Analyze(notes[i].Samples, notes[i].Rate, detect.Options{})
	})
	if err != nil {
		return Recorded{}, err
	}
	r := Recorded{Notes: len(notes), Wrong: []Exception{}, Refused: []Exception{}, HalvesFarther: []Exception{}, Frets: []Fret{}}
	var key, halves []float64
	for i, n := range notes {
		name := fmt.Sprintf("%s (%s)", n.Name, n.Family)
		if takes[i].Reading == nil {
			r.Refused = append(r.Refused, Exception{name, missing, reasons(takes[i])})
			continue
		}
		off := cents(takes[i].Reading.F1.V, n.Hz)
		if math.Abs(off) > wrongCents {
			r.Wrong = append(r.Wrong, Exception{name, Number(off), nil})
			continue
		}
		key = append(key, math.Abs(off))
		d, ok := oddOverEven(measured(takes[i]))
		if !ok {
			continue
		}
		halves = append(halves, math.Abs(d))
		if math.Abs(d) > 1 {
			r.HalvesFarther = append(r.HalvesFarther, Exception{name, Number(d), nil})
		}
	}
	r.KeyMedian, r.KeyMax = quantile(key, 0.5), quantile(key, 1)
	r.Halves, r.HalvesMedian, r.HalvesP95 = len(halves), quantile(halves, 0.5), quantile(halves, 0.95)
	r.frets(notes, takes)
	return r, nil
}

// frets compares B along a string. Fretting at fret n shortens the string by
// 2^(−n/12), so that B = π²EI/(TL²) grows by 2^(n/6) (derived).
func (r *Recorded) frets(notes []detecttest.Note, takes []detect.Take) {
	open := map[string]float64{}
	var lo, hi float64
	for i, n := range notes {
		if t := takes[i]; n.FretLaw && n.String == "E" && n.Fret == 0 && t.Reading != nil && t.Reading.BKnown {
			b := t.Reading.B.V
			open[n.Family] = b
			if lo == 0 {
				lo, hi = b, b
			}
			lo, hi = min(lo, b), max(hi, b)
		}
	}
	r.FretsMost, r.OpenMost = missing, missing
	if lo > 0 {
		r.OpenMost = Number(100 * (hi/lo - 1))
	}
	most := 0.0
	for i, n := range notes {
		t := takes[i]
		if !n.FretLaw || n.String != "E" || n.Fret == 0 || open[n.Family] == 0 || t.Reading == nil || !t.Reading.BKnown {
			continue
		}
		f := Fret{Family: n.Family, Fret: n.Fret, B: Number(t.Reading.B.V), Law: Number(math.Exp2(float64(n.Fret) / 6))}
		f.Ratio = Number(t.Reading.B.V / open[n.Family])
		f.Off = 100 * (f.Ratio/f.Law - 1)
		most = max(most, math.Abs(float64(f.Off)))
		r.Frets = append(r.Frets, f)
		r.FretsMost = Number(most)
	}
}
