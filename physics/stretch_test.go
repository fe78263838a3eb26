package physics

import (
	"math"
	"testing"
)

// bass is a bass string with ends that matter.
func bass() (Stretch, Measured[UnitWeight]) {
	return Stretch{
		Length: Stated(864*Millimetre, 0.5*Millimetre),
		F0:     Stated[Frequency](55, 55*Frequency(math.Expm1(0.1*math.Ln2/1200))), // 0.1 cent
		B:      Stated[Inharmonicity](6.66e-5, 0),                                  // 0.37·√B is 0.3 %
	}, Stated(12*GramPerMetre, 0.024*GramPerMetre) // 0.2 %
}

// Budget example [derived by hand]: µ ±0.2 %, 864 ± 0.5 mm, f ±0.1 cent and ends
// ±0.3 % make 0.38 % of the tension.
func TestTensionUncertainty(t *testing.T) {
	s, w := bass()
	r, err := s.Tension(w)
	if err != nil {
		t.Fatal(err)
	}
	if got := 100 * r.Relative(); math.Abs(got-0.38) > 0.005 {
		t.Errorf("u(T)/T = %.4f %%, want 0.38 %%", got)
	}
	share := map[string]float64{}
	sum := 0.0
	for i, term := range r.Budget {
		share[term.Input] = term.Share
		sum += term.Share
		if i > 0 && term.Share > r.Budget[i-1].Share {
			t.Errorf("%s stands below a smaller share", term.Input)
		}
	}
	if math.Abs(sum-1) > 1e-12 {
		t.Errorf("shares sum to %v", sum)
	}
	total := 0.2*0.2 + 0.11574*0.11574 + 0.01155*0.01155 + 0.3*0.3
	for input, percent := range map[string]float64{
		"unit weight": 0.2, "speaking length": 0.11574, "f0": 0.01155, "end condition": 0.3,
	} {
		if want := percent * percent / total; math.Abs(share[input]-want) > 0.003 {
			t.Errorf("%s has a share of %.4f, want %.4f", input, share[input], want)
		}
	}
}

// Fletcher's clamped ends against pinned ones [derived]: 7.8 cents and 0.90 % of
// tension at B = 5e-5, 11.1 cents and 1.28 % at 1e-4, per cents taken on a
// logarithmic scale as cents are (of the pinned tension 1.28 % is 1.27 %).
func TestEnds(t *testing.T) {
	for _, c := range []struct {
		b              Inharmonicity
		cents, percent float64
	}{{5e-5, 7.8, 0.90}, {1e-4, 11.1, 1.28}} {
		if got := 1200 * math.Log2(ClampRaise(c.b)); math.Abs(got-c.cents) > 0.05 {
			t.Errorf("B %v: clamping raises by %.2f cents, want %v", c.b, got, c.cents)
		}
		s, w := bass()
		s.B = Stated(c.b, 0)
		by := map[Ends]Result[Force]{}
		for e := EndsUnknown; e <= EndsClamped; e++ {
			s.Ends = e
			by[e] = must(s.Tension(w))
		}
		pinned, clamped, unknown := by[EndsPinned], by[EndsClamped], by[EndsUnknown]
		if want := TensionOf(w.Value, s.Length.Value, s.F0.Value); pinned.Value != want {
			t.Errorf("pinned string pulls %v, want %v", pinned.Value, want)
		}
		if got := 100 * math.Log(float64(pinned.Value/clamped.Value)); math.Abs(got-c.percent) > 0.005 {
			t.Errorf("B %v: clamped pulls %.3f %% less, want %v", c.b, got, c.percent)
		}
		if half := (pinned.Value + clamped.Value) / 2; math.Abs(float64(unknown.Value/half)-1) > 1e-12 {
			t.Errorf("unknown ends give %v, not half-way at %v", unknown.Value, half)
		}
		for _, term := range unknown.Budget {
			if term.Input != "end condition" {
				continue
			}
			if got, want := term.Contribution()/float64(unknown.Value), 0.37*math.Sqrt(float64(c.b)); math.Abs(got/want-1) > 0.01 {
				t.Errorf("B %v: the ends give %v, want 0.37·√B = %v", c.b, got, want)
			}
			if !term.Assumed {
				t.Error("unknown ends are not marked as assumed")
			}
			if got, want := term.Shift, float64(unknown.Value-pinned.Value); !(want < 0) || math.Abs(got/want-1) > 1e-9 {
				t.Errorf("B %v: the ends shift by %v N, not %v", c.b, got, want)
			}
		}
		for _, e := range []Ends{EndsPinned, EndsClamped} {
			for _, term := range by[e].Budget {
				if term.Input == "end condition" {
					t.Errorf("ends known to be %v are still in the budget", e)
				}
			}
		}
	}
	for e := EndsUnknown; e <= EndsClamped; e++ {
		if got, err := ParseEnds(e.String()); err != nil || got != e {
			t.Errorf("ParseEnds(%q) = %v, %v", e, got, err)
		}
	}
	if _, err := ParseEnds("glued"); err == nil {
		t.Error("glued ends are accepted")
	}
}

