package identify

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// What is said to be so probable is right as often: of the best answers, and of none.
func TestProbabilitiesAreCalibrated(t *testing.T) {
	cases := 6000
	if s := os.Getenv("PLUCKWEIGH_STRINGS"); s != "" {
		cases = must(strconv.Atoi(s))
	}
	r := rand.New(rand.NewPCG(3, 4))
	type bin struct{ n, said, right float64 }
	var best, none [5]bin
	add := func(b *[5]bin, said float64, right bool) {
		i := min(int(said*5), 4)
		b[i].n++
		b[i].said += said
		if right {
			b[i].right++
		}
	}
	for range cases / 60 {
		known, real := stock(40, 1e-3, 3.3e-3, r)
		for range 60 {
			of := r.IntN(len(real))
			tr := real[of]
			if r.Float64() < 0.3 {
				of, tr = -1, anything(r)
			}
			e, kind := evidenceOf(tr, r)
			p, _, _ := Question{Evidence: e, Kind: kind, Strings: known, None: 0.3}.posterior()
			add(&none, p[len(known)], of < 0)
			likeliest := 0
			for i := range known {
				if p[i] > p[likeliest] {
					likeliest = i
				}
			}
			add(&best, p[likeliest], of == likeliest)
		}
	}
	for name, bins := range map[string][5]bin{"best": best, "none": none} {
		for i, b := range bins {
			if b.n < 20 {
				continue
			}
			said, right := b.said/b.n, b.right/b.n
			t.Logf("%s, %d/5: said %.3f, right %.3f of %.0f", name, i, said, right, b.n)
			// Chance, thrice its standard deviation, and a reliability of 3 %.
			if off := math.Abs(said - right); off > 0.03+3*math.Sqrt(said*(1-said)/b.n) {
				t.Errorf("%s: said to be right in %.3f, is so in %.3f of %.0f", name, said, right, b.n)
			}
		}
	}
}

// Out of many strings 3 % apart, a clip and a micrometer find the right one, and tell
// one that is not among them.
func TestFindsItAmongMany(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	const cases = 1500
	right, wrongly, missed, others := 0, 0, 0, 0
	var strings []traits.String
	var real []truth
	for i := range 120 {
		// One make: wound on one core, the wrap thicker from string to string.
		w := 2e-3 * math.Exp(0.03*float64(i))
		tr := truth{traits.Wound, w, math.Sqrt(4 * w / math.Pi / 6700), 206e9 * math.Pi / 64 * math.Pow(0.4e-3*math.Exp(0.01*float64(i)), 4)}
		real = append(real, tr)
		strings = append(strings, traits.String{Name: fmt.Sprint(i), Kind: tr.kind,
			UnitWeight: stated[physics.UnitWeight](w, 0.002, r), Outside: stated[physics.Length](tr.outside, 0.003, r), Stiffness: stated[physics.BendingStiffness](tr.stiff, 0.03, r)})
	}
	for range cases {
		of := r.IntN(len(strings))
		tr := real[of]
		if r.IntN(4) == 0 {
			of, tr = -1, anything(r)
		}
		e := physics.Evidence{
			UnitWeight: stated[physics.UnitWeight](tr.weight, 0.005, r),
			Outside:    stated[physics.Length](tr.outside, 0.01e-3/tr.outside, r),
			Stiffness:  stated[physics.BendingStiffness](tr.stiff, 0.05, r),
		}
		if e.Outside.Relative() > roughest {
			continue
		}
		p, _, _ := Question{Evidence: e, Kind: tr.kind, Strings: strings}.posterior()
		likeliest := 0
		for i := range p {
			if p[i] > p[likeliest] {
				likeliest = i
			}
		}
		switch {
		case of < 0:
			if others++; likeliest < len(strings) {
				missed++
			}
		case likeliest == of:
			right++
		default:
			wrongly++
		}
	}
	t.Logf("right in %d of %d; %d of %d others taken for one", right, right+wrongly, missed, others)
	if float64(right) < 0.984*float64(right+wrongly) || float64(missed) > 0.05*float64(others) {
		t.Error("the right string is missed too often")
	}
}

// Two strings and one measurement of each trait: closed form.
func TestPosteriorIsBayes(t *testing.T) {
	a, b := 1e-3, 1.03e-3
	q := Question{
		Evidence: physics.Evidence{UnitWeight: physics.Stated[physics.UnitWeight](1.01e-3, 1e-5)},
		Strings: []traits.String{
			{Name: "a", UnitWeight: physics.Stated(physics.UnitWeight(a), 1e-5)},
			{Name: "b", UnitWeight: physics.Stated(physics.UnitWeight(b), 2e-5)},
		},
		None: 1e-300,
	}
	density := func(c, u float64) float64 {
		v := sq(u/c) + sq(1e-5/1.01e-3) + 2*sq(sharpest)
		return math.Exp(-sq(math.Log(1.01e-3/c))/2/v) / math.Sqrt(v)
	}
	want := density(a, 1e-5) / (density(a, 1e-5) + density(b, 2e-5))
	got := must(q.Answer())
	if c := got.Candidates[0]; c.String != 0 || math.Abs(c.Probability-want) > 1e-9 {
		t.Errorf("%+v, not %v", got.Candidates, want)
	}
}

