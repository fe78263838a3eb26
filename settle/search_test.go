package settle

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// levelCost is the least that readings of one level can cost, the slow way: between two
// neighbouring places where a reading begins or ceases to be something else the cost is
// a parabola.
func levelCost(y, v []float64, ceiling float64) float64 {
	var edges []float64
	for i := range y {
		reach := math.Sqrt(ceiling * v[i])
		edges = append(edges, y[i]-reach, y[i]+reach)
	}
	slices.Sort(edges)
	least := ceiling * float64(len(y))
	for k := range len(edges) - 1 {
		middle := (edges[k] + edges[k+1]) / 2
		sum, weight := 0.0, 0.0
		for i := range y {
			if (y[i]-middle)*(y[i]-middle) < ceiling*v[i] {
				sum, weight = sum+y[i]/v[i], weight+1/v[i]
			}
		}
		level := middle
		if weight > 0 {
			level = min(max(sum/weight, edges[k]), edges[k+1])
		}
		cost := 0.0
		for i := range y {
			cost += min((y[i]-level)*(y[i]-level)/v[i], ceiling)
		}
		least = min(least, cost)
	}
	return least
}

// The search is exact: no way to cut the series at all costs less.
func TestStepwiseIsBest(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	cutUp := 0
	for range 2000 {
		n := 1 + random.IntN(12)
		y, v := make([]float64, n), make([]float64, n)
		level := 0.0
		for i := range y {
			if random.Float64() < 0.2 {
				level += 8 * random.NormFloat64()
			}
			y[i], v[i] = level+random.NormFloat64(), math.Exp(random.NormFloat64()/2)
			if random.Float64() < 0.1 {
				y[i] += 50 * random.NormFloat64()
			}
		}
		const ceiling = 9
		penalty := 2 + 10*random.Float64()
		cost := func(begins []int) float64 {
			sum := -penalty
			for i, from := range begins {
				to := n
				if i+1 < len(begins) {
					to = begins[i+1]
				}
				sum += penalty + levelCost(y[from:to], v[from:to], ceiling)
			}
			return sum
		}
		least := math.Inf(1)
		for set := range 1 << (n - 1) { // every way to cut
			begins := []int{0}
			for i := 1; i < n; i++ {
				if set>>(i-1)&1 == 1 {
					begins = append(begins, i)
				}
			}
			least = min(least, cost(begins))
		}
		got := stepwise(y, v, ceiling, penalty)
		if got[0] != 0 || !slices.IsSorted(got) {
			t.Fatalf("begins at %v", got)
		}
		if c := cost(got); c > least+1e-6 {
			t.Fatalf("cut at %v costs %v, and %v is enough: y %v v %v", got, c, least, y, v)
		}
		cutUp += len(got) - 1
	}
	if cutUp < 1000 {
		t.Errorf("only %d cuts were looked at", cutUp)
	}
}