// Of the unit weight, half-way between the two lies above pinned.
func TestEndsShiftUnitWeight(t *testing.T) {
	s, _ := bass()
	unknown := must(s.UnitWeight(Stated[Force](150, 1)))
	s.Ends = EndsPinned
	pinned := must(s.UnitWeight(Stated[Force](150, 1)))
	for _, r := range []Result[UnitWeight]{unknown, pinned} {
		shift := 0.0
		for _, term := range r.Budget {
			shift += term.Shift
		}
		if want := float64(r.Value - pinned.Value); math.Abs(shift-want) > 1e-9*float64(r.Value) || want < 0 {
			t.Errorf("shifted by %v kg/m, not %v", shift, want)
		}
	}
}

// Clamping one end is like a string shorter by √(EI/T): 2.75 mm on 864 mm at
// B = 1e-4 [derived].
func TestClampAsLength(t *testing.T) {
	const l, pull = 864 * Millimetre, Force(150)
	ei := StiffnessOf(1e-4, pull, l)
	if got := math.Sqrt(float64(ei)/float64(pull)) * 1e3; math.Abs(got-2.75) > 0.005 {
		t.Errorf("√(EI/T) is %.3f mm, want 2.75", got)
	}
	if b := InharmonicityOf(ei, pull, l); math.Abs(float64(b)/1e-4-1) > 1e-12 {
		t.Errorf("B comes back as %v", b)
	}
	// B = π³Ed⁴/(64TL²) for a round core.
	e, d := 206*Gigapascal, 0.5*Millimetre
	want := math.Pow(math.Pi, 3) * 206e9 * math.Pow(0.5e-3, 4) / (64 * 150 * 0.864 * 0.864)
	if got := InharmonicityOf(RoundStiffness(e, d), pull, l); math.Abs(float64(got)/want-1) > 1e-12 {
		t.Errorf("B = %v, want %v", got, want)
	}
}

func has(b Budget, input string, assumed bool) bool {
	for _, t := range b {
		if t.Input == input {
			return t.Assumed == assumed && t.Share > 0
		}
	}
	return false
}

// Weighing by a known pull undoes the tension from a unit weight, ends included.
func TestUnitWeightInverts(t *testing.T) {
	for e := EndsUnknown; e <= EndsClamped; e++ {
		s, w := bass()
		s.Ends = e
		pull := must(s.Tension(w))
		back := must(s.UnitWeight(Stated(pull.Value, 0)))
		if math.Abs(float64(back.Value/w.Value)-1) > 1e-12 {
			t.Errorf("ends %v: %v comes back as %v", e, w.Value, back.Value)
		}
		// The same uncertainty but for the unit weight's own 0.2 %.
		want := math.Sqrt(pull.Relative()*pull.Relative() - 0.002*0.002)
		if math.Abs(back.Relative()/want-1) > 1e-9 {
			t.Errorf("ends %v: u(µ)/µ is %v, want %v", e, back.Relative(), want)
		}
	}
}

