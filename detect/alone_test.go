package detect

import (
	"math"
	"testing"
)

// TestAlone: of two modes that glide, damped each in its way, the second is taken
// out and the first is left, whole.
func TestAlone(t *testing.T) {
	const rate, n, from = 8000.0, 12000, 500
	gl := glide{g: 8 * cent, alpha: 1.3}
	render := func(m mode) []float64 {
		x := make([]float64, from+n+100)
		for i := range x {
			at := float64(i-from) / rate
			turns := m.hz * (at + gl.ahead(at))
			x[i] = math.Exp(-m.alpha*at) * (real(m.amp)*math.Cos(2*math.Pi*turns) - imag(m.amp)*math.Sin(2*math.Pi*turns))
		}
		return x
	}
	f := &fit{law: law{440, 0}, gl: gl, fr: &frame{rate: rate, n: n}}
	l := &line{n: 1, hz: 440, alpha: 2, amp: complex(0.5, 0.2), used: true}
	l.twin.on, l.twin.d, l.twin.alpha, l.twin.amp = true, 0.7, 3, complex(-0.1, 0.2)
	quick := &line{n: 2, hz: 880, alpha: 3, amp: 0.2, used: true}
	quick.twin.on, quick.twin.d, quick.twin.alpha, quick.twin.amp = true, -1.1, 299, 0.3 // dies at once
	f.lines = []*line{l, quick}
	if got := len(f.seconds()); got != 2 {
		t.Fatalf("%d second modes", got)
	}
	first := plus(render(l.modes()[0]), render(quick.modes()[0]))
	x := plus(first, plus(render(l.modes()[1]), render(quick.modes()[1])))
	before := append([]float64(nil), x...)
	f.sound = excerpt{x, from, rate}
	y := f.alone()
	for i := range x {
		if x[i] != before[i] {
			t.Fatal("the sound itself was changed")
		}
		want := x[i]
		if i >= from && i < from+n {
			want = first[i]
		}
		if d := math.Abs(y[i] - want); d > 1e-4 || math.IsNaN(y[i]) {
			t.Fatalf("sample %d: off by %g", i-from, y[i]-want)
		}
	}
}