func TestKindIsBelieved(t *testing.T) {
	w := physics.Stated[physics.UnitWeight](1e-3, 1e-5)
	q := Question{
		Evidence: physics.Evidence{UnitWeight: w},
		Kind:     traits.Wound,
		Strings:  []traits.String{{Name: "a", UnitWeight: w, Kind: traits.Plain}, {Name: "b", UnitWeight: w, Kind: traits.Wound}},
	}
	got := must(q.Answer())
	if len(got.Candidates) != 1 || got.Candidates[0].String != 1 {
		t.Errorf("a wound string may be %+v", got.Candidates)
	}
	q.Strings = nil
	if got := must(q.Answer()); got.None != 1 || len(got.Candidates) != 0 {
		t.Errorf("out of no strings: %+v", got)
	}
}

func TestRefusesWhatSaysNothing(t *testing.T) {
	w := physics.Stated[physics.UnitWeight](1e-3, 1e-5)
	for _, q := range []Question{
		{},
		{Evidence: physics.Evidence{UnitWeight: physics.Stated[physics.UnitWeight](1e-3, 1e-3)}},
		{Evidence: physics.Evidence{UnitWeight: physics.Stated(physics.UnitWeight(math.NaN()), 1e-3)}},
		{Evidence: physics.Evidence{UnitWeight: w, Correlation: 2}},
		{Evidence: physics.Evidence{UnitWeight: w}, None: 1},
		{Evidence: physics.Evidence{UnitWeight: w}, Kind: 7},
		{Evidence: physics.Evidence{UnitWeight: w}, Strings: []traits.String{{Name: "not known"}}},
	} {
		var e *physics.InputError
		if _, err := q.Answer(); !errors.As(err, &e) {
			t.Errorf("%+v: %v", q, err)
		}
	}
}

// What can be of no string is an error, unless one in stock is like that.
func TestContradictionIsOfNoString(t *testing.T) {
	odd := physics.Evidence{UnitWeight: physics.Stated[physics.UnitWeight](3e-3, 1e-5), Outside: physics.Stated[physics.Length](0.5e-3, 1e-6)} // 15 300 kg/m³
	other := traits.String{Name: "a", UnitWeight: physics.Stated[physics.UnitWeight](1e-3, 1e-5)}
	var e *physics.InputError
	if a, err := (Question{Evidence: odd, Strings: []traits.String{other}}).Answer(); !errors.As(err, &e) {
		t.Errorf("it may be %+v", a)
	}
	heavy := traits.String{Name: "b", UnitWeight: odd.UnitWeight, Outside: odd.Outside}
	a, err := Question{Evidence: odd, Strings: []traits.String{other, heavy}}.Answer()
	if err != nil {
		t.Fatal(err)
	}
	if s, ok := a.Settled(); s != 1 || !ok || len(a.Wires) > 0 {
		t.Errorf("it may be %+v", a)
	}
}

// Of what wire a plain string is, package physics works out in its own way.
func TestWiresAreThoseOfPhysics(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	for range 40 {
		of := physics.Materials()[r.IntN(12)]
		d := 0.2e-3 * math.Exp(r.Float64()*1.5)
		e := physics.Evidence{
			UnitWeight: stated[physics.UnitWeight](float64(of.Density.Value)*math.Pi/4*d*d, 0.002, r),
			Outside:    stated[physics.Length](d, 0.004, r),
		}
		if r.IntN(2) == 0 {
			e.Stiffness = stated[physics.BendingStiffness](float64(of.Modulus.Value)*math.Pi/64*math.Pow(d, 4), 0.03, r)
		}
		got := must(Question{Evidence: e, Kind: traits.Plain}.Answer()).Wires
		e.Known.Wraps = []int{0}
		e.Stiffness.U = physics.BendingStiffness(math.Hypot(float64(e.Stiffness.U), wear*float64(e.Stiffness.Value)))
		for _, want := range must(e.Builds()).Builds {
			i := slices.IndexFunc(got, func(w Wire) bool { return w.Of.Name == want.CoreOf.Name })
			if i < 0 {
				if want.Probability > 0.01 {
					t.Errorf("%s is left out", want.CoreOf.Name)
				}
				continue
			}
			w := got[i]
			if math.Abs(w.Probability-want.Probability) > 0.03 {
				t.Errorf("%s: %.3f, by physics %.3f", w.Of.Name, w.Probability, want.Probability)
			}
			if off := math.Abs(float64(w.Gauge.Value - want.Core.Value)); off > 0.3*float64(want.Core.U) || math.Abs(float64(w.Gauge.U/want.Core.U)-1) > 0.3 {
				t.Errorf("%s of %v, by physics %v", w.Of.Name, w.Gauge.Expanded(1), want.Core.Expanded(1))
			}
		}
	}
}
