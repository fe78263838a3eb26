package identify

import (
	"cmp"
	"math"
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
// weighed on a balance that suits it, weights that were weighed. A micrometer is as
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
)

// An open answer is one of those that it may be.
type openAnswer struct {
	probability float64
	wound       float64 // how likely it is wound, if it is this
	mixture     mixture // of its traits, by all that is known
	itself      normal  // the same of those traits that are known of it in stock
	several     bool    // it stands for more strings that are such
}

// next lists the tests that would tell more, the most telling first.
func (w *witness) next(a Answer, p []float64) []Test {
	return w.telling(w.open(a, p), w.Kind == traits.EitherKind)
}

// nextOfWire lists those that would tell of what wire a plain string is: not such as leave
// nearly all open, since there are wires that weigh the same.
func (w *witness) nextOfWire(wires []Wire) []Test {
	var answers []openAnswer
	for _, x := range wires {
		answers = append(answers, openAnswer{probability: x.Probability, mixture: mixture{component{x.is, 1}}, itself: x.is})
	}
	return slices.DeleteFunc(w.telling(answers, false), func(t Test) bool { return t.Gain < t.Open/10 })
}

// telling lists those tests that would tell answers apart, with a look at the string or
// without.
func (w *witness) telling(answers []openAnswer, look bool) []Test {
	if len(answers) == 0 {
		return nil
	}
	now := entropy(answers, nil)
	if now < worthless {
		return nil
	}
	var out []Test
	if look {
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
		if !w.knows(t.u) {
			out = append(out, newTrial(t.u, answers).test(t.of))
		}
	}
	for i := range out {
		out[i].Open = now
	}
	out = slices.DeleteFunc(out, func(t Test) bool { return t.Gain < worthless })
	slices.SortStableFunc(out, func(x, y Test) int { return cmp.Compare(y.Gain, x.Gain) })
	return out
}

// knows tells whether all that a test would measure has been measured as well already. To
// do the same again would repeat its errors.
func (w *witness) knows(u vector) bool {
	const asWell = 1.5
	for i := range u {
		if u[i] > 0 && !(i == stiff && w.Rough.U > 0) && !(w.seen.has(i) && w.seen.cov[i][i] <= sq(asWell*u[i])+sq(sharpest)) {
			return false
		}
	}
	return true
}

// open lists what it may be: the likeliest strings each by itself, and of the rest some that
// each stand for several.
func (w *witness) open(a Answer, p []float64) (out []openAnswer) {
	listed := a.Candidates[:min(mostOpen, len(a.Candidates))]
	rest := 1 - a.None
	for _, c := range listed {
		out = append(out, w.openString(c))
		rest -= c.Probability
	}
	if rest > rarest {
		others := slices.Clone(p[:len(w.Strings)])
		for _, c := range listed {
			others[c.String] = 0
		}
		sum, taken := 0.0, 0
		for i, pi := range others {
			sum += pi
			for at := rest / mostOpen; sum > (float64(taken)+0.5)*at && taken < mostOpen; taken++ {
				o := w.openString(Candidate{String: i, Probability: at})
				o.several = true
				out = append(out, o)
			}
		}
	}
	if a.None >= rarest {
		m, _ := w.heard(plausible(w.Kind).given(&w.seen, negligible))
		out = append(out, openAnswer{probability: a.None, wound: w.woundShare(w.Kind, &normal{}), mixture: m})
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

// negligible is a part of the likeliest component that would hardly move an expectation.
const negligible = 1e-3

func (w *witness) openString(c Candidate) openAnswer {
	kind := cmp.Or(w.Kind, w.Strings[c.String].Kind)
	known := w.known(c.String)
	itself := known.given(&w.seen)
	m := mixture{component{itself, 1}}
	if itself.mask != allTraits {
		m, _ = w.heard(plausible(kind).given(&known, negligible).given(&w.seen, negligible))
	}
	return openAnswer{probability: c.Probability, wound: w.woundShare(kind, &known), mixture: m, itself: itself}
}

// entropy is how many bits are open, each answer's probability times its likelihood.
func entropy(answers []openAnswer, likelihood []float64) float64 {
	h, _ := entropyAndMost(answers, likelihood)
	return h
}

// entropyAndMost is also the probability of the likeliest single answer.
func entropyAndMost(answers []openAnswer, likelihood []float64) (h, most float64) {
	sum, of := 0.0, 0.0
	for i, a := range answers {
		p := a.probability
		if likelihood != nil {
			p *= likelihood[i]
		}
		if p > 0 {
			sum += p
			of += p * math.Log2(p)
			if !a.several {
				most = max(most, p)
			}
		}
	}
	return math.Log2(sum) - of/sum, most / sum
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
		if most >= Surely {
			t.Settles += p
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
