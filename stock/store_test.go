package stock

import (
	"errors"
	"path/filepath"
	"reflect"
	"testing"
	"time"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

var day = time.Date(2026, 3, 4, 5, 6, 7, 0, time.UTC)

func newStore(t testing.TB) *Store {
	t.Helper()
	s, err := Open(t.Context(), filepath.Join(t.TempDir(), "a b?c#d%20e", "stock.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// named is a string of which nothing is known, not even how many there are.
func named(name string) String {
	return String{String: traits.String{Name: name, Left: traits.Uncounted}}
}

// kept is a string of which nothing is known but measurements.
func kept(name string, all ...Measurement) String {
	x := named(name)
	x.Measurements = all
	return x
}

func weighed(grams, u float64, route string) Measurement {
	return Measure(physics.Stated(physics.UnitWeight(grams)*physics.GramPerMetre, physics.UnitWeight(u)*physics.GramPerMetre), route, day, `{"f0_hz":55}`)
}

func thick(mm, u float64) Measurement {
	return Measure(physics.Stated(physics.Length(mm)*physics.Millimetre, physics.Length(u)*physics.Millimetre), "micrometer", day, "")
}

func TestStringsAreKept(t *testing.T) {
	ctx, s := t.Context(), newStore(t)
	want := String{String: traits.String{Name: "E 46 «wound»", Kind: traits.Wound, Left: 3}, Material: "music wire", Label: "046",
		Measurements: []Measurement{weighed(18.34, 0.05, "clip"), thick(1.168, 0.003),
			Measure(physics.Measured[physics.BendingStiffness]{Value: 7.6e-4, U: 1e-5, DoF: 3.5, Assumed: true}, "clip", time.Time{}, "")}}
	if err := s.Add(ctx, want); err != nil {
		t.Fatal(err)
	}
	if err := s.Add(ctx, named("bare")); err != nil {
		t.Fatal(err)
	}
	got, err := s.Strings(ctx)
	if err != nil || len(got) != 2 {
		t.Fatalf("%+v, %v", got, err)
	}
	for i := range want.Measurements {
		want.Measurements[i].ID = int64(i + 1)
	}
	want.settle()
	if !reflect.DeepEqual(got[0], want) {
		t.Errorf("%+v, not\n%+v", got[0], want)
	}
	if got[0].UnitWeight.Value != physics.UnitWeight(want.Measurements[0].Value) || got[0].Stiffness.DoF != 3.5 {
		t.Errorf("%+v", got[0])
	}
	if got[1].Left != traits.Uncounted || got[1].Measurements != nil || got[1].UnitWeight.Value != 0 {
		t.Errorf("%+v", got[1])
	}

	var taken *TakenError
	if err := s.Add(ctx, named("bare")); !errors.As(err, &taken) {
		t.Errorf("added twice: %v", err)
	}
	if err := s.Edit(ctx, "bare", func(x *String) error { x.Name = want.Name; return nil }); !errors.As(err, &taken) {
		t.Errorf("renamed to a name that is there: %v", err)
	}
	if err := s.Edit(ctx, "bare", func(x *String) error { x.Name, x.Left, x.Material = "B", 2, "steel"; return nil }); err != nil {
		t.Error(err)
	}
	if x, err := s.String(ctx, "B"); err != nil || x.Left != 2 || x.Material != "music wire" {
		t.Errorf("%+v, %v", x, err)
	}
	var missing *MissingError
	for what, err := range map[string]error{
		"edit":   s.Edit(ctx, "bare", func(*String) error { return nil }),
		"remove": func() error { _, err := s.Remove(ctx, "bare"); return err }(),
		"show":   func() error { _, err := s.String(ctx, "bare"); return err }(),
	} {
		if !errors.As(err, &missing) {
			t.Errorf("%s of what is not there: %v", what, err)
		}
	}
	if _, err := s.Remove(ctx, want.Name); err != nil {
		t.Error(err)
	}
	var left int
	if err := s.db.QueryRow("SELECT count(*) FROM measurements").Scan(&left); err != nil || left != 0 {
		t.Errorf("%d measurements outlive their string, %v", left, err)
	}
}

func TestKeep(t *testing.T) {
	ctx, s := t.Context(), newStore(t)
	if x, fresh, err := s.Keep(ctx, kept("E", weighed(18.3, 0.1, "clip"))); err != nil || !fresh || x.WeightAgreement.N != 1 {
		t.Fatalf("%+v, %v, %v", x, fresh, err)
	}
	x, fresh, err := s.Keep(ctx, kept("E", weighed(18.3, 0.1, "clip"), weighed(18.4, 0.1, "pull")))
	if err != nil || fresh || x.WeightAgreement.N != 2 {
		t.Fatalf("%+v, %v, %v", x, fresh, err)
	}
	if x, _, err = s.Keep(ctx, kept("E", weighed(28.4, 0.1, "balance"))); err != nil || !x.WeightAgreement.Disagree() {
		t.Errorf("%+v, %v", x, err)
	}
	aside := func(x *String) error {
		x.Measurements[2].SetAside = "another string"
		x.Measurements = append(x.Measurements, thick(1.2, 0.01))
		return nil
	}
	if err := s.Edit(ctx, "E", aside); err != nil {
		t.Error(err)
	}
	if x, err = s.String(ctx, "E"); err != nil || x.WeightAgreement.Disagree() || len(x.Measurements) != 4 || x.Outside.Value == 0 {
		t.Errorf("%+v, %v", x, err)
	}
	if err := s.Edit(ctx, "E", func(x *String) error { x.Measurements[2].SetAside = ""; return nil }); err != nil {
		t.Error(err)
	}
	if x, err = s.String(ctx, "E"); err != nil || !x.WeightAgreement.Disagree() {
		t.Errorf("%+v, %v", x, err)
	}
	for _, column := range []string{"value", "u", "route", "made", "reading"} {
		if _, err := s.db.Exec("UPDATE measurements SET " + column + " = 1"); err == nil {
			t.Errorf("%s was overwritten", column)
		}
	}
}
