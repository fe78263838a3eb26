package physics

import (
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"
)

func sum(x []float64) (s float64) {
	for _, v := range x {
		s += v
	}
	return s
}

// The examples of JCGM 101:2008 that have a formula (9.2 and 9.3; inputs and answers
// from memory). Where a linear budget must be found wanting it is.
func TestPublishedPropagations(t *testing.T) {
	four := func(kind Distribution, last float64) Model {
		m := Model{F: sum}
		for i, name := range []string{"1", "2", "3", "4"} {
			in := Input{Name: name, Distribution: kind, U: 1}
			if i == 3 {
				in.U = last
			}
			m.Inputs = append(m.Inputs, in)
		}
		return m
	}
	rect := func(name string, low, high float64) Input {
		return Input{Name: name, Distribution: Rectangular, Mean: (low + high) / 2, U: (high - low) / math.Sqrt(12)}
	}
	// 9.3: a weight against a reference of another density, in air; masses in mg,
	// densities in kg/m³, the answer the deviation from 100 g in mg.
	const nominal, air = 100_000, 1.2
	weight := Model{
		Inputs: []Input{
			{Name: "reference", Mean: 100_000, U: 0.050},
			{Name: "added", Mean: 1.234, U: 0.020},
			rect("air", 1.10, 1.30), rect("weight's density", 7000, 9000), rect("reference's density", 7950, 8050),
		},
		F: func(x []float64) float64 {
			return (x[0]+x[1])*(1+(x[2]-air)*(1/x[3]-1/x[4])) - nominal
		},
	}
	for _, c := range []struct {
		what      string
		m         Model
		digits    int // of u, taken to mean something
		mean, u   float64
		lastU     float64
		low, high float64 // of the shortest interval of 95 %
		last      float64 // place to which it is printed
		linear    float64 // u of the linear budget
		delta     float64
		agrees    bool
	}{
		{"9.2.2, normal", four(Normal, 1), 2, 0, 2.0, 0.01, -3.92, 3.92, 0.02, 2, 0.05, true},
		{"9.2.3, rectangular", four(Rectangular, 1), 2, 0, 2.0, 0.01, -3.88, 3.88, 0.02, 2, 0.05, true},
		{"9.2.4, one far wider", four(Rectangular, 10), 2, 0, 10.1, 0.1, -17.0, 17.0, 0.1, math.Sqrt(103), 0.5, false},
		// By hand u is 0.07548; the published one is itself of random draws.
		{"9.3, weight", weight, 1, 1.2341, 0.0754, 0.0003, 1.0834, 1.3825, 0.002, 0.0539, 0.005, false},
	} {
		p := must(c.m.Propagate(Draws, 0.95, 1))
		// The last place is widened to what a million draws leave open.
		printed(t, c.what+": mean", p.Mean, c.mean, max(8*c.u/1000, 0.0001))
		printed(t, c.what+": u", p.U, c.u, c.lastU)
		r := Result[Length]{Measured: Measured[Length]{Value: Length(c.mean), U: Length(c.linear)}}
		v := r.Validate(p, c.digits)
		// The shortest interval slides along while the length hardly changes, so its
		// length is held to the place and its ends to the tolerance.
		printed(t, c.what+": length", p.Shortest.High-p.Shortest.Low, c.high-c.low, 2*c.last)
		if math.Abs(p.Shortest.Low-c.low) > c.delta || math.Abs(p.Shortest.High-c.high) > c.delta {
			t.Errorf("%s: shortest %v, printed %v to %v", c.what, p.Shortest, c.low, c.high)
		}
		if v.Agrees != c.agrees || math.Abs(v.Tolerance/c.delta-1) > 1e-9 {
			t.Errorf("%s: agrees %v to %v, printed is %v to %v", c.what, v.Agrees, v.Tolerance, c.agrees, c.delta)
		}
	}
}

