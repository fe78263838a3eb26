package settle

import (
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"
)

// An invented is a pitch of which all is known.
type invented struct {
	law       Law
	span      float64
	a, b, tau float64
	u, noise  float64
	at, size  []float64 // of steps
}

func invent(random *rand.Rand, law Law, steps bool) invented {
	x := invented{law: law, a: 20 * random.Float64(), b: 2 + 8*random.Float64(), span: 3600 * math.Exp(2*random.Float64()-1)}
	x.tau = x.span * math.Exp(-3*random.Float64())
	if random.Float64() < 0.5 {
		x.b = -x.b
	}
	if law == Linear {
		x.b /= 2 * x.span
	}
	x.noise = 0.02 * math.Exp(3*random.Float64())
	x.u = x.noise * random.Float64()
	if steps {
		for _, from := range []float64{0.25, 0.6} {
			x.at = append(x.at, x.span*(from+0.15*random.Float64()))
			x.size = append(x.size, x.noise*(12+20*random.Float64()))
		}
		x.size[1] = -x.size[1]
	}
	return x
}

// smooth is the pitch without steps.
func (x invented) smooth(t float64) float64 { return x.a + x.b*x.law.shape(t, x.tau) }

func (x invented) pitch(t float64) float64 {
	y := x.smooth(t)
	for i, at := range x.at {
		if t >= at {
			y += x.size[i]
		}
	}
	return y
}

// A tally counts how often what was said was so.
type tally struct{ said, so int }

func (c *tally) add(so bool) {
	c.said++
	if so {
		c.so++
	}
}

func (c *tally) share() float64 { return float64(c.so) / float64(c.said) }

func (e Estimate) holds(truth float64) bool { return e.Low <= truth && truth <= e.High }

// Hundreds of series of every law, with noise in part told by u, readings that are
// something else, and steps: what is said to hold in 95 % of cases does.
func TestCoverage(t *testing.T) {
	many := 80
	if s := os.Getenv("PLUCKWEIGH_SERIES"); s != "" {
		many, _ = strconv.Atoi(s)
	}
	all := map[string]*tally{}
	for _, law := range laws {
		random := rand.New(rand.NewPCG(21, uint64(law)))
		seen := map[string]*tally{}
		count := func(what string, so bool) {
			for _, m := range []map[string]*tally{seen, all} {
				if m[what] == nil {
					m[what] = &tally{}
				}
				m[what].add(so)
			}
		}
		falseSteps := 0
		for i := range many {
			x := invent(random, law, i%2 == 1)
			c, err := Of(series(random, 31, x.span, x.pitch, x.u, math.Sqrt(x.noise*x.noise-x.u*x.u), 0.03), nil)
			if err != nil {
				t.Fatal(err)
			}
			count("steps found", len(c.Steps) >= len(x.at))
			count("law", c.Laws[0].Law == law)
			if len(c.Steps) != len(x.at) {
				falseSteps += max(0, len(c.Steps)-len(x.at))
				continue
			}
			for i, s := range c.Steps {
				count("step between its readings", s.After < x.at[i] && x.at[i] <= s.Before)
				count("size of a step", s.Size.holds(x.size[i]))
			}
			count("pitch now", c.At(x.span).holds(x.pitch(x.span)))
			count("pitch once as much later", c.At(2*x.span).holds(x.pitch(2*x.span)))
			count("drift", c.Drift(x.span).holds(x.b*law.rate(x.span, x.tau)))
			for _, l := range c.Laws {
				if l.Law != law || l.Weight < 0.01 {
					continue
				}
				count("a", l.A.holds(x.a))
				if law.sloped() {
					count("b", l.B.holds(x.b))
				}
				if law.curved() {
					count("tau", l.Tau.holds(x.tau))
				}
			}
		}
		if falseSteps > many/50 {
			t.Errorf("%v: %d steps that are none in %d series", law, falseSteps, many)
		}
		t.Logf("%-22v %d steps that are none", law, falseSteps)
		for what, c := range seen {
			t.Logf("%-22v %-28s %5.1f %% of %d", law, what, 100*c.share(), c.said)
		}
	}
	for what, least := range map[string]float64{"steps found": 0.9, "law": 0.8, "step between its readings": 0.9} {
		if all[what].share() < least {
			t.Errorf("%s: in %.1f %% of %d, not %.0f %%", what, 100*all[what].share(), all[what].said, 100*least)
		}
		delete(all, what)
	}
	for what, c := range all {
		t.Logf("%-22s %-28s %5.1f %% of %d", "all laws", what, 100*c.share(), c.said)
		chance := 3 * math.Sqrt(0.95*0.05/float64(c.said))
		if c.share() < 0.95-chance-0.01 { // asymptotic as they are, a point less may be
			t.Errorf("%s: said to be so in 95 %% of cases, and is in %.1f %% of %d", what, 100*c.share(), c.said)
		}
	}
}

// What is said of the time to come is so as often as is said: whether the pitch will
// stay within a tolerance, and when.
func TestForecastIsKept(t *testing.T) {
	many := 70
	if s := os.Getenv("PLUCKWEIGH_SERIES"); s != "" {
		many, _ = strconv.Atoi(s)
	}
	var yes, no, wait tally
	cannot := 0
	sum, square := 0.0, 0.0 // of what happens less its probability
	n := 0
	for _, law := range laws {
		random := rand.New(rand.NewPCG(22, uint64(law)))
		for range many {
			x := invent(random, law, false)
			c, err := Of(series(random, 31, x.span, x.pitch, x.u, math.Sqrt(x.noise*x.noise-x.u*x.u), 0.03), nil)
			if err != nil {
				t.Fatal(err)
			}
			move := func(wait float64) float64 { return math.Abs(x.smooth(2*x.span+wait) - x.smooth(x.span+wait)) }
			tolerance := math.Exp(3*random.Float64()-1.5) * max(move(0), 2*x.noise)
			f := c.Foretell(tolerance, x.span)
			holds := math.Abs(x.smooth(2*x.span)-x.smooth(x.span)+math.Sqrt(x.noise*x.noise-x.u*x.u)*random.NormFloat64()) <= tolerance
			switch f.Verdict {
			case Yes:
				yes.add(holds)
			case NotYet:
				no.add(!holds)
				if f.WaitTold {
					truth := x.span * law.wait(1, 1, x.tau/x.span, x.b, tolerance)
					wait.add(f.Wait.holds(truth))
				}
			default:
				cannot++
			}
			d := -f.Holds
			if holds {
				d++
			}
			sum, square, n = sum+d, square+f.Holds*(1-f.Holds), n+1
		}
	}
	t.Logf("yes %d of %d, not yet %d of %d, cannot tell %d; wait within its 95 %% %d of %d", yes.so, yes.said, no.so, no.said, cannot, wait.so, wait.said)
	t.Logf("happens more often than is said by %.3f ± %.3f", sum/float64(n), math.Sqrt(square)/float64(n))
	if yes.share() < Sure || no.share() < 0.93 || wait.share() < 0.88 {
		t.Error("what is said is not so often enough")
	}
	if yes.said < n/4 || no.said < n/10 || wait.said < n/20 || cannot > n/2 {
		t.Error("it is not said often enough")
	}
	if math.Abs(sum) > 4*math.Sqrt(square) {
		t.Error("the probabilities are biased")
	}
}
