package audio_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pluckweigh/audio"
)

// TestCancelled: channels that cancel in their mean are said to, and no others.
func TestCancelled(t *testing.T) {
	const rate, half = 48000, 24000
	r := rand.New(rand.NewPCG(5, 6))
	noise := func(level float64) float64 { return level * r.NormFloat64() }
	tone := func(hz float64, i int) float64 {
		return 0.3 * math.Sin(2*math.Pi*hz*float64(i)/rate) * math.Exp(-float64(i)/half)
	}
	frame := func(x ...float64) []float64 { return x }
	whole := func(n int64) []audio.Flaw { return []audio.Flaw{{Kind: audio.Cancelled, At: 0, Len: n}} }
	tests := []struct {
		name  string
		n     int
		at    func(i int) []float64
		flaws []audio.Flaw
	}{
		{"opposite", 2 * half, func(i int) []float64 { return frame(tone(55, i), -tone(55, i)) }, whole(2 * half)},
		{"opposite, low", 2 * half, func(i int) []float64 { return frame(tone(20, i), -tone(20, i)) }, whole(2 * half)},
		{"opposite, uneven", 2 * half, func(i int) []float64 { return frame(tone(55, i), -0.7*tone(55, i)) }, whole(2 * half)},
		{"opposite, with noise", half, func(i int) []float64 {
			return frame(tone(55, i)+noise(0.02), -tone(55, i)+noise(0.02))
		}, whole(half)},
		{"opposite, with an offset", half, func(i int) []float64 { return frame(0.9+0.01*tone(55, i), 0.9-0.01*tone(55, i)) }, whole(half)},
		{"opposite, some samples bad", half, func(i int) []float64 {
			if i == 1000 {
				return frame(math.NaN(), 0)
			}
			return frame(tone(55, i), -tone(55, i))
		}, []audio.Flaw{{audio.Cancelled, 0, half}, {audio.NotFinite, 1000, 1}}},
		{"opposite at first", 2 * half, func(i int) []float64 {
			if i < half {
				return frame(tone(55, i), -tone(55, i))
			}
			return frame(tone(55, i), tone(55, i))
		}, whole(half)},
		{"opposite for 50 ms", rate / 20, func(i int) []float64 { return frame(tone(55, i), -tone(55, i)) }, whole(rate / 20)},
		{"opposite beside silence", half, func(i int) []float64 { return frame(tone(55, i), 0, -tone(55, i)) }, whole(half)},

		{"equal", half, func(i int) []float64 { return frame(tone(55, i), tone(55, i)) }, nil},
		{"a quarter apart", half, func(i int) []float64 { return frame(tone(80, i), tone(80, i+rate/320)) }, nil},
		{"opposite, very uneven", half, func(i int) []float64 { return frame(tone(55, i), -0.4*tone(55, i)) }, nil},
		{"one silent", half, func(i int) []float64 { return frame(tone(55, i), 0) }, nil},
		{"one of many", half, func(i int) []float64 { return append(make([]float64, 31), tone(55, i)) }, nil},
		{"noise", half, func(i int) []float64 { return frame(noise(0.1), noise(0.1)) }, nil},
		{"silence", half, func(i int) []float64 { return frame(0, 0) }, nil},
		{"opposite offsets", half, func(i int) []float64 { return frame(0.3, -0.3) }, nil},
		{"mono", half, func(i int) []float64 { return frame(tone(55, i)) }, nil},
		{"a handful of samples", rate / 100, func(i int) []float64 { return frame(tone(55, i), -tone(55, i)) }, nil},
	}
	f := formNamed("f32")
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var x []float64
			for i := range tt.n {
				x = append(x, tt.at(i)...)
			}
			channels := len(x) / tt.n
			file := riff(f.fmtChunk(channels, rate), chunk("data", f.data(x)))
			s := openBytes(t, file, audio.Options{})
			all(t, s)
			if got := s.Flaws(); !slices.Equal(got, tt.flaws) {
				t.Errorf("flaws are %v, want %v", got, tt.flaws)
			}
			// One channel cancels with nothing.
			s = openBytes(t, file, audio.Options{Channel: channels})
			all(t, s)
			if got := s.Flaws(); len(got) > 0 {
				t.Errorf("one channel: flaws are %v", got)
			}
		})
	}
}
