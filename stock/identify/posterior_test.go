package identify

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

func TestPosteriorIsThatWrittenOut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := drawQuestion(t)
		got, _, _ := q.posterior()
		want := slowly(q)
		for i := range want {
			if !(math.Abs(got[i]-want[i]) < 1e-7) {
				t.Fatalf("%v, not %v", got, want)
			}
		}
	})
}

// The order of strings says nothing, and two that are known to be the same share what one
// alone has.
func TestOrderAndTwins(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := drawQuestion(t)
		p, _, _ := q.posterior()
		n := len(q.Strings)
		turned := q
		turned.Strings = slices.Clone(q.Strings)
		slices.Reverse(turned.Strings)
		r, _, _ := turned.posterior()
		twice := q
		twice.Strings = append(slices.Clone(q.Strings), q.Strings...)
		d, _, _ := twice.posterior()
		for i := range q.Strings {
			if math.Abs(p[i]-r[n-1-i]) > 1e-12 || math.Abs(p[i]-2*d[i]) > 1e-9 || math.Abs(d[i]-d[n+i]) > 1e-12 {
				t.Fatalf("%v, turned %v, twice %v", p, r, d)
			}
		}
		if math.Abs(p[n]-r[n]) > 1e-12 || math.Abs(p[n]-d[2*n]) > 1e-9 {
			t.Fatalf("none is %v, turned %v, twice %v", p[n], r[n], d[2*n])
		}
	})
}

// The posterior by plain Monte Carlo: strings are drawn from all that can be built, each counts
// as much as what is in stock, and what was measured, agree with it.
func TestPosteriorByMonteCarlo(t *testing.T) {
	q := Question{
		Evidence: physics.Evidence{UnitWeight: physics.Stated[physics.UnitWeight](3e-3, 1.5e-4), Outside: physics.Stated[physics.Length](0.8e-3, 4e-5)},
		Kind:     traits.Wound,
		Strings: []traits.String{
			{Kind: traits.Wound, UnitWeight: physics.Stated[physics.UnitWeight](3.2e-3, 2e-4), Outside: physics.Stated[physics.Length](0.85e-3, 3e-5)},
			{Kind: traits.Wound, UnitWeight: physics.Stated[physics.UnitWeight](3.1e-3, 2e-4)},
			{Kind: traits.Wound, Outside: physics.Stated[physics.Length](0.78e-3, 3e-5), Stiffness: physics.Stated[physics.BendingStiffness](4e-4, 4e-5)},
		},
		None: 0.5, Copies: 0.02,
	}
	r := rand.New(rand.NewPCG(5, 6))
	bell := func(x, mean, sd float64) float64 { return math.Exp(-sq((x-mean)/sd)/2) / sd / math.Sqrt(2*math.Pi) }
	relative := func(v, u float64) float64 { return math.Hypot(u/v, sharpest) }
	e := q.Evidence
	// seen is the density of what was measured if the string is so.
	seen := func(logWeight, logOutside float64) float64 {
		return bell(math.Log(3e-3), logWeight, relative(3e-3, float64(e.UnitWeight.U))) * bell(math.Log(0.8e-3), logOutside, relative(0.8e-3, float64(e.Outside.U)))
	}
	const draws = 1_500_000
	type sums struct{ n, of, seen, both float64 } // weights, their squares with what was seen
	var of [4]sums
	add := func(i int, weight, likelihood float64) {
		of[i].n += weight
		of[i].of += weight * weight
		of[i].seen += weight * likelihood
		of[i].both += sq(weight * likelihood)
	}
	m := woundStrings()
	lower := make([]triangle, len(m))
	for i := range m {
		lower[i] = factor(&m[i].cov, &matrix{}, allTraits)
	}
	for range draws {
		// The first is what stock has of it, and no less likely for being seldom built.
		s := &q.Strings[0]
		add(0, 1, seen(math.Log(3.2e-3)+r.NormFloat64()*math.Hypot(float64(s.UnitWeight.U)/3.2e-3, 0.02),
			math.Log(0.85e-3)+r.NormFloat64()*math.Hypot(float64(s.Outside.U)/0.85e-3, 0.01)))
		k := r.IntN(len(m))
		x := m[k].mean
		var z vector
		for i := range z {
			z[i] = r.NormFloat64()
			for j := range i + 1 {
				x[i] += lower[k].l[i][j] * z[j]
			}
		}
		l := seen(x[weight], x[outside])
		add(1, bell(math.Log(3.1e-3), x[weight], math.Hypot(2e-4/3.1e-3, 0.02)), l)
		add(2, bell(math.Log(0.78e-3), x[outside], math.Hypot(3e-5/0.78e-3, 0.01))*bell(math.Log(4e-4), x[stiff], math.Hypot(0.1, 0.04)), l)
		add(3, 1, l)
	}
	var want [4]float64
	off, total := 0.0, 0.0
	for i, s := range of {
		prior := 0.5 / 3
		if i == 3 {
			prior = 0.25 // half are wound
		}
		want[i] = prior * s.seen / s.n
		total += want[i]
		// Relative standard deviations of the two sums.
		off = max(off, math.Sqrt(s.both)/s.seen+math.Sqrt(s.of)/s.n)
	}
	got, _, _ := q.posterior()
	t.Logf("%.4f, by Monte Carlo %.4f of %.4g; its sums scatter by %.2f %%", got, want, total, 100*off)
	for i := range want {
		if p := want[i] / total; math.Abs(got[i]-p) > 3*off*p {
			t.Errorf("answer %d: %.5f, by Monte Carlo %.5f", i, got[i], p)
		}
	}
}

