package choose

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// bigQuestion is a twelve-string instrument and a large stock.
func bigQuestion(strings int) Question {
	r := rand.New(rand.NewPCG(9, uint64(strings)))
	q := Question{}
	for i := range 12 {
		q.Positions = append(q.Positions, Position{
			F0:     physics.Frequency(30 * math.Exp2(float64(i)*5/12)),
			Length: physics.Stated(physics.Length(0.95-0.03*float64(i)), 0.5e-3),
		})
	}
	steel, _ := physics.ParseMaterial("steel")
	for i := range strings {
		w := 1.5e-4 * math.Exp(6*r.Float64())
		q.Strings = append(q.Strings, traits.String{
			Name: fmt.Sprint(i), Left: 1 + r.IntN(2),
			UnitWeight: physics.Stated(physics.UnitWeight(w), physics.UnitWeight(w/500)),
			Outside:    physics.Stated(physics.Length(math.Sqrt(w/5500)), 1e-5),
			Core:       physics.Core{Size: physics.Stated[physics.Length](0.4e-3, 1e-6), Of: steel},
		})
	}
	return q
}

// The cost of choosing for twelve positions as the stock grows, for wishes with limits
// and without, and with three sets besides.
func BenchmarkBest(b *testing.B) {
	line := bigQuestion(0).Positions
	wishes := []struct {
		name  string
		wish  Wish
		limit Limits
		next  int
	}{
		{"slope", Slope(line, 180, 120), Limits{}, 0},
		{"slope+3", Slope(line, 180, 120), Limits{}, 3},
		{"slope,limits", Slope(line, 180, 120), Limits{Total: 1780, MostLoad: 0.8}, 0},
		{"slope,limits+3", Slope(line, 180, 120), Limits{Total: 1780, MostLoad: 0.8}, 3},
		{"even", Even(150, 30), Limits{}, 0},
		{"even+3", Even(150, 30), Limits{}, 3},
		{"even,any", Even(0, 0), Limits{}, 0},
		{"even,limits", Even(150, 30), Limits{Total: 1700, MostLoad: 0.8}, 0},
		{"even,limits+3", Even(150, 30), Limits{Total: 1700, MostLoad: 0.8}, 3},
		{"feel,limits", Even(0, 0).Pushed(3e-3), Limits{Total: 1500, MostLoad: 0.8}, 0},
		{"feel,limits+3", Even(0, 0).Pushed(3e-3), Limits{Total: 1500, MostLoad: 0.8}, 3},
		{"slope,tight+3", Slope(line, 180, 120), Limits{Total: 1400, MostLoad: 0.8}, 3},
	}
	for _, n := range []int{100, 1000, 10_000, 100_000} {
		q := bigQuestion(n)
		for _, w := range wishes {
			b.Run(fmt.Sprintf("%s/%d", w.name, n), func(b *testing.B) {
				q.Wish, q.Limits, q.Alternatives = w.wish, w.limit, w.next
				for b.Loop() {
					c, err := q.Best()
					if err != nil {
						b.Fatal(err)
					}
					b.ReportMetric(c.Gap, "gap")
				}
			})
		}
	}
}

// The cost of a limit of the total where positions want the same strings, of which there is
// one each.
func BenchmarkContested(b *testing.B) {
	for _, n := range []int{30, 100, 1000} {
		for _, among := range []int{2, 4} {
			b.Run(fmt.Sprintf("%d alike/%d", among, n), func(b *testing.B) {
				q := bigQuestion(n)
				for i := range q.Positions {
					q.Positions[i] = q.Positions[i/among*among]
				}
				for i := range q.Strings {
					q.Strings[i].Left = 1
				}
				q.Wish = Slope(q.Positions, 180, 120)
				c, err := q.Best()
				if err != nil {
					b.Fatal(err)
				}
				q.Limits.Total = 0.98 * c.Total.Value
				for b.Loop() {
					if c, err = q.Best(); err != nil {
						b.Fatal(err)
					}
					b.ReportMetric(c.Gap, "gap")
				}
			})
		}
	}
}
