package main

import (
	"encoding/json"
	"io"
	"math"

	"pluckweigh/detect"
	"pluckweigh/physics"
)

// What is printed with --json. Pointers are null where a value is unknown; an
// encoded number is always finite.

type takeJSON struct {
	Take    *string      `json:"take"`
	Rate    *float64     `json:"sample_rate_hz"`
	Seconds *float64     `json:"seconds"`
	Plucks  []pluckJSON  `json:"plucks"`
	Reading *readingJSON `json:"reading"`
	Doubts  []doubtJSON  `json:"doubts"`
	Error   *errorJSON   `json:"error,omitempty"` // there where the take failed
}

type errorJSON struct {
	Say  string  `json:"say"`
	Hint *string `json:"hint"`
}

type pluckJSON struct {
	Start    *float64      `json:"start_s"`
	From     *float64      `json:"from_s"`
	To       *float64      `json:"to_s"`
	F0       *float64      `json:"f0_hz"`
	UF0      *float64      `json:"u_f0_hz"`
	F1       *float64      `json:"f1_hz"`
	UF1      *float64      `json:"u_f1_hz"`
	B        *float64      `json:"inharmonicity"`
	UB       *float64      `json:"u_inharmonicity"`
	Glide    *float64      `json:"glide_cents"`
	SNR      *float64      `json:"snr_db"`
	Partials []partialJSON `json:"partials"`
	Trusted  bool          `json:"trusted"`
	Doubts   []doubtJSON   `json:"doubts"`
}

type partialJSON struct {
	N     int      `json:"n"`
	Hz    *float64 `json:"hz"`
	UHz   *float64 `json:"u_hz"`
	Level *float64 `json:"level_db"`
	Decay *float64 `json:"decay_per_s"`
}

type readingJSON struct {
	F0      *float64    `json:"f0_hz"`
	UF0     *float64    `json:"u_f0_hz"`
	F1      *float64    `json:"f1_hz"`
	UF1     *float64    `json:"u_f1_hz"`
	B       *float64    `json:"inharmonicity"`
	UB      *float64    `json:"u_inharmonicity"`
	Note    string      `json:"note"`
	Cents   *float64    `json:"cents"`
	Plucks  int         `json:"plucks"`
	Trusted bool        `json:"trusted"`
	Clip    *clipJSON   `json:"clip,omitempty"` // there where one was looked for
	Doubts  []doubtJSON `json:"doubts"`
}

// clipJSON is what the sound says of a clip.
type clipJSON struct {
	Ratio  *float64 `json:"mass_ratio"` // over the string's mass
	URatio *float64 `json:"u_mass_ratio"`
	Shift  *float64 `json:"shift_cents"` // by which it lowers the first partial
	Off    *float64 `json:"off_middle"`  // as a fraction of the speaking length
}

type doubtJSON struct {
	Code detect.Code `json:"code"`
	Say  string      `json:"say"`
}

type tensionJSON struct {
	Newton  *float64   `json:"newton"`
	UNewton *float64   `json:"u_newton"`
	Budget  []termJSON `json:"budget"`
	accountJSON
}

type unitWeightJSON struct {
	KgPerM  *float64   `json:"kg_per_m"`
	UKgPerM *float64   `json:"u_kg_per_m"`
	Route   string     `json:"route"`
	Budget  []termJSON `json:"budget"`
	accountJSON
}

type termJSON struct {
	Input       string   `json:"input"`
	Share       *float64 `json:"share"`
	Assumed     bool     `json:"assumed"`
	U           *float64 `json:"u"`
	Sensitivity *float64 `json:"sensitivity"`
	DoF         *float64 `json:"degrees_of_freedom"` // null for unlimited
	Say         string   `json:"say"`
}

