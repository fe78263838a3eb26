package web

import (
	"context"

	"pluckweigh/audio"
)

// Ears hear for one page. Ask may be called while Hear is at work.
type Ears interface {
	// Ask takes in what is known of the string, and tells how it was understood and
	// what follows for what was heard last.
	Ask(Ask)
	// Hear hears a source until it ends or ctx does, and tells what it hears. The
	// error says why it ended before its time.
	Hear(ctx context.Context, src audio.Source) error
}

// A Teller tells a page, in JSON.
type Teller interface {
	// Sign tells a sign of life, which is left out where the next comes before it can
	// be sent.
	Sign(v any)
	// Result tells what must arrive. A page that does not take it is let go.
	Result(v any)
}

// An Ask is what is known of a string, as somebody typed it.
type Ask struct {
	Length    string `json:"length"`      // speaking length
	Weight    string `json:"unit_weight"` // or empty
	Ends      string `json:"ends"`
	Near      string `json:"near"`      // the note expected
	Reference string `json:"reference"` // the frequency of A4

	Lesson string   `json:"lesson"` // for which plucks are heard, empty for none
	X      []string `json:"x"`      // what is told with them: Lesson.Asked

	Survey *SurveyAsk `json:"survey"` // what plucks are kept for beside being told, nil for nothing
	Settle *SettleAsk `json:"settle"`

	Apart []int `json:"apart"` // plucks that do not count where several are taken together
}

// A SurveyAsk is what somebody typed of an instrument whose strings are plucked, as
// pluckweigh survey takes it.
type SurveyAsk struct {
	Instrument string `json:"instrument"`
	Session    string `json:"session"`
	Good       string `json:"good"`
	Out        string `json:"out"`
	Down       string `json:"down"`
	Position   string `json:"position"`
	InOrder    bool   `json:"in_order"`
	Clip       string `json:"clip"`
	Pull       string `json:"pull"`
	Slope      string `json:"slope"`
	Even       bool   `json:"even"`
	Ends       string `json:"ends"`
}

// A SettleAsk is what somebody typed of a string that is watched, as pluckweigh settle
// takes it.
type SettleAsk struct {
	Session     string `json:"session"`
	Within      string `json:"within"`
	For         string `json:"for"`
	Temperature string `json:"temperature"` // of the moment
	Warmth      string `json:"warmth"`
	Event       string `json:"event"`
}

// longestTyped is more than anybody types in one place, in bytes.
const longestTyped = 200

// fits tells whether all of it is of a size that somebody could have typed.
func (a Ask) fits() bool {
	texts := append(a.X, a.Length, a.Weight, a.Ends, a.Near, a.Reference, a.Lesson)
	if s := a.Survey; s != nil {
		texts = append(texts, s.Instrument, s.Session, s.Good, s.Out, s.Down, s.Position, s.Clip, s.Pull, s.Slope, s.Ends)
	}
	if s := a.Settle; s != nil {
		texts = append(texts, s.Session, s.Within, s.For, s.Temperature, s.Warmth, s.Event)
	}
	return fit(texts...) && len(a.Apart) <= mostPoints
}

// A Trouble is what went wrong, as the page shows it.
type Trouble struct {
	Say  string `json:"say"`
	Hint string `json:"hint,omitempty"`
}

// TroubleOf words an error, with its hint where it has one.
func TroubleOf(err error) Trouble {
	t := Trouble{Say: err.Error()}
	if h, ok := hinted(err); ok {
		t.Hint = h.Hint()
	}
	return t
}
