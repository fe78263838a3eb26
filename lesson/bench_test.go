package lesson

import (
	"math/rand/v2"
	"testing"
)

// A class of 100 seats with ten points each, judged anew as each point comes.
func BenchmarkJudgeClass(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	l, err := Named("length")
	if err != nil {
		b.Fatal(err)
	}
	var points []Point
	for seat := range 100 {
		for range 10 {
			at := 0.3 + 0.35*r.Float64()
			points = append(points, Point{X: []Value{off(r, at, 5e-4, 1)}, Y: Value{V: 50 / at, U: 0.01}, Group: string(rune('A' + seat))})
		}
	}
	for b.Loop() {
		if o := l.Judge(points, nil); o.Used != 1000 {
			b.Fatal(o.Say)
		}
	}
}