// finite is v, or unknown where it is no number.
func finite(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// writeJSON prints the answer as one line.
func (a *answer) writeJSON(w io.Writer) error {
	t := takeJSON{Plucks: []pluckJSON{}, Doubts: doubtsJSON(a.doubts), Error: newErrorJSON(a.failed)}
	if a.name != "" {
		t.Take = &a.name
	}
	if a.take.Rate > 0 {
		t.Rate, t.Seconds = finite(a.take.Rate), finite(a.take.Seconds)
	}
	for _, p := range a.take.Plucks {
		t.Plucks = append(t.Plucks, newPluckJSON(p, 0))
	}
	if a.take.Reading != nil {
		t.Reading = newReadingJSON(*a.take.Reading, *a.note)
		t.Reading.Doubts = append(t.Reading.Doubts, doubtsJSON(setAside(a.take.Plucks))...)
	}
	switch a.kind {
	case ofTension:
		return writeLine(w, struct {
			takeJSON
			Tension *tensionJSON `json:"tension"`
		}{t, newTensionJSON(a.figure)})
	case ofUnitWeight:
		return writeLine(w, struct {
			takeJSON
			UnitWeight *unitWeightJSON `json:"unit_weight"`
			Build      map[string]any  `json:"build,omitempty"` // there where one was given
		}{t, newUnitWeightJSON(a.figure), newBuildJSON(a.figure)})
	case ofOutlook:
		j := struct {
			takeJSON
			Tension *tensionJSON     `json:"tension"`
			WhatIf  []map[string]any `json:"what_if"`
		}{t, newTensionJSON(a.figure), outlook{}.json()}
		if a.figure != nil {
			j.WhatIf = a.figure.outlook.json()
		}
		return writeLine(w, j)
	case ofBuilds:
		return writeLine(w, struct {
			takeJSON
			buildsJSON
		}{t, newBuildsJSON(a.figure)})
	case ofIdentity:
		return writeLine(w, struct {
			takeJSON
			identityJSON
		}{t, newIdentityJSON(a.figure)})
	case ofLoads:
		return writeLine(w, struct {
			takeJSON
			UnitWeight *unitWeightJSON `json:"unit_weight"`
			Hang       *hangJSON       `json:"hang"`
		}{t, newUnitWeightJSON(a.figure), newHangJSON(a.hung)})
	case ofBoth:
		both := struct {
			takeJSON
			UnitWeight *unitWeightJSON `json:"unit_weight"`
			Tension    *tensionJSON    `json:"tension"`
			Clips      *clipForJSON    `json:"clip_for,omitempty"` // there where the string is known
		}{takeJSON: t, UnitWeight: newUnitWeightJSON(a.figure)}
		if a.figure != nil {
			both.Tension, both.Clips = newTensionJSON(a.figure.also), a.figure.clips
		}
		return writeLine(w, both)
	}
	return writeLine(w, t)
}

func writeLine(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}

// newPluckJSON is a pluck heard so many seconds after the take's beginning, its
// numbers only where they can be trusted.
func newPluckJSON(p detect.Pluck, after float64) pluckJSON {
	j := pluckJSON{Start: finite(p.Start + after), From: finite(p.From + after), To: finite(p.To + after),
		Partials: []partialJSON{}, Trusted: p.Trusted, Doubts: doubtsJSON(p.Doubts)}
	if !p.Trusted {
		return j
	}
	j.F0, j.UF0 = finite(p.F0.V), finite(p.F0.U)
	j.F1, j.UF1 = finite(p.F1.V), finite(p.F1.U)
	if p.BKnown {
		j.B, j.UB = finite(p.B.V), finite(p.B.U)
	}
	j.Glide, j.SNR = finite(p.GlideCents), finite(p.SNRdB)
	for _, q := range p.Partials {
		j.Partials = append(j.Partials, partialJSON{q.N, finite(q.Freq.V), finite(q.Freq.U), finite(q.LevelDB), finite(q.Decay)})
	}
	return j
}

func newReadingJSON(r detect.Reading, note physics.Note) *readingJSON {
	j := &readingJSON{
		F0: finite(r.F0.V), UF0: finite(r.F0.U), F1: finite(r.F1.V), UF1: finite(r.F1.U),
		Note: note.Name(), Cents: finite(note.Cents), Plucks: r.Plucks, Trusted: true, Doubts: doubtsJSON(r.Doubts),
	}
	if r.BKnown {
		j.B, j.UB = finite(r.B.V), finite(r.B.U)
	}
	if l := r.Load; l != nil {
		j.Clip = &clipJSON{finite(l.Ratio.V), finite(l.Ratio.U), finite(l.Cents), finite(l.Off.V)}
	}
	return j
}

func newTensionJSON(f *figure) *tensionJSON {
	if f == nil {
		return nil
	}
	return &tensionJSON{finite(f.value), finite(f.u), budgetJSON(f.budget), newAccountJSON(f)}
}

func newUnitWeightJSON(f *figure) *unitWeightJSON {
	if f == nil {
		return nil
	}
	return &unitWeightJSON{finite(f.value), finite(f.u), f.route, budgetJSON(f.budget), newAccountJSON(f)}
}

// newBuildJSON is what else a build decides, nil where none was given.
func newBuildJSON(f *figure) map[string]any {
	if f == nil || len(f.build) == 0 {
		return nil
	}
	return rowsJSON(f.build)
}

// newErrorJSON is an error, the first hint of several.
func newErrorJSON(err error) *errorJSON {
	var j errorJSON
	for i, t := range tellings(err) {
		if i > 0 {
			j.Say += "; "
		}
		j.Say += t.say
		if j.Hint == nil && t.hint != "" {
			j.Hint = &t.hint
		}
	}
	if j.Say == "" {
		return nil
	}
	return &j
}

func budgetJSON(b physics.Budget) []termJSON {
	out := []termJSON{}
	for _, t := range b {
		out = append(out, termJSON{t.Input, finite(t.Share), t.Assumed, finite(t.U), finite(t.Sensitivity), limited(t.DoF), t.Said})
	}
	return out
}

func doubtsJSON(ds []detect.Doubt) []doubtJSON {
	out := []doubtJSON{}
	for _, d := range ds {
		out = append(out, doubtJSON{d.Code, d.Say})
	}
	return out
}
