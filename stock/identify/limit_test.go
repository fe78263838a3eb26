package identify

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"pluckweigh/physics"
	"pluckweigh/stock/identify/identifytest"
	"pluckweigh/stock/traits"
)

// What one clip pluck and a micrometer leave uncertain, as in the test from sound: the unit
// weight for the clip's mass and the speaking length, the diameter within bounds, the
// inharmonicity by what 265 takes said (their deciles).
const (
	clipU  = 0.00308
	within = 0.01e-3
)

var inharmonicityU = []float64{6e-8, 1.3e-7, 2.2e-7, 4.7e-7, 8e-7, 1.2e-6, 2e-6, 3.6e-6, 5.4e-6, 1.1e-5, 2.6e-5}

// A plucked string is what such a pluck told of it, its errors exactly as stated.
type plucked struct {
	weight, outside, bending, u float64
}

// pluckOf strings it up as the test from sound does; ok is false where nobody would.
func pluckOf(t identifytest.Truth, r *rand.Rand) (p plucked, ok bool) {
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	length, tension := between(0.62, 0.87), between(60, 110)
	if t.Weight > 2e-3 {
		tension = between(90, 180)
	}
	f0 := math.Sqrt(tension/t.Weight) / (2 * length)
	perB := tension * sq(length/math.Pi)
	if t.Bending/perB > 1e-3 || f0 < 30 || f0 > 400 {
		return p, false
	}
	tenth := r.Float64() * 10
	i := int(tenth)
	u := perB * inharmonicityU[i] * math.Pow(inharmonicityU[i+1]/inharmonicityU[i], tenth-float64(i))
	return plucked{t.Weight * math.Exp(clipU*r.NormFloat64()), t.Outside + between(-within, within),
		max(0, t.Bending+u*r.NormFloat64()), u}, true
}

// question asks for it. A stiffness heard to worse than a quarter is rough, as in physics.
func (p plucked) question(strings []traits.String, copies float64) Question {
	q := Question{Strings: strings, Copies: copies}
	q.Evidence.UnitWeight = physics.Stated(physics.UnitWeight(p.weight), physics.UnitWeight(clipU*p.weight))
	q.Evidence.Outside = physics.Gauge.Assume(physics.Length(p.outside))
	ei := physics.Stated(physics.BendingStiffness(p.bending), physics.BendingStiffness(p.u))
	if p.u < roughest*p.bending {
		q.Evidence.Stiffness = ei
	} else {
		q.Rough = ei
	}
	return q
}

// agrees is the density of it, but for a factor, where a string is so.
func (p plucked) agrees(t identifytest.Truth) float64 {
	if math.Abs(p.outside-t.Outside) > within {
		return 0
	}
	return math.Exp(-(sq(math.Log(p.weight/t.Weight)/clipU) + sq((p.bending-t.Bending)/p.u)) / 2)
}

// ofWeight is a string built as another, of that unit weight.
func ofWeight(t identifytest.Truth, weight float64) identifytest.Truth {
	return t.Copied(weight/t.Weight - 1)
}

// anyDensity is the density of it, but for the same factor, if it is of no make: a mean over
// builds, each of every size.
func (p plucked) anyDensity(builds []identifytest.Truth, r *rand.Rand) float64 {
	sum := 0.0
	for _, b := range builds {
		// By w = b·D², the density of ln w is half that of ln D; over the errors of ln w the
		// integral is a draw times √(2π) clipU.
		t := ofWeight(b, p.weight*math.Exp(clipU*r.NormFloat64()))
		if off := math.Abs(p.outside - t.Outside); off > within {
			continue
		}
		size := math.Log(t.Outside / usualOutside)
		density := perRoot / 0.8 * math.Exp(-sq(size/0.8)/2) / 2
		sum += density * clipU / perRoot * math.Exp(-sq((p.bending-t.Bending)/p.u)/2)
	}
	return sum / float64(len(builds))
}