// A stiffness heard roughly, as of a string that sounds as if it had none, tells strings of
// nylon and of steel apart. By Monte Carlo: what is heard of each is drawn.
func TestRoughStiffnessTells(t *testing.T) {
	heavy := physics.Stated[physics.UnitWeight](3e-3, 3e-5)
	gauge := physics.Stated[physics.Length](0.8e-3, 4e-6)
	q := Question{
		Evidence: physics.Evidence{UnitWeight: heavy, Outside: gauge},
		Rough:    physics.Stated[physics.BendingStiffness](1e-5, 3e-5),
		Kind:     traits.Wound,
		Strings: []traits.String{
			{Kind: traits.Wound, UnitWeight: heavy, Outside: gauge, Stiffness: physics.Stated[physics.BendingStiffness](8e-5, 2.4e-5)},
			{Kind: traits.Wound, UnitWeight: heavy, Outside: gauge, Stiffness: physics.Stated[physics.BendingStiffness](5e-6, 5e-7)},
			{Kind: traits.Wound, UnitWeight: heavy, Outside: gauge},
		},
		None: 0.3,
	}
	deaf := q
	deaf.Rough = physics.Measured[physics.BendingStiffness]{}
	without, _, _ := deaf.posterior()
	r := rand.New(rand.NewPCG(8, 9))
	agrees := func(ei float64) float64 {
		sd := math.Hypot(3e-5, 0.03*ei)
		stray := 0.1 / math.Hypot(1e-5, 3e-5) * 3e-5 * math.Sqrt(2*math.Pi) // 0.1/v or 0.1/u, relative to the greatest density
		return 0.003*stray + 0.997*3e-5/sd*math.Exp(-sq((1e-5-ei)/sd)/2)
	}
	// What may be built that weighs as much and is as thick, and the third string, whose
	// weight and diameter are known twice.
	seen := newWitness(deaf).seen
	third := newWitness(deaf).known(2)
	open := [2]mixture{woundStrings().given(&seen, 1e-9), woundStrings().given(&seen, 1e-9).given(&third, 1e-9)}
	const draws = 200_000
	var mean [4]float64
	for range draws {
		mean[0] += agrees(8e-5*math.Exp(math.Hypot(0.3, sharpest)*r.NormFloat64())) / draws
		mean[1] += agrees(5e-6*math.Exp(0.1*r.NormFloat64())) / draws
		for i, m := range open {
			c := m[drawn(m, func(c component) float64 { return c.weight }, r.Float64())]
			mean[3-i] += agrees(math.Exp(c.mean[stiff]+math.Sqrt(c.cov[stiff][stiff])*r.NormFloat64())) / draws
		}
	}
	want, sum := without, 0.0
	for i := range want {
		want[i] *= mean[i]
		sum += want[i]
	}
	got, _, _ := q.posterior()
	for i := range got {
		if p := want[i] / sum; math.Abs(got[i]-p) > 0.02*p+1e-4 {
			t.Errorf("answer %d: %.4f, by Monte Carlo %.4f", i, got[i], p)
		}
	}
	if !(got[1] > 3*got[0]) {
		t.Errorf("a supple string is %v", got)
	}
}
