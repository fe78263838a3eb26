package main

import (
	"fmt"
	"math"
	"slices"

	"pluckweigh/detect"
	"pluckweigh/lesson"
	"pluckweigh/physics"
	"pluckweigh/web"
)

// What a page is told: numbers as --json has them, and beside them how they are written
// for a person, so that a page need not round.

// askedJSON is how what was typed was understood.
type askedJSON struct {
	Length   string                 `json:"length,omitempty"`
	Weight   string                 `json:"unit_weight,omitempty"`
	Near     string                 `json:"near,omitempty"`
	Troubles map[string]web.Trouble `json:"troubles"` // by the name of the place typed in
}

// pagePluckJSON is one pluck.
type pagePluckJSON struct {
	Number  int           `json:"number"`
	ID      int           `json:"id"` // by which it is left out of those taken together; 0 where it is not among them
	Pluck   pluckJSON     `json:"pluck"`
	Trusted bool          `json:"trusted"`
	Ringing bool          `json:"ringing"` // it still rings, and is told once more
	Note    *string       `json:"note"`
	Cents   *float64      `json:"cents"`
	Say     *pageSayJSON  `json:"say"`    // null where nothing can be trusted
	Doubts  []pageDoubt   `json:"doubts"` // the gravest first
	Ladder  []rungJSON    `json:"ladder"`
	Pull    *pagePullJSON `json:"pull"`

	Lesson  string         `json:"lesson,omitempty"`   // for which it was plucked
	Points  []lesson.Point `json:"points,omitempty"`   // of the lesson, where there is one
	NoPoint *web.Trouble   `json:"no_point,omitempty"` // why the lesson has none
}

// pageSayJSON is its numbers as a person reads them.
type pageSayJSON struct {
	Note  string `json:"note"`
	F0    string `json:"f0"`
	F1    string `json:"f1"`
	B     string `json:"inharmonicity"`
	Glide string `json:"glide"`
	SNR   string `json:"snr"`
}

type pageDoubt struct {
	web.Trouble
	Fatal bool `json:"fatal"`
}

// rungJSON is one partial against the law that the pluck was fitted by.
type rungJSON struct {
	N     int      `json:"n"`
	Hz    *float64 `json:"hz"`
	UHz   *float64 `json:"u_hz"`
	Above *float64 `json:"above_cents"` // above n times f0
	Law   *float64 `json:"law_cents"`   // where the law puts it, likewise
	Off   *float64 `json:"off_cents"`   // above the law
	UOff  *float64 `json:"u_off_cents"`
	Level *float64 `json:"level_db"`
	Decay *float64 `json:"decay_per_s"`
	Fades *float64 `json:"fades_s"` // by 60 dB in

	SayHz  string `json:"say_hz"` // with its standard uncertainty, k = 1
	SayOff string `json:"say_off"`
}

// pagePullJSON is how hard the string pulls, or why that cannot be said.
type pagePullJSON struct {
	Number  int          `json:"number"` // of the pluck
	Say     string       `json:"say"`
	Remarks []string     `json:"remarks"`
	Better  []string     `json:"better"` // how to know it better
	Tension *tensionJSON `json:"tension"`
	Trouble *web.Trouble `json:"trouble,omitempty"`
}

func sayMeasured[Q physics.Quantity](m physics.Measured[Q]) string {
	s := m.Expanded(1)
	if m.Assumed {
		return s + ", the tolerance is assumed"
	}
	return s
}

func newPagePluckJSON(m measured, p detect.Pluck, a4 physics.Frequency) pagePluckJSON {
	j := pagePluckJSON{Number: m.number, Pluck: newPluckJSON(p, m.from), Trusted: p.Trusted && m.answer.trusted(), Ringing: m.soon, Doubts: []pageDoubt{}, Ladder: []rungJSON{}}
	for _, d := range slices.Concat(p.Doubts, m.answer.doubts) {
		j.Doubts = append(j.Doubts, newPageDoubt(d))
	}
	slices.SortStableFunc(j.Doubts, func(a, b pageDoubt) int {
		switch {
		case a.Fatal && !b.Fatal:
			return -1
		case b.Fatal && !a.Fatal:
			return 1
		}
		return 0
	})
	note, err := physics.NearestNote(physics.Frequency(p.F1.V), a4)
	if !j.Trusted || err != nil {
		return j
	}
	name := note.Name()
	j.Note, j.Cents = &name, finite(note.Cents)
	j.Say = &pageSayJSON{Note: noteOf(note), F0: expanded(hertz(p.F0)), F1: expanded(hertz(p.F1)), B: sayStiffness(p.B, p.BKnown),
		Glide: fmt.Sprintf("%.1f cents", p.GlideCents), SNR: fmt.Sprintf("%.0f dB", p.SNRdB)}
	for _, q := range p.Partials {
		j.Ladder = append(j.Ladder, newRungJSON(q, p))
	}
	return j
}

func newPageDoubt(d detect.Doubt) pageDoubt {
	return pageDoubt{web.Trouble{Say: d.Say, Hint: pageRemedy(d.Code)}, d.Fatal}
}

func sayStiffness(b detect.Value, known bool) string {
	if !known {
		return "not heard"
	}
	return expanded(physics.Stated(physics.Inharmonicity(b.V), physics.Inharmonicity(b.U)))
}

func newRungJSON(q detect.Partial, p detect.Pluck) rungJSON {
	above := physics.CentsBetween(physics.Frequency(float64(q.N)*p.F0.V), physics.Frequency(q.Freq.V))
	law := float64(physics.PartialRaise(physics.Inharmonicity(p.B.V), q.N))
	u := physics.CentsBetween(physics.Frequency(q.Freq.V), physics.Frequency(q.Freq.V+q.Freq.U))
	fades := finite(3 * math.Ln10 / q.Decay)
	if !(q.Decay > 0) {
		fades = nil
	}
	return rungJSON{q.N, finite(q.Freq.V), finite(q.Freq.U), finite(above), finite(law), finite(above - law), finite(u), finite(q.LevelDB), finite(q.Decay), fades,
		hertz(q.Freq).Expanded(1), physics.Stated(physics.PitchInterval(above-law), physics.PitchInterval(u)).Expanded(1)}
}

// pageRemedy says what to do about a doubt where there are no flags.
func pageRemedy(c detect.Code) string {
	if c == detect.OctaveOpen {
		return "name the note expected, or pluck nearer one end and let the string ring"
	}
	return (&answer{many: true}).remedy(c)
}

func newPagePullJSON(number int, f *figure, err error) *pagePullJSON {
	j := &pagePullJSON{Number: number, Remarks: []string{}, Better: []string{}}
	if err != nil {
		t := web.TroubleOf(err)
		j.Trouble = &t
		return j
	}
	j.Say, j.Tension = f.expanded, newTensionJSON(f)
	for _, r := range []string{f.shift, f.other} {
		if r != "" {
			j.Remarks = append(j.Remarks, r)
		}
	}
	for _, i := range f.improve {
		j.Better = append(j.Better, i.Input+": "+i.Said)
	}
	return j
}
