package physics

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// atStress is a steel string of 1 mm that carries so much.
func atStress(gpa float64) Strung {
	s := guitarE()
	s.Core.Size = Stated(1*Millimetre, 0)
	s.Pull.Measured = Stated(Force(gpa*1e9*math.Pi/4*1e-6), 0)
	return s
}

// The textbook's law, df/f = −αEΔθ/(2σ): about −2.1 cents per kelvin at 1 GPa for
// steel on a rigid frame. Softening is ±κ/2 beside it, whatever the stress: ±0.26
// cents per kelvin.
func TestUsualLawOfWarmth(t *testing.T) {
	const step = 0.01
	for _, gpa := range []float64{0.5, 1, 2} {
		shift := must(atStress(gpa).Warmed(Stated[TemperatureStep](step, 0), Measured[Expansion]{})).Shift
		got := float64(shift.Value) / step
		want := -1200 / math.Ln2 * 12e-6 * 206e9 / (2 * gpa * 1e9)
		if math.Abs(got/want-1) > 1e-3 || gpa == 1 && math.Abs(got+2.1) > 0.05 {
			t.Errorf("%v GPa: %.3f cents per kelvin, the usual law says %.3f", gpa, got, want)
		}
		softening := shift.Budget[shift.Budget.find("softening of music wire")]
		if u := softening.Contribution() / step; math.Abs(u-600/math.Ln2*3e-4) > 1e-4 || !softening.Assumed {
			t.Errorf("%v GPa: softening makes ±%.4f cents per kelvin", gpa, u)
		}
	}
}

// A string that is as long when slack as its core was cut, heated, and stretched
// again to what the frame has become. What is tested leaves out products of strain
// and expansion.
func TestWarmedAgainstHooke(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 300 {
		s := randomStrung(r)
		of := s.Core.Of
		if of.Softening.U == 0 {
			continue
		}
		of.Softening = Stated(Expansion(5e-4*r.Float64()), 0.5e-4)
		s.Core.Of = of
		frame := Stated(Expansion(25e-6*r.Float64()), 1e-6)
		by := 40*r.Float64() - 20
		strain := float64(s.Pull.Value / must(s.Core.Axial()).Value)
		if drop := float64(of.Expansion.Value) * math.Abs(by); drop > strain/2 {
			continue // nearly slack
		}
		w, err := s.Warmed(Stated(TemperatureStep(by), 0), frame)
		if err != nil {
			t.Fatalf("%+v by %v K: %v", s, by, err)
		}
		natural := 1 / (1 + strain) // of a length of 1
		cut := natural * (1 + float64(of.Expansion.Value)*by)
		length := 1 + float64(frame.Value)*by
		ratio := (1 - float64(of.Softening.Value)*by) * (length/cut - 1) / strain // of the pulls
		cents := 600 * math.Log2(ratio/length)
		near := (strain + 40e-6*math.Abs(by)) * 40e-6 * math.Abs(by) / strain
		if math.Abs(float64(w.Pull.Value/s.Pull.Value)-ratio) > 2*near {
			t.Errorf("%+v by %v K: pull times %v, Hooke says %v", s, by, w.Pull.Value/s.Pull.Value, ratio)
		}
		if math.Abs(float64(w.Shift.Value)-cents) > 1200/math.Ln2*2*near {
			t.Errorf("%+v by %v K: %v cents, Hooke says %v", s, by, w.Shift.Value, cents)
		}
		if math.Abs(float64(w.Pull.Value-s.Pull.Value-w.Change.Value)) > 1e-9*float64(s.Pull.Value) {
			t.Errorf("change %v is not from %v to %v", w.Change.Value, s.Pull.Value, w.Pull.Value)
		}
	}
}