// Intervals against those of distributions that have a formula, to what a million
// draws leave open.
func TestPropagateKnownIntervals(t *testing.T) {
	for _, c := range []struct {
		what                string
		m                   Model
		mean, u             float64
		symmetric, shortest Interval
	}{
		{"t with 4 degrees of freedom", Model{Inputs: []Input{{Distribution: Student, Mean: 1, U: 2, DoF: 4}}, F: sum},
			1, 2 * math.Sqrt2, Interval{1 - 2*2.776, 1 + 2*2.776}, Interval{1 - 2*2.776, 1 + 2*2.776}},
		// Of a logarithm of a uniform number all results lie on one side: shortest is from 0.
		{"exponential", Model{Inputs: []Input{{Distribution: Rectangular, Mean: 0.5, U: 1 / math.Sqrt(12)}}, F: func(x []float64) float64 { return -math.Log(x[0]) }},
			1, 1, Interval{-math.Log(0.975), -math.Log(0.025)}, Interval{0, -math.Log(0.05)}},
		{"sum of two that are correlated", Model{Inputs: []Input{
			{Name: "a", U: 3, Correlations: []Correlation{{"b", 0.6}}}, {Name: "b", U: 4}, {Name: "c", Distribution: Rectangular}}, F: sum},
			0, math.Sqrt(9 + 16 + 2*0.6*12), Interval{-1.96 * 6.2769, 1.96 * 6.2769}, Interval{-1.96 * 6.2769, 1.96 * 6.2769}},
		{"two that cancel", Model{Inputs: []Input{
			{Name: "a", U: 3, Correlations: []Correlation{{"b", -1}}}, {Name: "b", U: 3}}, F: sum}, 0, 0, Interval{}, Interval{}},
	} {
		p := must(c.m.Propagate(Draws, 0.95, 7))
		if math.Abs(p.Mean-c.mean) > 0.005*c.u+1e-9 || math.Abs(p.U-c.u) > 0.01*c.u+1e-9 {
			t.Errorf("%s: %v ± %v, want %v ± %v", c.what, p.Mean, p.U, c.mean, c.u)
		}
		for _, i := range []struct {
			what      string
			got, want Interval
			slack     float64
		}{{"symmetric", p.Symmetric, c.symmetric, 0.01}, {"shortest", p.Shortest, c.shortest, 0.03}} {
			if math.Abs(i.got.Low-i.want.Low) > i.slack*c.u+1e-9 || math.Abs(i.got.High-i.want.High) > i.slack*c.u+1e-9 {
				t.Errorf("%s: %s %v, want %v", c.what, i.what, i.got, i.want)
			}
		}
	}
}

// The same seed gives the same numbers however many processors work on them.
func TestPropagateRepeats(t *testing.T) {
	m := Model{Inputs: []Input{{U: 1}, {Distribution: Rectangular, U: 1}, {Distribution: Student, U: 1, DoF: 9}}, F: sum}
	first := must(m.Propagate(100_000, 0.95, 5))
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, n := range []int{1, 2, 3, 5} {
		runtime.GOMAXPROCS(n)
		if got := must(m.Propagate(100_000, 0.95, 5)); got != first {
			t.Errorf("%d processors: %+v, not %+v", n, got, first)
		}
	}
	if other := must(m.Propagate(100_000, 0.95, 6)); other == first {
		t.Error("another seed gives the same")
	}
}

// The tails are those of all numbers sorted, also where the first block misleads.
func TestTails(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for _, n := range []int{1, 20, block - 1, block, 3*block + 7} {
		for _, drift := range []float64{0, 0.01, -0.01} {
			y := make([]float64, n)
			for i := range y {
				y[i] = math.Round(100*r.NormFloat64()) + drift*float64(i) // with ties where nothing drifts
			}
			sorted := slices.Sorted(slices.Values(y))
			for _, k := range []int{1, n / 20, n / 2, n * 9 / 10, n} {
				low, high := tails(y, k)
				if !slices.Equal(low, sorted[:k]) || !slices.Equal(high, sorted[n-k:]) {
					t.Fatalf("%d of %d that drift by %v: not those of all sorted", k, n, drift)
				}
			}
		}
	}
}

