package identify

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// A Test is something that can be measured next.
type Test struct {
	Of Telling
	// Gain is by how many bits it is expected to lessen what is open about which string
	// it is; Open is how many are open now (Lindley 1956).
	Gain, Open float64
	// Settles is how likely it is that one answer has at least 95 % afterwards.
	Settles float64
}

// Telling is what a Test is of.
type Telling int

const (
	Look       Telling = iota // whether it is plain or wound
	Micrometer                // the outside diameter
	Clip                      // a known mass on the string where it sits: unit weight, and stiffness from the same pluck
	Load                      // a known, heavier load: the unit weight, closer
)

// String names the test in a word.
func (t Telling) String() string {
	switch t {
	case Look:
		return "look"
	case Micrometer:
		return "micrometer"
	case Clip:
		return "clip"
	case Load:
		return "heavier load"
	}
	return "no test"
}

// What tests usually come to, as relative standard uncertainties (judgement): a clip
// weighed to a centigram, weights that were weighed. A micrometer is as
// physics.Gauge.Assume has it.
const (
	clipWeight, clipStiffness = 0.007, 0.05
	loadWeight                = 0.001
)

// worthless is a gain that is not worth a test, bits.
const worthless = 0.01

// What is looked at and drawn to work out an expectation: enough to tell which test
// is best, not to tell a gain closer than some hundredths of a bit.
const (
	mostOpen  = 24 // strings
	testDraws = 256
	surely    = 0.95
)

// An open answer is one of those that it may be.
type openAnswer struct {
	probability float64
	wound       float64 // how likely it is wound, if it is this
	mixture     mixture // of its traits, by all that is known
	itself      normal  // the same of those traits that are known of it in stock
}

// next lists the tests that would tell more, the most telling first.
func (w *witness) next(a Answer) []Test {
	answers := w.open(a)
	now := entropy(answers, nil)
	if now < worthless {
		return nil
	}
	var out []Test
	if w.Kind == traits.EitherKind {
		out = append(out, lookTest(answers))
	}
	d := math.Exp(expected(answers, outside))
	gauge := float64(physics.Gauge.Assume(physics.Length(d)).U) / d
	for _, t := range []struct {
		of Telling
		u  vector
	}{
		{Micrometer, vector{outside: gauge}},
		{Clip, vector{weight: clipWeight, stiff: clipStiffness}},
		{Load, vector{weight: loadWeight}},
	} {
		out = append(out, measure(t.of, t.u, answers))
	}
	for i := range out {
		out[i].Open = now
	}
	out = slices.DeleteFunc(out, func(t Test) bool { return t.Gain < worthless })
	slices.SortStableFunc(out, func(x, y Test) int { return cmp.Compare(y.Gain, x.Gain) })
	return out
}

// open lists what it may be, those that hardly count left out.
func (w *witness) open(a Answer) (out []openAnswer) {
	for _, c := range a.Candidates[:min(mostOpen, len(a.Candidates))] {
		s := &w.Strings[c.String]
		kind := cmp.Or(w.Kind, s.Kind)
		itself := w.strings[c.String].given(&w.seen)
		m := mixture{component{itself, 1}}
		if itself.mask != (mask{true, true, true}) {
			m = plausible(kind).given(&w.strings[c.String]).given(&w.seen)
		}
		out = append(out, openAnswer{c.Probability, woundShare(kind, 0.5), m, itself})
	}
	if a.None >= rarest {
		m := plausible(w.Kind).given(&w.seen)
		share := 0.5
		if w.Kind == traits.EitherKind {
			plain, wound := w.density(traits.Plain, w.seen.mask), w.density(traits.Wound, w.seen.mask)
			share = math.Exp(wound - logSum([]float64{plain, wound}))
		}
		out = append(out, openAnswer{a.None, woundShare(w.Kind, share), m, normal{}})
	}
	sum := 0.0
	for _, o := range out {
		sum += o.probability
	}
	for i := range out {
		out[i].probability /= sum
	}
	return out
}

// woundShare is how likely a string of a kind is wound.
func woundShare(k traits.Kind, either float64) float64 {
	switch k {
	case traits.Plain:
		return 0
	case traits.Wound:
		return 1
	}
	return either
}