// Linear budgets of what warmth and a bend do, against draws through the laws
// written out again; pull and length come of one measurement.
func TestOutlookMonteCarlo(t *testing.T) {
	stretch := Stretch{Length: Stated[Length](0.648, 2e-3), F0: Stated[Frequency](329.6, 0.1), Ends: EndsPinned}
	mu := Stated(UnitWeight(4e-4), 2e-6)
	pull := must(stretch.Tension(mu))
	steel := must(ParseMaterial("music wire"))
	s := Strung{Length: stretch.Length, Pull: pull, Core: Core{Size: Stated(0.254*Millimetre, 0.002*Millimetre), Of: steel}}
	frame := Stated[Expansion](4e-6, 1e-6)
	warm := must(s.Warmed(Stated[TemperatureStep](5, 0.5), frame))
	bent := must(s.Bent(Stated[PitchInterval](100, 0)))
	limit := must(s.Limits())[0]

	const draws = 200_000
	r := rand.New(rand.NewPCG(7, 8))
	var sums, squares [5]float64
	for range draws {
		normal := func(v, u float64) float64 { return v + u*r.NormFloat64() }
		l, f, m := normal(0.648, 2e-3), normal(329.6, 0.1), normal(4e-4, 2e-6)
		d, e := normal(0.254e-3, 0.002e-3), normal(206e9, 6e9)
		tension := 4 * m * l * l * f * f
		area := math.Pi / 4 * d * d
		by := normal(5, 0.5)
		ratio := (1 - normal(0, 3e-4)*by) * (1 + e*area/tension*(normal(4e-6, 1e-6)-normal(12e-6, 0.5e-6))*by)
		turn := math.Acos((e*area - math.Exp2(100.0/600)*tension) / (e*area - tension))
		for i, v := range []float64{
			600 * math.Log2(ratio), tension * ratio, l / 2 * math.Tan(turn),
			2 * math.Sin(turn) * (tension + e*area*(1/math.Cos(turn)-1)), tension / area / (0.98 * 2211e6 / math.Pow(d*1000, 0.145)),
		} {
			sums[i] += v
			squares[i] += v * v
		}
	}
	for i, c := range []struct {
		what     string
		value, u float64
	}{
		{"shift", float64(warm.Shift.Value), float64(warm.Shift.U)},
		{"pull when warm", float64(warm.Pull.Value), float64(warm.Pull.U)},
		{"depth", float64(bent.Depth.Value), float64(bent.Depth.U)},
		{"side force", float64(bent.Side.Value), float64(bent.Side.U)},
		{"load", float64(limit.Load.Value), float64(limit.Load.U)},
	} {
		mean := sums[i] / draws
		sd := math.Sqrt(squares[i]/draws - mean*mean)
		// The standard deviation of 2e5 draws is good to 0.16 %; the second order
		// shows in the mean.
		if math.Abs(sd/c.u-1) > 0.02 || math.Abs(mean-c.value) > 0.06*c.u {
			t.Errorf("%s: %v ± %v, Monte Carlo %v ± %v", c.what, c.value, c.u, mean, sd)
		}
	}
}

func TestWarmRefusals(t *testing.T) {
	rigid := Measured[Expansion]{}
	slack := atStress(0.05)
	for _, c := range []struct {
		s     Strung
		by    float64
		frame Measured[Expansion]
		says  string
	}{
		{slack, 50, rigid, "would go slack"},
		{atStress(1), 0, rigid, "temperature difference must be positive"},
		{atStress(1), math.NaN(), rigid, "temperature difference must be positive"},
		{atStress(1), math.Inf(-1), rigid, "temperature difference must be positive"},
		{atStress(1), 500, rigid, "is implausible"},
		{atStress(1), -500, rigid, "is implausible"},
		{atStress(1), 5, Stated[Expansion](-1e-6, 0), "expansion of the frame must be positive"},
		{atStress(1), 5, Stated(Expansion(math.NaN()), 0), "expansion of the frame must be positive"},
		{Strung{}, 5, rigid, "must be positive"},
	} {
		w, err := c.s.Warmed(Stated(TemperatureStep(c.by), 0), c.frame)
		var input *InputError
		if !errors.As(err, &input) || !strings.Contains(err.Error(), c.says) || w.Pull.Value != 0 {
			t.Errorf("by %v K: %v, %v; want %q", c.by, w.Pull, err, c.says)
		}
	}
	odd := atStress(1)
	odd.Core.Of.Softening.U = Expansion(math.NaN())
	if w, err := odd.Warmed(Stated[TemperatureStep](5, 0), rigid); err == nil {
		t.Errorf("a softening without a known uncertainty: %v", w.Shift)
	}
	for _, name := range []string{"nylon", "fluorocarbon", "gut"} {
		s := atStress(0.03)
		s.Core.Of = must(ParseMaterial(name))
		if w, err := s.Warmed(Stated[TemperatureStep](5, 0), rigid); err == nil {
			t.Errorf("%s: %v", name, w.Shift)
		}
	}
}

func TestParseFrame(t *testing.T) {
	for s, want := range map[string]Expansion{"rigid": 0, "wood": 4e-6, "12ppm/K": 12e-6, "23ppm/K±1ppm/K": 23e-6} {
		if got, err := ParseFrame(s); err != nil || math.Abs(float64(got.Value-want)) > 1e-18 || want > 0 && !(got.U > 0) {
			t.Errorf("%s: %+v, %v", s, got, err)
		}
	}
	for s, hint := range map[string]string{"woood": "write rigid, wood", "": "like 4ppm/K", "12": "write 12ppm/K", "1m": "unit of thermal expansion", "-4ppm/K": "leave the sign out"} {
		_, err := ParseFrame(s)
		var input *InputError
		if !errors.As(err, &input) || !strings.Contains(input.Hint(), hint) {
			t.Errorf("%q: %v, hint %q", s, err, input.Hint())
		}
	}
}