// The intervals are the obvious ones of sorted numbers (JCGM 101:2008, 7.7.2).
func TestIntervals(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 1))
	for _, n := range []int{100, 101, 1000, 40_000} {
		for _, p := range []float64{0.5, 0.9, 0.95} {
			y := make([]float64, n)
			for i := range y {
				y[i] = r.ExpFloat64()
			}
			symmetric, shortest := intervals(y, p)
			slices.Sort(y)
			q := int(p*float64(n) + 0.5)
			first := (n - q) / 2
			if (n-q)%2 != 0 {
				first = (n - q + 1) / 2
			}
			if want := (Interval{y[first-1], y[first+q-1]}); symmetric != want {
				t.Errorf("%v of %d: symmetric %v, want %v", p, n, symmetric, want)
			}
			want := Interval{y[0], y[q]}
			for r := 0; r+q < n; r++ {
				if y[r+q]-y[r] < want.High-want.Low {
					want = Interval{y[r], y[r+q]}
				}
			}
			if shortest != want {
				t.Errorf("%v of %d: shortest %v, want %v", p, n, shortest, want)
			}
		}
	}
}

func TestPropagateRefuses(t *testing.T) {
	good := func() Model {
		return Model{Inputs: []Input{{Name: "a", U: 1}, {Name: "b", Distribution: Rectangular, U: 1}, {Name: "c", U: 1}}, F: sum}
	}
	for name, spoil := range map[string]func(*Model){
		"no formula":             func(m *Model) { m.F = nil },
		"no inputs":              func(m *Model) { m.Inputs = nil },
		"NaN":                    func(m *Model) { m.Inputs[0].Mean = math.NaN() },
		"negative u":             func(m *Model) { m.Inputs[0].U = -1 },
		"infinite u":             func(m *Model) { m.Inputs[0].U = math.Inf(1) },
		"odd distribution":       func(m *Model) { m.Inputs[0].Distribution = 9 },
		"t of nothing":           func(m *Model) { m.Inputs[0].Distribution = Student },
		"unknown partner":        func(m *Model) { m.Inputs[0].Correlations = []Correlation{{"z", 0.1}} },
		"itself":                 func(m *Model) { m.Inputs[0].Correlations = []Correlation{{"a", 0.1}} },
		"rectangular partner":    func(m *Model) { m.Inputs[0].Correlations = []Correlation{{"b", 0.1}} },
		"coefficient of 2":       func(m *Model) { m.Inputs[0].Correlations = []Correlation{{"c", 2}} },
		"results that are none":  func(m *Model) { m.F = func(x []float64) float64 { return math.Sqrt(x[0]) } },
		"results without bounds": func(m *Model) { m.F = func([]float64) float64 { return math.Inf(1) } },
		"correlations against all": func(m *Model) {
			m.Inputs[1].Distribution = Normal
			m.Inputs[0].Correlations = []Correlation{{"b", -1}, {"c", -1}}
			m.Inputs[1].Correlations = []Correlation{{"c", -1}}
		},
	} {
		m := good()
		spoil(&m)
		if p, err := m.Propagate(10_000, 0.95, 1); err == nil || p != (Propagation{}) {
			t.Errorf("%s: %+v, %v", name, p, err)
		}
	}
	for _, c := range []struct {
		draws int
		p     float64
	}{{0, 0.95}, {-1, 0.95}, {199, 0.95}, {math.MaxInt, 0.95}, {1000, 0}, {1000, 1}, {1000, math.NaN()}} {
		if p, err := good().Propagate(c.draws, c.p, 1); err == nil {
			t.Errorf("%+v: %+v", c, p)
		}
	}
	if v, err := (Result[Force]{}).MonteCarlo(); err == nil {
		t.Errorf("a result without a model: %+v", v)
	}
}
