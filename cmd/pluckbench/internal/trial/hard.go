package trial

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"math"
	"slices"

	"pluckweigh/detect/detecttest"
)

// A Spread is what became of many takes, as a whole and by what they have in
// common.
type Spread struct {
	Stream  string         `json:"stream"`
	All     Tally          `json:"all"`
	Bands   []Tally        `json:"by_fundamental"`
	Marks   []Tally        `json:"by_condition,omitempty"`
	Reasons map[string]int `json:"refused_for"`
	Wrong   []Exception    `json:"wrong_notes"`
	Refused []Exception    `json:"refused"`
	Far     []Distance     `json:"beyond_3_u"` // in standard uncertainties
}

// An Exception is a take that was not read right.
type Exception struct {
	Take    string   `json:"take"`
	Cents   Number   `json:"off_cents"` // of a wrong note
	Reasons []string `json:"reasons,omitempty"`
}

// Hard listens to takes that are hard to hear.
func Hard(ctx context.Context, o Options) (Spread, error) {
	return spread(ctx, o, detecttest.Hard)
}

// Rest listens to takes that glide and beat.
func Rest(ctx context.Context, o Options) (Spread, error) {
	return spread(ctx, o, detecttest.Rest)
}

func spread(ctx context.Context, o Options, draw func(detecttest.Stream, uint64) detecttest.Case) (Spread, error) {
	all, err := each(ctx, o, o.Takes, func(i int) (heard, error) { return hear(draw(o.Stream, uint64(i))) })
	if err != nil {
		return Spread{}, err
	}
	s := Spread{Stream: o.Stream.String(), Reasons: map[string]int{}, Wrong: []Exception{}, Refused: []Exception{}, Far: []Distance{}}
	s.All = tally("all", all, func(heard) bool { return true })
	marks := map[string]bool{}
	for _, h := range all {
		for _, m := range h.Marks {
			marks[m] = true
		}
		switch {
		case h.take.Reading == nil:
			rs := reasons(h.take)
			for _, r := range rs {
				s.Reasons[r]++
			}
			s.Refused = append(s.Refused, Exception{h.Case.String(), missing, rs})
		case h.off() > wrongCents || h.off() < -wrongCents:
			s.Wrong = append(s.Wrong, Exception{h.Case.String(), Number(h.off()), nil})
		}
		if f0, b := h.distance(); beyond(f0, b, 3) {
			s.Far = append(s.Far, Distance{h.Case.String(), Number(f0), Number(b)})
		}
	}
	for i, name := range bandNames {
		s.Bands = append(s.Bands, tally(name, all, func(h heard) bool { return band(h.truth.F0) == i }))
	}
	for _, m := range slices.SortedFunc(maps.Keys(marks), byNumber) {
		s.Marks = append(s.Marks, tally(m, all, func(h heard) bool { return slices.Contains(h.Marks, m) }))
	}
	return s, nil
}

// distance is the error in stated uncertainties, NaN for what was not read.
func (h heard) distance() (f0, b float64) {
	f0, b = math.NaN(), math.NaN()
	r := h.take.Reading
	if r == nil {
		return f0, b
	}
	if r.BKnown {
		b = (r.B.V - h.truth.B) / r.B.U
	}
	return (r.F0.V - h.truth.F0) / r.F0.U, b
}

// byNumber orders words by the number they begin with, if any, and then as words.
func byNumber(a, b string) int {
	var x, y float64
	fmt.Sscan(a, &x) // what is no number stays 0
	fmt.Sscan(b, &y)
	return cmp.Or(cmp.Compare(x, y), cmp.Compare(a, b))
}