// TestLimitOfStrangers finds by plain Monte Carlo how often a string that is not in stock can
// be told at all, in the trial of the test from sound but without sound: by Bayes' theorem with
// the true distribution of strangers, of stock and of errors no rule is right more often. It
// holds the posterior to that. Such strangers as lie midway between two of the stock's are no
// usual ones: how often they are told is said, and how often by who knows that strangers lie
// there. PLUCKWEIGH_STRANGERS sets how many are drawn.
func TestLimitOfStrangers(t *testing.T) {
	const make, particles = 120, 400
	n := 250
	if s := os.Getenv("PLUCKWEIGH_STRANGERS"); s != "" {
		var err error
		if n, err = strconv.Atoi(s); err != nil {
			t.Fatal(err)
		}
	}
	r := rand.New(rand.NewPCG(41, 42))
	builds := []identifytest.Truth{}
	for range 20_000 {
		builds = append(builds, identifytest.OfAny(r))
	}
	near := func(v, relative float64) float64 { return v * (1 + relative*r.NormFloat64()) }
	strings, known := []traits.String{}, []identifytest.Truth{}
	for i := range make {
		is := identifytest.OfMake(i)
		k := identifytest.Truth{Kind: is.Kind, Weight: near(is.Weight, 0.002), Outside: near(is.Outside, 0.003), Bending: near(is.Bending, 0.03)}
		known = append(known, k)
		strings = append(strings, traits.String{Name: fmt.Sprint(i), Kind: is.Kind,
			UnitWeight: physics.Stated(physics.UnitWeight(k.Weight), physics.UnitWeight(0.002*is.Weight)),
			Outside:    physics.Stated(physics.Length(k.Outside), physics.Length(0.003*is.Outside)),
			Stiffness:  physics.Stated(physics.BendingStiffness(k.Bending), physics.BendingStiffness(0.03*is.Bending))})
	}
	// How often strings are strung up at all, which is not the same for all.
	share := func(of func() identifytest.Truth) float64 {
		taken := 0
		for range 20_000 {
			if _, ok := pluckOf(of(), r); ok {
				taken++
			}
		}
		return float64(taken) / 20_000
	}
	anyTaken := share(func() identifytest.Truth { return identifytest.OfAny(r) })
	makeTaken := share(func() identifytest.Truth { return identifytest.OfMake(r.IntN(make)) })

	type count struct{ limit, got, doubted int }
	var sure [2]reliability
	var strangers, stocked, between [2]count
	midway := func(i int) identifytest.Truth { // from one string of the make to the next
		is, next := identifytest.OfMake(i), identifytest.OfMake(i+1)
		return is.Copied(math.Sqrt(next.Weight/is.Weight) - 1)
	}
	anywhere := func(p plucked) float64 { return p.anyDensity(builds, r) / anyTaken }
	amid := func(p plucked) (sum float64) {
		for i := range make - 1 {
			sum += p.agrees(midway(i))
		}
		return sum / (make - 1) / makeTaken
	}
	for c, copies := range []float64{1e-4, 5e-3} {
		// limit is the likeliest string, -1 for none, by the true distributions.
		limit := func(p plucked, stranger func(plucked) float64) (best int) {
			most := usualNone * stranger(p)
			best = -1
			for i, k := range known {
				if math.Abs(math.Log(p.weight/k.Weight)) > 5*clipU+4*copies+0.01 {
					continue
				}
				sum := 0.0
				for range particles {
					is := identifytest.Truth{Kind: k.Kind, Weight: near(k.Weight, 0.002), Outside: near(k.Outside, 0.003), Bending: near(k.Bending, 0.03)}
					sum += p.agrees(is.Copied(copies * r.NormFloat64()))
				}
				if v := (1 - usualNone) / makeTaken / make * sum / particles; v > most {
					most, best = v, i
				}
			}
			return best
		}
		got := func(p plucked) (best int, said float64, doubted bool) {
			q := p.question(strings, copies)
			post, w, _ := q.posterior()
			for i, v := range post {
				if v > post[best] {
					best = i
				}
			}
			if said = post[best]; best == make {
				return -1, said, false
			}
			return best, said, Candidate{Agrees: w.agrees(best)}.Doubtful()
		}
		for k := 0; k < 3*n; {
			is, of, to, where := -1, identifytest.OfAny(r), &strangers[c], anywhere
			switch k % 3 {
			case 1:
				is = r.IntN(make)
				of, to = identifytest.OfMake(is).Copied(copies*r.NormFloat64()), &stocked[c]
			case 2:
				of, to, where = midway(r.IntN(make-1)), &between[c], amid
			}
			p, ok := pluckOf(of, r)
			if !ok {
				continue
			}
			kind := k % 3
			k++
			if limit(p, where) == is {
				to.limit++
			}
			best, said, doubted := got(p)
			if best == is {
				to.got++
			}
			switch kind { // as often as is taken beforehand
			case 0:
				sure[c].add(said, best == is, usualNone/float64(n))
			case 1:
				sure[c].add(said, best == is, (1-usualNone)/float64(n))
			}
			if doubted {
				to.doubted++
			}
		}
	}
	percent := func(k int) float64 { return 100 * float64(k) / float64(n) }
	for c, what := range []string{"the very strings", "copies"} {
		t.Logf("stock of %s: a stranger can be told in %.1f %%, is told in %.1f %%; a string in stock in %.1f %% and %.1f %% (%d each, standard deviation of a share near 95 %%: %.1f)", what,
			percent(strangers[c].limit), percent(strangers[c].got), percent(stocked[c].limit), percent(stocked[c].got), n, 100*math.Sqrt(0.05*0.95/float64(n)))
		t.Logf("  one between two strings can be told in %.1f %% by who knows that strangers lie there, is told in %.1f %%, and in %.1f %% the answer is doubted; so it is in %.1f %% of strangers and in %.1f %% of strings in stock",
			percent(between[c].limit), percent(between[c].got), percent(between[c].doubted), percent(strangers[c].doubted), percent(stocked[c].doubted))
		sure[c].judge(t, n)
		if miss := 3 * math.Sqrt(hardly*float64(n)); float64(stocked[c].doubted) > hardly*float64(n)+miss {
			t.Errorf("stock of %s: %d of %d doubted that are in stock", what, stocked[c].doubted, n)
		}
		// Both see the same plucks; what they differ by scatters by less than by chance.
		if miss := 3 * math.Sqrt(0.05/float64(n)); float64(strangers[c].got) < float64(strangers[c].limit)-(0.02+miss)*float64(n) {
			t.Errorf("stock of %s: %d of %d strangers told, of %d that can be", what, strangers[c].got, n, strangers[c].limit)
		}
	}
}

// A reliability is how probable answers are said to be, and how many of them are right, by
// what is said.
type reliability struct{ n, said, right [10]float64 }

func (b *reliability) add(said float64, right bool, weight float64) {
	i := min(int(said*10), 9)
	b.n[i] += weight
	b.said[i] += said * weight
	if right {
		b.right[i] += weight
	}
}

// judge wants what is said to be right as often within 3 %, give or take what n strings of each
// kind scatter by.
func (b *reliability) judge(t *testing.T, n int) {
	off, variance := 0.0, 0.0
	for i, w := range b.n {
		if w > 0 {
			t.Logf("  said %.3f, right in %.3f, of %.1f %% of answers", b.said[i]/w, b.right[i]/w, 100*w)
			off += math.Abs(b.said[i] - b.right[i])
			variance += b.said[i] * (1 - b.said[i]/w) / float64(n)
		}
	}
	t.Logf("  reliability, mean |said - right|: %.2f %%", 100*off)
	if off > 0.03+3*math.Sqrt(variance) {
		t.Errorf("what is said is off by %.2f %%", 100*off)
	}
}
