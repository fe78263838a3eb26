package physics

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func TestPlainWire(t *testing.T) {
	steel := must(ParseMaterial("music wire"))
	w := must(PlainWire{Gauge: must(Gauge.Parse("0.010in±0.00005in")), Density: steel.Density}.UnitWeight())
	// 7850·π/4·(0.254 mm)², by hand.
	if math.Abs(float64(w.Value)/3.97769e-4-1) > 1e-5 {
		t.Errorf("unit weight %v, want 3.97769e-4", w.Value)
	}
	// (2·0.5 %)² and (30/7850)².
	if want := math.Hypot(0.01, 30.0/7850); math.Abs(w.Relative()/want-1) > 1e-9 {
		t.Errorf("relative uncertainty %v, want %v", w.Relative(), want)
	}
	if w.Unit != PoundPerInch {
		t.Errorf("a gauge in inches is printed as %s", w.Expanded(2))
	}
	if b := w.Budget; b[0].Input != "gauge" || b[0].Assumed || b[1].Input != "density" || !b[1].Assumed {
		t.Errorf("budget %+v", b)
	}
	for _, bad := range []PlainWire{{}, {Gauge: Stated(Millimetre, 0)}, {Density: steel.Density}, {Stated[Length](-1, 0), steel.Density}} {
		if w, err := bad.UnitWeight(); err == nil {
			t.Errorf("%+v weighs %v", bad, w)
		}
	}
}

func TestCut(t *testing.T) {
	w := must(Cut{must(CutMass.Parse("1.21g±0.01g")), must(CutLength.Parse("1m±1mm"))}.UnitWeight())
	if math.Abs(float64(w.Value)/1.21e-3-1) > 1e-12 {
		t.Errorf("unit weight %v", w.Value)
	}
	if want := math.Hypot(0.01/1.21, 0.001); math.Abs(w.Relative()/want-1) > 1e-9 {
		t.Errorf("relative uncertainty %v, want %v", w.Relative(), want)
	}
	if got, want := w.Expanded(Coverage), "1.210 ± 0.020 g/m"; got != want {
		t.Errorf("printed %q, want %q", got, want)
	}
	if _, err := (Cut{Mass: Stated(Gram, 0)}).UnitWeight(); err == nil {
		t.Error("a cut without a length weighs something")
	}
}

func TestConclude(t *testing.T) {
	// Contributions whose squares would vanish or overflow.
	for _, u := range []float64{1e-200, 1e200} {
		r := must(conclude("length", Length(1), Metre, Term{Sensitivity: 3, U: u}, Term{Sensitivity: 4, U: u}))
		if math.Abs(float64(r.U)/(5*u)-1) > 1e-12 || math.Abs(r.Budget[0].Share-0.64) > 1e-12 {
			t.Errorf("3 and 4 times %v make %v, shares %v", u, r.U, r.Budget[0].Share)
		}
	}
	exact := must(conclude("length", Length(1), Metre, Term{Sensitivity: 3}))
	if exact.U != 0 || exact.Budget[0].Share != 0 {
		t.Errorf("no uncertainty in, %+v out", exact)
	}
}

func TestMaterials(t *testing.T) {
	for _, m := range Materials() {
		got, err := ParseMaterial(strings.ToUpper(strings.ReplaceAll(m.Name, " ", "-")))
		if err != nil || got.Name != m.Name {
			t.Errorf("%s: %v, %v", m.Name, got.Name, err)
		}
		if m.Source == "" || m.Density.Value <= 0 || m.Density.U <= 0 || m.Modulus.Value <= 0 || m.Modulus.U <= 0 {
			t.Errorf("%s is incomplete: %+v", m.Name, m)
		}
		if !m.Density.Assumed || !m.Modulus.Assumed {
			t.Errorf("%s: a handbook's uncertainty is not marked as assumed", m.Name)
		}
	}
	for in, hint := range map[string]string{"nilon": "did you mean nylon?", "steal": "did you mean steel?", "unobtainium": "known are music wire, "} {
		_, err := ParseMaterial(in)
		var e *InputError
		if !errors.As(err, &e) || !strings.HasPrefix(e.Hint(), hint) {
			t.Errorf("%q: %v, want hint %q", in, err, hint)
		}
	}
}
