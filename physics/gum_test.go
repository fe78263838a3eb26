package physics

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat"
)

// printed wants a number to be what is printed, to half of the last printed place.
func printed(t *testing.T, what string, got, want, last float64) {
	t.Helper()
	if !(math.Abs(got-want) <= last/2*(1+1e-9)) {
		t.Errorf("%s: got %.7g, printed is %v (to %v)", what, got, want, last)
	}
}

// The end gauge of JCGM 100:2008, H.1.6: contributions in nm and their degrees of
// freedom make 32 nm with 16, and 93 nm at 99 % (these from memory; the inputs and the
// 32 nm agree with those that documentation of a general library quotes).
func TestEndGauge(t *testing.T) {
	b := Budget{
		{Input: "standard", Sensitivity: 1, U: 25, DoF: 18},
		{Input: "difference", Sensitivity: 1, U: 9.7, DoF: 25.6},
		{Input: "expansion", Sensitivity: -50e6 * -0.1, U: 0.58e-6, DoF: 50},
		{Input: "temperature", Sensitivity: -50e6 * 11.5e-6, U: 0.029, DoF: 2},
	}
	u, err := b.combine("length")
	if err != nil {
		t.Fatal(err)
	}
	printed(t, "u in nm", u, 32, 1)
	for i, want := range []float64{625, 9.7 * 9.7, 2.9 * 2.9, 16.6 * 16.6} { // nm², of contributions as printed
		if got := b[i].Share * u * u; math.Abs(got/want-1) > 0.01 {
			t.Errorf("%s: %v nm², printed %v", b[i].Input, got, want)
		}
	}
	m := Measured[Length]{Value: 50e6, U: Length(u), DoF: b.freedom()}
	if m.DoF < 16 || m.DoF >= 17 {
		t.Errorf("%v effective degrees of freedom, printed is 16", m.DoF)
	}
	printed(t, "t at 99 %", m.CoverageFactor(0.99), 2.92, 0.01)
	printed(t, "U at 99 % in nm", m.CoverageFactor(0.99)*math.Round(u), 93, 1)
}

// The example of JCGM 100:2008, G.4.1 (from memory): a product of three means of 10,
// 5 and 15 observations, with 0.25, 0.57 and 0.82 %.
func TestWelchSatterthwaite(t *testing.T) {
	b := Budget{
		{Input: "1", Sensitivity: 1, U: 0.25, DoF: 9},
		{Input: "2", Sensitivity: 1, U: 0.57, DoF: 4},
		{Input: "3", Sensitivity: 1, U: 0.82, DoF: 14},
	}
	u, err := b.combine("product")
	if err != nil {
		t.Fatal(err)
	}
	printed(t, "u in %", u, 1.03, 0.01)
	printed(t, "degrees of freedom", b.freedom(), 19.0, 0.1)
	m := Measured[Length]{DoF: b.freedom()}
	printed(t, "t at 95 %", m.CoverageFactor(0.95), 2.09, 0.01)
	// Of nothing but stated uncertainties they are unlimited.
	for i := range b {
		b[i].DoF = 0
	}
	if got := b.freedom(); got != 0 {
		t.Errorf("%v degrees of freedom of stated uncertainties", got)
	}
	printed(t, "normal at 95 %", Measured[Length]{}.CoverageFactor(0.95), 1.960, 0.001)
	for _, p := range []float64{0, 1, -1, math.NaN()} {
		if k := (Measured[Length]{}).CoverageFactor(p); !math.IsNaN(k) {
			t.Errorf("a coverage of %v by k = %v", p, k)
		}
	}
}

// impedance is the example of JCGM 100:2008, H.2: five observations of voltage,
// current and phase (table H.2, from memory; means, uncertainties and correlations
// agree with those that documentation of general libraries quotes), all correlated.
type impedance struct {
	x, u, r [3]float64 // means, their standard uncertainties; r of V I, V φ, I φ
}

func observed() (z impedance) {
	rows := [3][]float64{
		{5.007, 4.994, 5.005, 4.990, 4.999},                     // V
		{19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3}, // A
		{1.0456, 1.0438, 1.0468, 1.0428, 1.0433},                // rad
	}
	for i, row := range rows {
		z.x[i] = stat.Mean(row, nil)
		z.u[i] = stat.StdDev(row, nil) / math.Sqrt(5)
	}
	z.r = [3]float64{stat.Correlation(rows[0], rows[1], nil), stat.Correlation(rows[0], rows[2], nil), stat.Correlation(rows[1], rows[2], nil)}
	return z
}

func TestResistanceAndReactance(t *testing.T) {
	z := observed()
	printed(t, "r(V, I)", z.r[0], -0.36, 0.01)
	printed(t, "r(V, φ)", z.r[1], 0.86, 0.01)
	printed(t, "r(I, φ)", z.r[2], -0.65, 0.01)
	// u of the reactance is printed for both ways of evaluation, of which that by the
	// reactances of the five observations gives 0.29549 and this one 0.29558.
	v, i, sin, cos := z.x[0], z.x[1], math.Sin(z.x[2]), math.Cos(z.x[2])
	for _, c := range []struct {
		what        string
		f           func(x []float64) float64
		slope       [3]float64
		value, u    float64
		lastV, last float64
	}{
		{"resistance", func(x []float64) float64 { return x[0] / x[1] * math.Cos(x[2]) },
			[3]float64{cos / i, -v * cos / (i * i), -v / i * sin}, 127.732, 0.071, 0.001, 0.001},
		{"reactance", func(x []float64) float64 { return x[0] / x[1] * math.Sin(x[2]) },
			[3]float64{sin / i, -v * sin / (i * i), v / i * cos}, 219.847, 0.295, 0.001, 0.002},
		{"impedance", func(x []float64) float64 { return x[0] / x[1] },
			[3]float64{1 / i, -v / (i * i), 0}, 254.260, 0.236, 0.001, 0.001},
	} {
		between := [3][]Correlation{{{"I", z.r[0]}, {"φ", z.r[1]}}, {{"φ", z.r[2]}}, nil}
		b, m := Budget{}, Model{F: c.f}
		for k, name := range []string{"V", "I", "φ"} {
			b = append(b, Term{Input: name, Sensitivity: c.slope[k], U: z.u[k], DoF: 4, Correlations: between[k]})
			m.Inputs = append(m.Inputs, Input{Name: name, Mean: z.x[k], U: z.u[k], Correlations: between[k]})
		}
		printed(t, c.what, c.f(z.x[:]), c.value, c.lastV)
		u, err := b.combine(c.what)
		if err != nil {
			t.Fatal(err)
		}
		printed(t, c.what+": u", u, c.u, c.last)
		sum := 0.0
		for _, term := range b {
			sum += term.Share
		}
		if math.Abs(sum-1) > 1e-12 {
			t.Errorf("%s: shares sum to %v", c.what, sum)
		}
		// Five joint observations have four degrees of freedom, however correlated.
		if got := b.freedom(); math.Abs(got-4) > 1e-9 {
			t.Errorf("%s: %v degrees of freedom, want 4", c.what, got)
		}
		p := must(m.Propagate(200_000, 0.95, 1))
		if math.Abs(p.U/u-1) > 0.01 || math.Abs(p.Mean-c.value) > 0.02*u {
			t.Errorf("%s: Monte Carlo has %v ± %v", c.what, p.Mean, p.U)
		}
	}
}
