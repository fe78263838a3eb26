package main

import (
	"fmt"
	"math"
	"testing"

	"pluckweigh/stock/identify"
)

// An answered is what the command said of a string.
type answered struct {
	is     int // of the make, -1 for none
	best   int // likewise
	said   float64
	copied bool // it is not the very string in stock
	heard  bool
}

// tallied is how often answers were right.
type tallied struct {
	refused                  int
	very, copies             score
	others                   [2]score    // asked for among the very strings, and among copies
	claimed                  int         // of the others, taken for one in stock with 95 % or more
	n, said, rightly         [10]float64 // by what was said
	variance, total, overall float64
}

type score struct{ right, of int }

func (c *score) add(right bool) {
	c.of++
	if right {
		c.right++
	}
}

func (c score) String() string {
	return fmt.Sprintf("%d of %d, %.1f %%", c.right, c.of, 100*float64(c.right)/float64(c.of))
}

// add counts an answer. One in five strings is of no stock, as is taken beforehand.
func (c *tallied) add(a answered) {
	switch {
	case !a.heard:
		c.refused++
		return
	case a.is < 0:
		if a.copied {
			c.others[1].add(a.best < 0)
		} else {
			c.others[0].add(a.best < 0)
		}
		if a.best >= 0 && a.said >= identify.Surely {
			c.claimed++
		}
	case a.copied:
		c.copies.add(a.best == a.is)
	default:
		c.very.add(a.best == a.is)
	}
	bin := min(int(a.said*10), 9)
	c.n[bin]++
	c.said[bin] += a.said
	c.total++
	c.variance += a.said * (1 - a.said)
	c.overall += a.said
	if a.best == a.is {
		c.rightly[bin]++
		c.overall--
	}
}

// judge holds them to the goals, give or take what so few of them scatter by.
func (c *tallied) judge(t *testing.T) {
	t.Logf("%d refused; the right string first in %v of the very strings, %v of copies; a string of no stock recognised in %v, in %v where copies are asked for, in %d taken for one in stock with %g %% or more",
		c.refused, c.very, c.copies, c.others[0], c.others[1], c.claimed, 100*identify.Surely)
	reliability := 0.0
	for i, n := range c.n {
		if n > 0 {
			t.Logf("  said %.3f, right in %.3f of %.0f", c.said[i]/n, c.rightly[i]/n, n)
			reliability += math.Abs(c.said[i]-c.rightly[i]) / c.total
		}
	}
	t.Logf("reliability, mean |said - right|: %.2f %%; said %+.2f %% more than right as a whole", 100*reliability, 100*c.overall/c.total)
	below := func(what string, n score, goal float64) {
		if miss := 3 * math.Sqrt(goal*(1-goal)/float64(n.of)); float64(n.right)/float64(n.of) < goal-miss {
			t.Errorf("%s in %v", what, n)
		}
	}
	below("the right string is first", c.very, 0.984)
	below("the right string, a copy, is first", c.copies, 0.95)
	below("a string of no stock is recognised", c.others[0], 0.95)
	below("a string of no stock, not a copy of one, is recognised", c.others[1], 0.93) // none tells more than 95 % (TestLimitOfStrangers)
	if reliability > 0.03+3*math.Sqrt(c.variance)/c.total {
		t.Errorf("what is said is off by %.2f %%", 100*reliability)
	}
	if c.refused*20 > c.very.of+c.copies.of+c.others[0].of+c.others[1].of {
		t.Errorf("%d are refused", c.refused)
	}
}
