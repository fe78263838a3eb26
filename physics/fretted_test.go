package physics

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// heardAt is the f0 of a string whose open speaking length differs from the nominal
// scale by a saddle that was moved and ends that are clamped, by so much in all.
func heardAt(fret int, scale, longer, cents float64) Measured[Frequency] {
	l := scale*math.Exp2(-float64(fret)/12) + longer
	v := 2 * 0.8636 * 55 * math.Exp2(cents/1200)
	return Stated(Frequency(v/(2*l)), Frequency(v/(2*l)*1e-6))
}

// What a saddle and the ends add to the scale comes back, whichever frets are taken.
func TestFrettedLength(t *testing.T) {
	const scale, longer = 0.8636, 0.0031
	for _, f := range [][2]int{{0, 12}, {0, 24}, {1, 13}, {3, 5}, {0, 1}} {
		s := Fretted{Low: f[0], High: f[1], AtLow: heardAt(f[0], scale, longer, 0), AtHigh: heardAt(f[1], scale, longer, 0),
			Scale: Stated[Length](scale, 0.0001)}
		got, err := s.Length()
		if err != nil || math.Abs(float64(got.Value)-scale-longer) > 1e-9 {
			t.Errorf("frets %v by the scale: %v, %v", f, got.Value, err)
		}
		low := scale * math.Exp2(-float64(f[0])/12)
		s.Scale, s.Between = Measured[Length]{}, Stated(Length(low-scale*math.Exp2(-float64(f[1])/12)), 0.0001)
		got, err = s.Length()
		if err != nil || math.Abs(float64(got.Value)-low-longer) > 1e-9 {
			t.Errorf("frets %v by their distance: %v, want %v, %v", f, got.Value, low+longer, err)
		}
	}
}

// The clamped series lies above the pinned one by as much as two lengths of √(EI/T)
// less do, to first order: what clamping takes is part of the result.
func TestFrettedLengthHasTheEnds(t *testing.T) {
	const l, ei, pull = 0.8636, 7.6e-4, 163.2
	at := func(l float64) Measured[Frequency] {
		b := InharmonicityOf(ei, pull, Length(l))
		return Stated(Frequency(float64(FrequencyOf(pull, 0.01834, Length(l)))*ClampRaise(b)), 1e-6)
	}
	got, err := Fretted{Low: 0, High: 12, AtLow: at(l), AtHigh: at(l / 2), Scale: Stated[Length](l, 1e-6)}.Length()
	want := l - 2*math.Sqrt(ei/pull)
	if err != nil || math.Abs(float64(got.Value)-want) > 3e-5 {
		t.Errorf("%.3f mm, want %.3f, %v", 1e3*got.Value, 1e3*want, err)
	}
}

// The linear budget beside a simulation of whole measurements: frets measured to
// 0.3 mm, pitches to 0.1 cent, fretting that stretches unevenly by 3 cents.
func TestFrettedLengthSimulated(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	const runs = 10000
	inside := 0
	for range runs {
		scale, longer := 0.6+0.3*r.Float64(), 0.004*r.Float64()
		low := r.IntN(4)
		high := low + 5 + r.IntN(15)
		near := func(fret int, stretch float64) Measured[Frequency] {
			f := heardAt(fret, scale, longer, stretch+0.1*r.NormFloat64())
			return Stated(f.Value, f.Value*Frequency(UnevenCents(0.1)))
		}
		s := Fretted{Low: low, High: high, AtLow: near(low, 0), AtHigh: near(high, 3*r.NormFloat64()),
			Scale: Stated(Length(scale+0.0003*r.NormFloat64()), 0.0003), Uneven: UnevenAssumed()}
		got, err := s.Length()
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(float64(got.Value)-scale-longer) <= 2*float64(got.U) {
			inside++
		}
	}
	if p := float64(inside) / runs; p < 0.94 || p > 0.97 {
		t.Errorf("within U %.3f, want 0.954", p)
	}
}

func TestFrettedLengthRefuses(t *testing.T) {
	good := Fretted{Low: 0, High: 12, AtLow: heardAt(0, 0.8636, 0, 0), AtHigh: heardAt(12, 0.8636, 0, 0), Scale: Stated[Length](0.8636, 0.0005)}
	for name, change := range map[string]func(*Fretted){
		"same fret":     func(s *Fretted) { s.High = 0 },
		"swapped":       func(s *Fretted) { s.AtLow, s.AtHigh = s.AtHigh, s.AtLow },
		"other fret":    func(s *Fretted) { s.High = 11 },
		"negative":      func(s *Fretted) { s.Low = -1 },
		"beyond":        func(s *Fretted) { s.High = 40 },
		"no length":     func(s *Fretted) { s.Scale = Measured[Length]{} },
		"one frequency": func(s *Fretted) { s.AtHigh = s.AtLow },
		"no number":     func(s *Fretted) { s.AtHigh.Value = Frequency(math.NaN()) },
		"no u":          func(s *Fretted) { s.Uneven.U = math.NaN() },
	} {
		s := good
		change(&s)
		var input *InputError
		if got, err := s.Length(); !errors.As(err, &input) || got.Value != 0 {
			t.Errorf("%s: %v, %v", name, got, err)
		}
	}
}

// The length comes back from what tension and unit weight make of the pitch, and
// its budget is theirs: u(L)/L is half that of pull and unit weight, and that of the
// frequency and the clock.
func TestLoadedLength(t *testing.T) {
	s := Loaded{UnitWeight: Stated[UnitWeight](0.01834, 0.01834e-3), Pull: Stated[Force](163.2, 0.1632),
		F0: Stated(FrequencyOf(163.2, 0.01834, 0.8636), 0), Clock: Relative{U: 1e-4}}
	got, err := s.Length()
	if err != nil || math.Abs(float64(got.Value)-0.8636) > 1e-12 {
		t.Fatalf("%v, %v", got, err)
	}
	if want := math.Sqrt(2*0.25e-6 + 1e-8); math.Abs(got.Relative()-want) > 1e-12 {
		t.Errorf("u %g, want %g", got.Relative(), want)
	}
	if len(got.Budget) != 4 || got.Budget[0].Input != "pull" && got.Budget[0].Input != "unit weight" {
		t.Errorf("budget %+v", got.Budget)
	}
	for _, bad := range []func(*Loaded){
		func(s *Loaded) { s.F0.Value = 0 }, func(s *Loaded) { s.Pull.Value = Force(math.Inf(1)) },
		func(s *Loaded) { s.UnitWeight.U = -1 }, func(s *Loaded) { s.Clock.U = math.NaN() },
	} {
		b := s
		bad(&b)
		var input *InputError
		if got, err := b.Length(); !errors.As(err, &input) || got.Value != 0 {
			t.Errorf("%v, %v", got, err)
		}
	}
}
