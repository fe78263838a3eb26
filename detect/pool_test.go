package detect

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"

	"pluckweigh/audio/synth"
)

// bcg is a set on which random-effects methods are commonly shown: thirteen trials
// of a vaccine (Colditz et al. 1994; the counts from memory, Cochran's Q = 152.23
// of them is published). Log risk ratios and their standard errors.
func bcg() []Value {
	counts := [][4]float64{ // with and without the disease: vaccinated, not vaccinated
		{4, 119, 11, 128}, {6, 300, 29, 274}, {3, 228, 11, 209}, {62, 13536, 248, 12619},
		{33, 5036, 47, 5761}, {180, 1361, 372, 1079}, {8, 2537, 10, 619}, {505, 87886, 499, 87892},
		{29, 7470, 45, 7232}, {17, 1699, 65, 1600}, {186, 50448, 141, 27197}, {5, 2493, 3, 2338}, {27, 16886, 29, 17825},
	}
	var out []Value
	for _, c := range counts {
		a, b := c[0]+c[1], c[2]+c[3]
		out = append(out, Value{math.Log(c[0] / a * b / c[2]), math.Sqrt(1/c[0] - 1/a + 1/c[2] - 1/b)})
	}
	return out
}

func TestMean(t *testing.T) {
	tests := []struct {
		name   string
		in     []Value
		v, u   float64
		tol, r float64 // absolute on v, relative on u
	}{
		{"one", []Value{{3, 0.2}}, 3, 0.2, 0, 0},
		// Weights 1 and 1/4; they differ by 1, less than noise explains.
		{"two that agree", []Value{{10, 1}, {11, 2}}, 10.2, math.Sqrt(0.8), 1e-12, 1e-12},
		// Q = Σw(x-10)² = 8, k = 2, Σw = 3, Σw² = 3: τ² = (8-2)/(3-1) = 3, so that
		// each has variance 4 and their mean 4/3.
		{"three that do not, by hand", []Value{{8, 1}, {10, 1}, {12, 1}}, 10, math.Sqrt(4. / 3), 1e-12, 1e-12},
		// DerSimonian & Laird give -0.7141 with standard error 0.1787 (from memory).
		{"thirteen trials", bcg(), -0.7141, 0.1787, 6e-5, 4e-4},
		{"exactly equal, exactly known", []Value{{5, 0}, {5, 0}}, 5, 0, 1e-12, 1},
	}
	for _, tt := range tests {
		got := mean(tt.in)
		near(t, tt.name+": value", got.V, tt.v, tt.tol)
		near(t, tt.name+": uncertainty", got.U, tt.u, tt.r*tt.u+1e-100)
	}
	q := 0.0
	var sw, sy float64
	for _, v := range bcg() {
		sw, sy = sw+1/(v.U*v.U), sy+v.V/(v.U*v.U)
	}
	for _, v := range bcg() {
		q += math.Pow((v.V-sy/sw)/v.U, 2)
	}
	near(t, "Cochran's Q as published", q, 152.233, 0.01)
}

// TestMeanCovers: values that scatter by more than they say get a mean whose
// uncertainty covers it.
func TestMeanCovers(t *testing.T) {
	const plucks, sets = 8, 2000
	for _, scatter := range []float64{0, 3} { // beyond u = 1
		in := 0
		x, y := whiteNoise(plucks*sets, 1, 1), whiteNoise(plucks*sets, scatter, 2)
		for s := range sets {
			var vs []Value
			for i := range plucks {
				vs = append(vs, Value{100 + x[s*plucks+i] + y[s*plucks+i], 1})
			}
			if m := mean(vs); math.Abs(m.V-100) < 2*m.U {
				in++
			}
		}
		share := float64(in) / sets
		t.Logf("scatter %g: %.1f %% within 2u", scatter, 100*share)
		// Normal: 95.4 %; the scatter itself estimated from eight: t with 7 degrees
		// of freedom, 91.4 %.
		if share < 0.90 || share > 0.98 {
			t.Errorf("scatter %g: %.1f %% within 2u", scatter, 100*share)
		}
	}
}

