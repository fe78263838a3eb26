package physics

import (
	"math"
	"strings"
	"testing"
)

func TestCheckWeight(t *testing.T) {
	core := steelCore(0.254 * Millimetre) // 0.398 g/m
	for _, c := range []struct {
		w     float64
		plain bool
		says  string
	}{
		{0.398e-3, true, ""}, {0.405e-3, true, ""}, {1.2e-3, false, ""}, {0.398e-3, false, ""},
		{0.3e-3, true, "weighs more than the string: 0.398 g/m, the string 0.3 g/m"},
		{0.3e-3, false, "weighs more than the string"},
		{1.2e-3, true, "gauge of a plain wire weighs less than the string: 0.398 g/m, the string 1.2 g/m"},
		{-1, true, "must be positive"},
	} {
		err := core.CheckWeight(StringWeight.Assume(UnitWeight(c.w)), c.plain)
		if (err == nil) != (c.says == "") || err != nil && !strings.Contains(err.Error(), c.says) {
			t.Errorf("%v g/m, plain %v: %v", c.w*1e3, c.plain, err)
		}
	}
	if (Core{}).CheckWeight(Stated[UnitWeight](1e-3, 0), true) == nil {
		t.Error("no core passes")
	}
}

// The stress of a plain wire at a note is 4ρL²f²: its thickness does not matter, and
// a budget that knows what the pull rests on says so.
func TestPlainStress(t *testing.T) {
	core := steelCore(0.254 * Millimetre)
	core.Size.U = 0.005 * Millimetre
	mu := must(Build{Core: core}.UnitWeight())
	const l, f = 0.648, 329.63
	pull := must(Stretch{Length: Stated[Length](l, 0.5e-3), F0: Stated[Frequency](f, 0), Ends: EndsPinned}.Tension(mu.Measured))
	s := Strung{Length: Stated[Length](l, 0.5e-3), Pull: must(Traced(pull, string(StringWeight), mu)), Core: core}
	if math.Abs(float64(s.Pull.U/pull.U)-1) > 1e-12 || !has(s.Pull.Budget, "core", false) || has(s.Pull.Budget, "unit weight", false) {
		t.Errorf("pull %v rests on %+v", s.Pull.Measured, s.Pull.Budget)
	}
	stress := must(s.Stress())
	if want := 4 * 7850 * l * l * f * f; math.Abs(float64(stress.Value)/want-1) > 1e-12 {
		t.Errorf("stress %v, want %v", stress.Value, want)
	}
	if want := math.Hypot(30.0/7850, 2*0.5e-3/l); math.Abs(stress.Relative()/want-1) > 1e-6 {
		t.Errorf("relative uncertainty %v, want %v: %+v", stress.Relative(), want, stress.Budget)
	}
}

// π³Ed⁴/(64TL²), by hand.
func TestCoreInharmonicity(t *testing.T) {
	b := must(steelCore(0.254*Millimetre).Inharmonicity(73, 0.648))
	want := math.Pow(math.Pi, 3) * 206e9 * math.Pow(0.254e-3, 4) / (64 * 73 * 0.648 * 0.648)
	if math.Abs(float64(b.Value)/want-1) > 1e-9 || !(b.U > 0.2*b.Value) || !b.Assumed {
		t.Errorf("B %+v, want %v", b, want)
	}
	if _, err := (Core{}).Inharmonicity(73, 0.648); err == nil {
		t.Error("no core has a B")
	}
}
