package choose

import (
	"errors"
	"math"
	"testing"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// By the square of the ratio of the pitches, the ends aside.
func TestRetunePullsBySquares(t *testing.T) {
	steel, _ := physics.ParseMaterial("steel")
	p := Position{F0: 100, Length: physics.Stated[physics.Length](0.65, 1e-4), Ends: physics.EndsPinned}
	s := traits.String{UnitWeight: physics.Stated[physics.UnitWeight](5e-3, 1e-5),
		Core: physics.Core{Size: physics.Stated[physics.Length](0.4e-3, 1e-6), Of: steel}}
	r, err := Retune([]Position{p, p}, []traits.String{s, {UnitWeight: s.UnitWeight}}, []physics.Frequency{150, 50})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{2.25, 0.25} {
		if got := float64(r.Strings[i].After.Value / r.Strings[i].Before.Value); math.Abs(got/want-1) > 1e-12 {
			t.Errorf("string %d pulls %v times as hard, not %v", i, got, want)
		}
	}
	if r.Strings[0].Load == nil || r.Strings[1].Load != nil {
		t.Error("a load is told of a core that is not known, or not of one that is")
	}
	flexible := 4 * 5e-3 * 0.65 * 0.65 * 100 * 100 * (2.25 + 0.25)
	if math.Abs(float64(r.After.Value)/flexible-1) > 1e-12 {
		t.Errorf("all pull %v, not %v", r.After.Value, flexible)
	}
}

func TestRefuses(t *testing.T) {
	p := Position{F0: 100, Length: physics.Stated[physics.Length](0.65, 1e-4)}
	s := traits.String{UnitWeight: physics.Stated[physics.UnitWeight](5e-3, 1e-5), Left: 1}
	ok := Question{Positions: []Position{p}, Strings: []traits.String{s}}
	if _, err := ok.Best(); err != nil {
		t.Fatal(err)
	}
	nan := physics.Force(math.NaN())
	for name, change := range map[string]func(*Question){
		"no positions":      func(q *Question) { q.Positions = nil },
		"no pitch":          func(q *Question) { q.Positions = []Position{{Length: p.Length}} },
		"no length":         func(q *Question) { q.Positions = []Position{{F0: 100}} },
		"slot upside down":  func(q *Question) { q.Positions = []Position{{F0: 100, Length: p.Length, Slot: Slot{2e-3, 1e-3}}} },
		"weightless string": func(q *Question) { q.Strings = []traits.String{{Name: "x"}} },
		"NaN target":        func(q *Question) { q.Wish = Each(nan) },
		"too many targets":  func(q *Question) { q.Wish = Level(2, 100) },
		"push of no depth":  func(q *Question) { q.Wish = Level(1, 100).Pushed(0) },
		"within of nothing": func(q *Question) { q.Wish = Even(0, 5) },
		"NaN limit":         func(q *Question) { q.Limits.Total = nan },
		"fewer than none":   func(q *Question) { q.Alternatives = -1 },
		"total too low":     func(q *Question) { q.Limits.Total = 10 },
	} {
		q := ok
		change(&q)
		var e *physics.InputError
		if c, err := q.Best(); !errors.As(err, &e) {
			t.Errorf("%s: %+v, %v", name, c, err)
		}
	}
	if _, err := Retune([]Position{p}, []traits.String{s}, nil); err == nil {
		t.Error("a string is retuned to no note")
	}
}