// Degrees of freedom by hand: three that say 1 each and have a mean good to √(4/3)
// owe (4/3 - 1/3)/(4/3) of its variance to scatter, so 2/(3/4)².
func TestFreedom(t *testing.T) {
	for _, c := range []struct {
		what string
		in   []Value
		want float64
	}{
		{"one", []Value{{3, 0.2}}, 0},
		{"two that agree", []Value{{10, 1}, {11, 2}}, 0},
		{"three that do not", []Value{{8, 1}, {10, 1}, {12, 1}}, 2 / (0.75 * 0.75)},
		{"three of which scatter is all", []Value{{8, 1e-6}, {10, 1e-6}, {12, 1e-6}}, 2},
		{"exactly equal, exactly known", []Value{{5, 0}, {5, 0}}, 0},
	} {
		near(t, c.what, freedom(c.in, mean(c.in).U), c.want, 1e-6)
	}
}

func trusted(f0 float64, b Value, known bool, ds ...Doubt) Pluck {
	return Pluck{F0: Value{f0, 0.01}, F1: Value{f0 * 1.001, 0.02}, B: b, BKnown: known, Trusted: true, Doubts: ds}
}

func TestPool(t *testing.T) {
	if pool(nil) != nil || pool([]Pluck{{F0: Value{100, 1}}}) != nil {
		t.Error("a reading of nothing that can be trusted")
	}
	remark := Doubt{Code: Misfit, Say: "x"}
	other := trusted(500, Value{1, 1}, true)
	other.Trusted = false
	r := pool([]Pluck{
		trusted(110, Value{4e-5, 1e-6}, true, remark),
		other,
		trusted(110.01, Value{0, 6e-4}, false, remark, Doubt{Code: NoStiffness}),
		trusted(110.02, Value{6e-5, 1e-6}, true),
	})
	if r.Plucks != 3 {
		t.Errorf("%d plucks, want 3", r.Plucks)
	}
	near(t, "F0", r.F0.V, 110.01, 1e-9)
	near(t, "u(F0)", r.F0.U, 0.01/math.Sqrt(3), 1e-9)
	near(t, "F1", r.F1.V, 110.01*1.001, 1e-9)
	if !r.BKnown {
		t.Error("two plucks know B")
	}
	near(t, "B, of those that know it", r.B.V, 5e-5, 1e-12)
	near(t, "u(B), their disagreement in it", r.B.U, 1e-5, 1e-7)
	var codes []Code
	for _, d := range r.Doubts {
		codes = append(codes, d.Code)
	}
	if !slices.Equal(codes, []Code{Misfit, NoStiffness}) {
		t.Errorf("doubts %v, want each once", codes)
	}
	for _, c := range []struct {
		apart float64 // cents
		want  bool
	}{{4.9, false}, {5.1, true}} {
		r := pool([]Pluck{trusted(110, Value{}, false), trusted(110*math.Exp2(c.apart/1200), Value{}, false)})
		if got := len(r.Doubts) == 1 && r.Doubts[0].Code == Scatter; got != c.want {
			t.Errorf("%g cents apart: doubts %v", c.apart, r.Doubts)
		}
		// Plucks that are known to 0.16 cent each: scatter is nearly all there is.
		near(t, fmt.Sprintf("%g cents apart: degrees of freedom", c.apart), r.DoF, 1, 0.01)
		near(t, fmt.Sprintf("%g cents apart: uncertainty", c.apart), r.F0.U, stat.StdDev([]float64{0, 110 * math.Expm1(c.apart*math.Ln2/1200)}, nil)/math.Sqrt2, 1e-3)
	}
}

// TestCorrelation: f0 and B of a string heard again and again in other noise go
// together as each hearing says they do. What it allows for besides, such as a second
// direction of vibration, widens their uncertainties but not their covariance.
func TestCorrelation(t *testing.T) {
	t.Parallel()
	const n = 60
	var f0, b []float64
	said := 0.0
	for seed := range n {
		tk := plain(110, 24000, 1.5)
		tk.Seed = uint64(seed)
		tk.Noise = []synth.Noise{{DB: 25}}
		x, _ := rendered(t, tk)
		take, err := Analyze(x, tk.Rate, Options{})
		if err != nil || take.Reading == nil || !take.Reading.BKnown {
			t.Fatalf("seed %d: %v, %+v", seed, err, take)
		}
		r := take.Reading
		f0, b = append(f0, r.F0.V), append(b, r.B.V)
		said += r.Corr * r.F0.U * r.B.U / n
	}
	seen := stat.Covariance(f0, b, nil)
	t.Logf("covariance %.3g seen, %.3g said", seen, said)
	// A covariance of n pairs scatters by √((1+1/r²)/n) of itself, r near a half.
	if ratio := said / seen; !(ratio > 0.4 && ratio < 2) || seen > 0 {
		t.Errorf("covariance %.3g seen, %.3g said", seen, said)
	}
}
