package stock

import (
	"errors"
	"reflect"
	"slices"
	"testing"

	"pluckweigh/physics"
	"pluckweigh/stock/choose"
	"pluckweigh/stock/traits"
)

func TestInstrumentsAreKept(t *testing.T) {
	ctx, s := t.Context(), newStore(t)
	note := func(text string) physics.Note {
		n, err := physics.ParseNote(text)
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	want := Instrument{Name: "fan", A4: 432, Most: 800, Positions: []Position{
		{Length: physics.Stated(863.6*physics.Millimetre, 0.5*physics.Millimetre), Note: note("E1-13.686c"),
			Slot: choose.Slot{Least: 2 * physics.Millimetre, Most: 3 * physics.Millimetre}, Kind: traits.Wound},
		{Length: physics.SpeakingLength.Assume(838.2 * physics.Millimetre), Note: note("A1")},
	}}
	if err := s.AddInstrument(ctx, want); err != nil {
		t.Fatal(err)
	}
	got, err := s.Instrument(ctx, "fan")
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, %v, not\n%+v", got, err, want)
	}
	var taken *TakenError
	places, err := got.Places()
	if err != nil || len(places) != len(want.Positions) {
		t.Fatalf("%+v, %v", places, err)
	}
	for n, p := range want.Positions {
		f0, err := p.Note.Frequency(want.A4)
		if at := places[n]; err != nil || at.F0 != f0 || at.Length != p.Length || at.Slot != p.Slot || at.Kind != p.Kind || at.Note != p.Note.String() {
			t.Errorf("%+v, not %+v", at, p)
		}
	}
	if err := s.AddInstrument(ctx, want); !errors.As(err, &taken) {
		t.Errorf("added twice: %v", err)
	}
	for _, name := range []string{"E", "A"} {
		if err := s.Add(ctx, named(name)); err != nil {
			t.Fatal(err)
		}
	}
	strung := func(want ...string) {
		t.Helper()
		if got, err := s.Instrument(ctx, "fan"); err != nil || !slices.Equal(got.Strung(), want) {
			t.Errorf("%q, %v, not %q", got.Strung(), err, want)
		}
	}
	if err := s.StringUp(ctx, "fan", []string{"E", "A"}); err != nil {
		t.Error(err)
	}
	strung("E", "A")
	var missing *MissingError
	if err := s.StringUp(ctx, "fan", []string{"A", "D"}); !errors.As(err, &missing) {
		t.Errorf("strung with what is not there: %v", err)
	}
	if err := s.StringUp(ctx, "fun", []string{"E", "A"}); !errors.As(err, &missing) || missing.Near != "fan" {
		t.Errorf("strung what is not there: %v", err)
	}
	var input *physics.InputError
	if err := s.StringUp(ctx, "fan", []string{"E"}); !errors.As(err, &input) {
		t.Errorf("strung with too few: %v", err)
	}
	strung("E", "A") // all or nothing
	if err := s.Edit(ctx, "A", func(x *String) error { x.Name = "B"; return nil }); err != nil {
		t.Error(err)
	}
	strung("E", "B")
	there := []Place{{"fan", 1}}
	if on, err := s.On(ctx, "E"); err != nil || !slices.Equal(on, there) {
		t.Errorf("on %v, %v", on, err)
	}
	if was, err := s.Remove(ctx, "E"); err != nil || !slices.Equal(was, there) {
		t.Errorf("was on %v, %v", was, err)
	}
	strung("", "B")
	if err := s.RemoveInstrument(ctx, "fan"); err != nil {
		t.Error(err)
	}
	if _, err := s.Instrument(ctx, "fan"); !errors.As(err, &missing) {
		t.Errorf("removed, and still: %v", err)
	}
	if err := s.RemoveInstrument(ctx, "fan"); !errors.As(err, &missing) {
		t.Errorf("removed twice: %v", err)
	}
}
