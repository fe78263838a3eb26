package choose

import "math"

// A price is what an assignment costs: positions left empty before all else.
type price struct {
	empty int
	cost  float64
}

func (p price) plus(q price) price  { return price{p.empty + q.empty, p.cost + q.cost} }
func (p price) minus(q price) price { return price{p.empty - q.empty, p.cost - q.cost} }

func (p price) less(q price) bool {
	return p.empty < q.empty || p.empty == q.empty && p.cost < q.cost
}

// assign gives each position one of the fits listed for it, or leaves it empty where
// that is allowed, no string more often than it is left, at the least price: first
// the number of empty positions, then the sum of weigh over the fits. ok is false
// where there is no way.
//
// scarce is what a copy of a string takes off the others by being used, zero or less: with
// that much more on what each string weighs, and as much off for all its copies, the
// lightest of each position make together what the set does. It is nil where positions stay
// empty for want of strings.
//
// It is the Hungarian method with potentials (Kuhn 1955; Munkres 1957), by shortest
// augmenting paths, positions as rows and copies of strings as columns.
func assign(lists [][]fit, mayEmpty []bool, left func(str int) int, weigh func(fit) float64) (set []fit, scarce map[int]float64, ok bool) {
	n := len(lists)
	c := newColumns(lists, left)
	m := c.copies + n // the last n columns stand for nothing
	prices := make([]price, n*m)
	never := price{math.MaxInt32, 0}
	which := make([]int32, n*m)
	for i := range prices {
		prices[i] = never
	}
	for i, list := range lists {
		for k, f := range list {
			first, count := c.of(f.str)
			for j := first; j < first+count; j++ {
				prices[i*m+j], which[i*m+j] = price{0, weigh(f)}, int32(k)
			}
		}
		if mayEmpty[i] {
			prices[i*m+c.copies+i], which[i*m+c.copies+i] = price{1, 0}, empty
		}
	}
	rowOf, off := hungarian(n, m, prices)
	set = make([]fit, n)
	for j, i := range rowOf {
		if i < 0 {
			continue
		}
		if prices[i*m+j] == never {
			return nil, nil, false
		}
		if k := which[i*m+j]; k == empty {
			set[i] = fit{str: empty}
		} else {
			set[i] = lists[i][k]
		}
	}
	return set, c.scarce(off), true
}

// scarce is what the potentials of the columns say of each string.
func (c columns) scarce(off []price) map[int]float64 {
	out := map[int]float64{}
	for str, first := range c.first {
		if off[first].empty != 0 {
			return nil
		}
		if off[first].cost < 0 && c.count[str] > 0 {
			out[str] = off[first].cost
		}
	}
	return out
}

// columns are the copies of the strings that are listed.
type columns struct {
	first, count map[int]int
	copies       int
}

func newColumns(lists [][]fit, left func(int) int) columns {
	c := columns{map[int]int{}, map[int]int{}, 0}
	var order []int
	for _, list := range lists {
		for _, f := range list {
			if c.count[f.str] == 0 {
				order = append(order, f.str)
			}
			c.count[f.str]++ // more copies than positions that list it are of no use
		}
	}
	for _, s := range order {
		c.count[s] = min(c.count[s], left(s))
		c.first[s] = c.copies
		c.copies += c.count[s]
	}
	return c
}

func (c columns) of(str int) (first, count int) { return c.first[str], c.count[str] }

// hungarian assigns each of n rows one of m ≥ n columns at the least sum of prices,
// which are in rows; it returns each column's row, -1 for none, and its potential.
func hungarian(n, m int, prices []price) (rowOf []int, v []price) {
	u := make([]price, n)
	v = make([]price, m)
	rowOf = make([]int, m)
	for j := range rowOf {
		rowOf[j] = -1
	}
	way := make([]int, m)
	slack := make([]price, m)
	used := make([]bool, m)
	for start := range n {
		for j := range m {
			slack[j], used[j] = price{math.MaxInt, 0}, false
		}
		at, from := start, -1 // the row reached, and the column it was reached by
		for {
			delta, next := price{math.MaxInt, 0}, -1
			for j := range m {
				if used[j] {
					continue
				}
				if d := prices[at*m+j].minus(u[at]).minus(v[j]); d.less(slack[j]) {
					slack[j], way[j] = d, from
				}
				if slack[j].less(delta) {
					delta, next = slack[j], j
				}
			}
			u[start] = u[start].plus(delta)
			for j := range m {
				if used[j] {
					u[rowOf[j]] = u[rowOf[j]].plus(delta)
					v[j] = v[j].minus(delta)
				} else {
					slack[j] = slack[j].minus(delta)
				}
			}
			used[next] = true
			from = next
			if rowOf[next] < 0 {
				break
			}
			at = rowOf[next]
		}
		for j := from; j >= 0; {
			before := way[j]
			if before < 0 {
				rowOf[j] = start
			} else {
				rowOf[j] = rowOf[before]
			}
			j = before
		}
	}
	return rowOf, v
}
