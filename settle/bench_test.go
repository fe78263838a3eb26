package settle

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

func BenchmarkOf(b *testing.B) {
	for _, n := range []int{31, 1000, 100_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			random := rand.New(rand.NewPCG(1, 2))
			all := series(random, n, 3*24*3600, func(t float64) float64 {
				y := -4 * math.Log1p(t/3600)
				if t > 100_000 {
					y -= 3
				}
				return y
			}, 0.02, 0.1, 0.02)
			for b.Loop() {
				c, err := Of(all, nil)
				if err != nil || n > 31 && len(c.Steps) != 1 {
					b.Fatal(err, len(c.Steps))
				}
				c.Foretell(1, 3600)
			}
			b.ReportMetric(float64(b.Elapsed().Seconds())/float64(b.N), "s/op")
		})
	}
}