func TestStretchUnits(t *testing.T) {
	s, w := bass()
	s.Length = s.Length.As(Inch)
	if got := must(s.Tension(w.As(PoundPerInch))).Unit; got != PoundForce {
		t.Errorf("a unit weight in lb/in gives a tension in units of %v N", float64(got))
	}
	if got := must(s.Tension(w.As(GramPerMetre))).Unit; got != Newton {
		t.Errorf("a unit weight in g/m gives a tension in units of %v N", float64(got))
	}
	if got := must(s.UnitWeight(Stated(35*PoundForce, 0).As(PoundForce))).Unit; got != PoundPerInch {
		t.Errorf("a pull in lbf gives a unit weight in units of %v kg/m", float64(got))
	}
}

func TestStretchRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for name, spoil := range map[string]func(*Stretch, *Measured[UnitWeight]){
		"no length":         func(s *Stretch, _ *Measured[UnitWeight]) { s.Length = Measured[Length]{} },
		"negative length":   func(s *Stretch, _ *Measured[UnitWeight]) { s.Length.Value = -1 },
		"NaN frequency":     func(s *Stretch, _ *Measured[UnitWeight]) { s.F0.Value = Frequency(nan) },
		"infinite weight":   func(_ *Stretch, w *Measured[UnitWeight]) { w.Value = UnitWeight(inf) },
		"NaN uncertainty":   func(_ *Stretch, w *Measured[UnitWeight]) { w.U = UnitWeight(nan) },
		"negative u":        func(s *Stretch, _ *Measured[UnitWeight]) { s.F0.U = -1 },
		"negative B":        func(s *Stretch, _ *Measured[UnitWeight]) { s.B.Value = -1e-5 },
		"NaN B":             func(s *Stretch, _ *Measured[UnitWeight]) { s.B.Value = Inharmonicity(nan) },
		"enormous B":        func(s *Stretch, _ *Measured[UnitWeight]) { s.B.Value = 1 },
		"infinite u of B":   func(s *Stretch, _ *Measured[UnitWeight]) { s.B.U = Inharmonicity(inf) },
		"NaN clock":         func(s *Stretch, _ *Measured[UnitWeight]) { s.Clock.U = nan },
		"NaN freedom of B":  func(s *Stretch, _ *Measured[UnitWeight]) { s.B.DoF = nan },
		"infinite freedom":  func(s *Stretch, _ *Measured[UnitWeight]) { s.F0.DoF = inf },
		"negative freedom":  func(_ *Stretch, w *Measured[UnitWeight]) { w.DoF = -1 },
		"correlation of 2":  func(s *Stretch, _ *Measured[UnitWeight]) { s.Corr = 2 },
		"NaN correlation":   func(s *Stretch, _ *Measured[UnitWeight]) { s.Corr = nan },
		"odd ends":          func(s *Stretch, _ *Measured[UnitWeight]) { s.Ends = 7 },
		"overflow":          func(s *Stretch, _ *Measured[UnitWeight]) { s.F0.Value = 1e200 },
		"underflow":         func(s *Stretch, _ *Measured[UnitWeight]) { s.F0.Value = 1e-200 },
		"overflowing u":     func(s *Stretch, _ *Measured[UnitWeight]) { s.F0.U = 1e308 },
		"infinite length u": func(s *Stretch, _ *Measured[UnitWeight]) { s.Length.U = Length(inf) },
	} {
		s, w := bass()
		spoil(&s, &w)
		r, err := s.Tension(w)
		if err == nil {
			t.Errorf("%s: no error but %v", name, r)
		} else if r.Value != 0 || r.U != 0 || r.Budget != nil || r.Model.F != nil {
			t.Errorf("%s: an error and numbers: %+v", name, r)
		}
	}
	s, _ := bass()
	if _, err := s.UnitWeight(Stated[Force](0, 0)); err == nil {
		t.Error("a pull of zero weighs a string")
	}
}

func BenchmarkTension(b *testing.B) {
	s, w := bass()
	for b.Loop() {
		if _, err := s.Tension(w); err != nil {
			b.Fatal(err)
		}
	}
}
