package detect

import (
	"fmt"
	"testing"

	"github.com/mjibson/go-dsp/fft"
)

// BenchmarkTrackerRates pushes 20 ms at a time of a pluck that begins anew every
// 2 s, and of nothing but noise.
func BenchmarkTrackerRates(b *testing.B) {
	for _, rate := range []float64{8000, 44100, 48000, 96000, 192000} {
		for _, hz := range []float64{41.2, 196, 659, 0} {
			name := fmt.Sprintf("%gkHz/%gHz", rate/1000, hz)
			x := whiteNoise(int(2*rate), 1e-4, 1)
			if hz == 0 {
				name = fmt.Sprintf("%gkHz/noise", rate/1000)
			} else {
				tk := plain(hz, rate, 2)
				tk.MaxPartials = 40
				x, _ = rendered(b, tk)
			}
			b.Run(name, func(b *testing.B) {
				t := NewTracker(rate)
				hop := int(0.02 * rate)
				track(t, x, hop)
				i := 0
				b.ReportAllocs()
				for b.Loop() {
					if i+hop > len(x) {
						i = 0
					}
					t.Push(x[i : i+hop])
					for _, _, ok := t.Next(); ok; _, _, ok = t.Next() {
					}
					i += hop
				}
				b.ReportMetric(0.02*float64(b.N)/b.Elapsed().Seconds(), "x_realtime")
			})
		}
	}
}

// BenchmarkLags shows why the tracker sums lag by lag: against the correlation
// through gonum's real transform and through go-dsp's, on the windows that it
// uses, from a young pluck's to a full one's.
func BenchmarkLags(b *testing.B) {
	for _, c := range []struct {
		rate float64
		n    int
	}{{8000, 120}, {8000, 330}, {4000, 640}, {8000, 1280}} {
		x := damped(c.n, c.rate, 200, 1, 1, 0)
		b.Run(fmt.Sprintf("sum/%d", c.n), func(b *testing.B) {
			l := newLags(c.rate)
			hush := make([]float64, len(l.r))
			count := min(longestLag(c.rate), int(windowPart*float64(c.n))) + 1 + interpolated
			for b.Loop() {
				l.correlate(x, hush, count)
			}
		})
		b.Run(fmt.Sprintf("gonum/%d", c.n), func(b *testing.B) {
			a := newAutocorrelator(c.n)
			for b.Loop() {
				a.correlate(x)
			}
		})
		b.Run(fmt.Sprintf("go-dsp/%d", c.n), func(b *testing.B) {
			size := 1
			for size < 2*c.n {
				size *= 2
			}
			padded := make([]float64, size)
			for b.Loop() {
				copy(padded, x)
				coef := fft.FFTReal(padded)
				for i, v := range coef {
					coef[i] = complex(sq(v), 0)
				}
				fft.IFFT(coef)
			}
		})
	}
}
