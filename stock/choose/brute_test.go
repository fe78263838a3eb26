package choose

import (
	"flag"
	"math"
	"os"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// check tries a property on as many random cases; PLUCKWEIGH_SETS asks for more.
func check(t *testing.T, usual int, property func(*rapid.T)) {
	t.Helper()
	s := os.Getenv("PLUCKWEIGH_SETS")
	if s == "" {
		s = strconv.Itoa(usual)
	}
	before := flag.Lookup("rapid.checks").Value.String()
	if err := flag.Set("rapid.checks", s); err != nil {
		t.Fatal(err)
	}
	defer flag.Set("rapid.checks", before)
	rapid.Check(t, property)
}

// draws are random numbers that a failing case is made smaller by.
type draws struct{ *rapid.T }

func (d draws) IntN(n int) int   { return rapid.IntRange(0, n-1).Draw(d.T, "n") }
func (d draws) Float64() float64 { return rapid.Float64Range(0, 1).Draw(d.T, "x") }

// randomQuestion is a small one, its limits tight enough to matter.
func randomQuestion(r draws) Question {
	q := Question{Alternatives: r.IntN(4)}
	n := 1 + r.IntN(4)
	for range n {
		p := Position{F0: physics.Frequency(50 * math.Exp2(2*r.Float64())), Length: physics.Stated(physics.Length(0.6+0.3*r.Float64()), 0.5e-3)}
		if r.IntN(4) == 0 {
			p.Kind = traits.Kind(1 + r.IntN(2))
		}
		if r.IntN(4) == 0 {
			p.Slot = Slot{Least: physics.Length(r.Float64() * 0.8e-3), Most: physics.Length(1e-3 + r.Float64()*1e-3)}
		}
		q.Positions = append(q.Positions, p)
	}
	steel, _ := physics.ParseMaterial("steel")
	for i := range 1 + r.IntN(7) {
		s := traits.String{
			Name: strconv.Itoa(i), Left: r.IntN(5) - 1, // −1 for as many as are wanted
			UnitWeight: physics.Stated(physics.UnitWeight(2e-3*math.Exp2(3*r.Float64())), 1e-5),
			Outside:    physics.Stated(physics.Length(0.5e-3+1.5e-3*r.Float64()), 1e-5),
			Kind:       traits.Kind(r.IntN(3)),
		}
		if i > 0 && r.IntN(4) == 0 {
			s.UnitWeight = q.Strings[i-1].UnitWeight // strings alike make ties
		}
		if r.IntN(2) == 0 {
			s.Core = physics.Core{Size: physics.Stated(physics.Length(0.3e-3+0.3e-3*r.Float64()), 1e-6), Of: steel}
		}
		q.Strings = append(q.Strings, s)
	}
	switch r.IntN(4) {
	case 0:
		q.Wish = Even(0, 0)
	case 1:
		q.Wish = Even(physics.Force(60+60*r.Float64()), physics.Force(r.IntN(2)*200))
	default:
		q.Wish = Slope(q.Positions, physics.Force(60+60*r.Float64()), physics.Force(60+60*r.Float64()))
		if r.IntN(3) == 0 {
			q.Wish.Within = physics.Force(20 + 100*r.Float64())
		}
	}
	if r.IntN(4) == 0 {
		q.Wish = q.Wish.Pushed(0.1)
	}
	if r.IntN(2) == 0 {
		q.Limits.Total = physics.Force(float64(n) * (30 + 100*r.Float64()))
	}
	if r.IntN(4) == 0 {
		q.Limits.MostLoad = physics.Fraction(0.2 + 0.7*r.Float64())
	}
	return q
}

// A judged set is what brute force makes of one: the pulls by the checked road of
// physics, the limits by themselves.
type judged struct {
	empty               int
	spread, cost, total float64
	tie                 [2]float64 // the spread to the last bit, by which it is the same as another's
}

// everySet calls f with each way to string the instrument that keeps the limits, that
// of the total excepted.
func everySet(q Question, f func(set []int, j judged)) {
	of := make([][]float64, len(q.Positions)) // what is wished for; NaN where it may not go
	pull := make([][]float64, len(q.Positions))
	for p, pos := range q.Positions {
		for _, s := range q.Strings {
			r, err := PullOf(pos, s)
			if err != nil {
				panic(err)
			}
			v := float64(r.Value)
			pull[p] = append(pull[p], v)
			bad := pos.Kind != 0 && s.Kind != 0 && pos.Kind != s.Kind ||
				s.Outside.Value < pos.Slot.Least || pos.Slot.Most > 0 && s.Outside.Value > pos.Slot.Most
			if q.Limits.MostLoad > 0 && s.Cored() {
				limits, err := physics.Strung{Length: pos.Length, Pull: r, Core: s.Core}.Limits()
				if err == nil && limits[0].Load.Value > q.Limits.MostLoad {
					bad = true
				}
			}
			if q.Wish.Of == Push {
				x := float64(q.Wish.Depth / pos.Length.Value)
				v *= 4 * x
				if s.Cored() {
					d := float64(s.Core.Size.Value)
					v += 8 * math.Pi / 4 * d * d * float64(s.Core.Of.Modulus.Value) * x * x * x
				}
			}
			near := float64(q.Wish.Near)
			if len(q.Wish.Targets) > 0 {
				near = float64(q.Wish.Targets[p])
			}
			if q.Wish.Within > 0 && math.Abs(v-near) > float64(q.Wish.Within) {
				bad = true
			}
			if bad {
				v = math.NaN()
			}
			of[p] = append(of[p], v)
		}
	}
	set := make([]int, len(q.Positions))
	used := make([]int, len(q.Strings))
	var place func(p int, low, high float64, j judged)
	place = func(p int, low, high float64, j judged) {
		if p == len(set) {
			if j.empty < len(set) {
				j.spread = high - low
			}
			f(set, j)
			return
		}
		with := j
		set[p], with.empty = Empty, j.empty+1
		place(p+1, low, high, with)
		for s := range q.Strings {
			v := of[p][s]
			if math.IsNaN(v) || used[s] == q.Strings[s].Left {
				continue
			}
			with := j
			with.total += pull[p][s]
			if len(q.Wish.Targets) > 0 {
				with.cost += math.Pow(v-float64(q.Wish.Targets[p]), 2)
			} else if q.Wish.Near > 0 {
				with.cost += math.Pow(v-float64(q.Wish.Near), 2)
			}
			set[p] = s
			used[s]++
			place(p+1, min(low, v), max(high, v), with)
			used[s]--
		}
	}
	place(0, math.Inf(1), math.Inf(-1), judged{})
}

// code is a number for a set.
func code(set []int) int {
	n := 0
	for _, s := range set {
		n = 16*n + s + 1
	}
	return n
}

// exactly is the spread of sets out of the values that the search has, and what rounding
// takes off it (Møller 1965): a range within another is narrower though it may be by less
// than can be seen.
func exactly(q Question) func(set []int) [2]float64 {
	b := newBench(q)
	of := make([][]float64, len(q.Positions))
	for p := range of {
		for s := range q.Strings {
			of[p] = append(of[p], b.fit(p, s).of)
		}
	}
	return func(set []int) [2]float64 {
		low, high := math.Inf(1), math.Inf(-1)
		for p, s := range set {
			if s != Empty {
				low, high = min(low, of[p][s]), max(high, of[p][s])
			}
		}
		if low > high {
			return [2]float64{}
		}
		spread := high - low
		back := spread - high
		return [2]float64{spread, (high - (spread - back)) - (low + back)}
	}
}

// worth is what the wish minds, as one value beside the empty positions.
func (j judged) worth(q Question) float64 {
	if len(q.Wish.Targets) > 0 {
		return j.cost
	}
	return j.spread
}

// No way to string an instrument is better than the one chosen, nor than the next best
// in their order.
func TestBestIsBest(t *testing.T) {
	limited, unmet := 0, 0
	check(t, 4000, func(t *rapid.T) {
		q := randomQuestion(draws{t})
		full := math.MaxInt // positions that stay empty where all is filled that can be
		everySet(q, func(_ []int, j judged) { full = min(full, j.empty) })
		var all []judged
		at := map[int]judged{}
		tie := exactly(q)
		everySet(q, func(set []int, j judged) {
			j.tie = tie(set)
			if j.empty == full && (q.Limits.Total == 0 || j.total <= float64(q.Limits.Total)) {
				all = append(all, j)
				at[code(set)] = j
			}
		})
		c, err := q.Best()
		if len(all) == 0 {
			if err == nil {
				t.Fatalf("chose %+v where nothing keeps the limits", c.Picks)
			}
			unmet++
			return
		}
		if err != nil {
			t.Fatalf("%v, though %d sets do", err, len(all))
		}
		if q.Limits.Total > 0 && full == 0 {
			limited++
		}
		if c.Gap > 0 {
			t.Errorf("%v is not proved", c.Picks)
		}
		sets := []Set{c.Set}
		for _, a := range c.Alternatives {
			sets = append(sets, a.Set)
		}
		if want := min(1+q.Alternatives, len(all)); len(sets) != want {
			t.Fatalf("%d sets, not %d of %d", len(sets), want, len(all))
		}
		for k, s := range sets {
			var key []int
			for _, p := range s.Picks {
				key = append(key, p.String)
			}
			j, ok := at[code(key)]
			if !ok {
				t.Fatalf("set %v breaks a limit, or comes twice", key)
			}
			delete(at, code(key))
			// As many sets as came before it may be better, and no others.
			better := 0
			for _, other := range all {
				tolerance := 1e-9 * (1 + j.worth(q))
				switch d := other.worth(q) - j.worth(q); {
				case d < -tolerance:
					better++
				case other.tie == j.tie && len(q.Wish.Targets) == 0 && q.Wish.Near > 0 && other.cost < j.cost*(1-1e-9)-1e-9:
					better++
				}
			}
			if better > k {
				t.Fatalf("%d sets are better than %v, chosen as number %d: %+v", better, key, k+1, q)
			}
			// What is said of it is so.
			worth := j.worth(q)
			if n := len(key) - j.empty; len(q.Wish.Targets) > 0 && n > 0 {
				worth = math.Sqrt(worth / float64(n))
			}
			if math.Abs(float64(s.Objective)-worth) > 1e-6 || math.Abs(float64(s.Total.Value)-j.total) > 1e-6 || math.Abs(float64(s.Spread)-j.spread) > 1e-6 {
				t.Fatalf("%v, %v and %v are told of %+v", s.Objective, s.Total.Value, s.Spread, j)
			}
		}
	})
	t.Logf("%d limited in total, %d that cannot be kept", limited, unmet)
	if limited < 10 || unmet < 10 {
		t.Error("the cases do not try the limit of the total")
	}
}