// entropy is how many bits are open, each answer's probability times its likelihood.
func entropy(answers []openAnswer, likelihood []float64) float64 {
	h, _ := entropyAndMost(answers, likelihood)
	return h
}

func entropyAndMost(answers []openAnswer, likelihood []float64) (h, most float64) {
	sum := 0.0
	p := make([]float64, len(answers))
	for i, a := range answers {
		p[i] = a.probability
		if likelihood != nil {
			p[i] *= likelihood[i]
		}
		sum += p[i]
	}
	for _, v := range p {
		if v /= sum; v > 0 {
			h -= v * math.Log2(v)
			most = max(most, v)
		}
	}
	return h, most
}

// lookTest is that of looking: what it shows is one of two.
func lookTest(answers []openAnswer) Test {
	t := Test{Of: Look, Gain: entropy(answers, nil)}
	for _, wound := range []bool{false, true} {
		l := make([]float64, len(answers))
		p := 0.0
		for i, a := range answers {
			if l[i] = a.wound; !wound {
				l[i] = 1 - a.wound
			}
			p += a.probability * l[i]
		}
		if p == 0 {
			continue
		}
		h, most := entropyAndMost(answers, l)
		t.Gain -= p * h
		if most >= surely {
			t.Settles += p
		}
	}
	return t
}

// measure is a test that measures some traits, with relative standard uncertainties
// above zero: what it may show is drawn from what is known, always by the same numbers.
func measure(of Telling, u vector, answers []openAnswer) Test {
	var x normal
	for i := range u {
		if x.mask[i] = u[i] > 0; x.mask[i] {
			x.cov[i][i] = sq(u[i]) + sq(sharpest)
		}
	}
	type predicted struct {
		triangle
		mean      vector
		logWeight float64
	}
	predictions := make([][]predicted, len(answers))
	mixtures := make([]mixture, len(answers))
	for i := range answers {
		a := &answers[i]
		m := a.mixture
		if a.itself.and(x.mask) == x.mask {
			m = mixture{component{a.itself, 1}}
		}
		mixtures[i] = m
		for _, c := range m {
			predictions[i] = append(predictions[i], predicted{factor(&c.cov, &x.cov, x.mask), c.mean, math.Log(c.weight)})
		}
	}
	r := rand.New(rand.NewPCG(1, 2))
	t := Test{Of: of, Gain: entropy(answers, nil)}
	likelihood := make([]float64, len(answers))
	var logs []float64
	for k := range testDraws {
		i := drawn(answers, func(a openAnswer) float64 { return a.probability }, (float64(k)+r.Float64())/testDraws)
		j := drawn(mixtures[i], func(c component) float64 { return c.weight }, r.Float64())
		shown := predictions[i][j].mean
		for row := range predictions[i][j].n {
			z := r.NormFloat64()
			for below := row; below < predictions[i][j].n; below++ {
				shown[predictions[i][j].at[below]] += predictions[i][j].l[below][row] * z
			}
		}
		most := math.Inf(-1)
		for i, ps := range predictions {
			logs = logs[:0]
			for j := range ps {
				logs = append(logs, ps[j].logWeight+ps[j].logDensity(&shown, &ps[j].mean))
			}
			likelihood[i] = logSum(logs)
			most = max(most, likelihood[i])
		}
		for i := range likelihood {
			likelihood[i] = math.Exp(likelihood[i] - most)
		}
		h, top := entropyAndMost(answers, likelihood)
		t.Gain -= h / testDraws
		if top >= surely {
			t.Settles += 1.0 / testDraws
		}
	}
	return t
}

// drawn is the index that a number from 0 to 1 falls to, by weights that sum to 1.
func drawn[T any](of []T, weight func(T) float64, at float64) int {
	for i, v := range of {
		if at -= weight(v); at < 0 {
			return i
		}
	}
	return len(of) - 1
}

// expected is the mean of a trait over all that it may be.
func expected(answers []openAnswer, trait int) float64 {
	v := 0.0
	for _, a := range answers {
		for _, c := range a.mixture {
			v += a.probability * c.weight * c.mean[trait]
		}
	}
	return v
}
