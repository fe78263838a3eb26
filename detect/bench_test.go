package detect

import (
	"fmt"
	"math"
	"testing"

	"github.com/mjibson/go-dsp/fft"
	"gonum.org/v1/gonum/dsp/fourier"

	"pluckweigh/audio/synth"
)

// benchTake is 3 s at 48 kHz of one pluck.
func benchTake(b *testing.B, hz float64) []float64 {
	tk := plain(hz, 48000, 3)
	tk.Plucks[0].GlideCents = 3
	tk.String.Second = synth.Polarization{Share: 0.3, Cents: 0.8}
	x, _ := rendered(b, tk)
	return x
}

// BenchmarkAnalyze measures one pluck of a bass's E and a guitar's G string.
func BenchmarkAnalyze(b *testing.B) {
	for _, c := range []struct {
		name string
		hz   float64
	}{{"bass", 41.2}, {"guitar", 196}} {
		b.Run(c.name, func(b *testing.B) {
			x := benchTake(b, c.hz)
			b.ReportAllocs()
			for b.Loop() {
				if take, err := Analyze(x, 48000, Options{}); err != nil || take.Reading == nil {
					b.Fatal(err, take.Plucks)
				}
			}
			b.ReportMetric(3*float64(b.N)/b.Elapsed().Seconds(), "x_realtime")
		})
	}
}

// BenchmarkFFT shows why transforms go through gonum's real plan: the sizes are
// those of the search (powers of two) and of the fit's windows
// (products of 2, 3 and 5), in ns a sample. gonum's radix-2 route takes powers of
// two only, complex and in place.
func BenchmarkFFT(b *testing.B) {
	for _, n := range []int{1024, 16384, 32768, 8640, 32400, 96000} {
		x := whiteNoise(n, 1, 1)
		perSample := func(b *testing.B) {
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/sample")
		}
		b.Run(fmt.Sprintf("gonum-real/%d", n), func(b *testing.B) {
			plan, dst := fourier.NewFFT(n), make([]complex128, n/2+1)
			b.ReportAllocs()
			for b.Loop() {
				plan.Coefficients(dst, x)
			}
			perSample(b)
		})
		b.Run(fmt.Sprintf("go-dsp/%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				fft.FFTReal(x)
			}
			perSample(b)
		})
		if n&(n-1) != 0 {
			continue
		}
		b.Run(fmt.Sprintf("gonum-radix2/%d", n), func(b *testing.B) {
			buf := make([]complex128, n)
			b.ReportAllocs()
			for b.Loop() {
				for i, v := range x {
					buf[i] = complex(v, 0)
				}
				fourier.CoefficientsRadix2(buf)
			}
			perSample(b)
		})
	}
}

// BenchmarkSubtractAll takes 40 lines out of 40 spans: what the fit does most.
func BenchmarkSubtractAll(b *testing.B) {
	const n, rate = 57600, 24000.0
	fr := blankFrame(n, rate)
	var lines []*line
	for k := 1; k <= 40; k++ {
		lines = append(lines, &line{n: k, hz: law{82.4, 8e-5}.hz(k), alpha: 1.5, amp: complex(0.1/float64(k), 0), used: true})
	}
	fr.place(lines, 82.4)
	fr.setSpans(lines)
	b.ReportAllocs()
	for b.Loop() {
		fr.subtractAll(lines, nil, true)
	}
}

// BenchmarkUnglide resamples as many samples as a window of 2 s holds.
func BenchmarkUnglide(b *testing.B) {
	x := whiteNoise(50000, 1, 1)
	dst := make([]float64, 48000)
	for b.Loop() {
		unglide(dst, x, 100, 24000, glide{g: 0.003, alpha: 1.5})
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(dst)), "ns/sample")
}

// TestTransformsAgree: the libraries that the benchmark compares do the same.
func TestTransformsAgree(t *testing.T) {
	for _, n := range []int{1024, 8640} {
		x := whiteNoise(n, 1, 1)
		a, b := fourier.NewFFT(n).Coefficients(nil, x), fft.FFTReal(x)
		for k := range a {
			if math.Sqrt(sq(a[k]-b[k])) > 1e-10*float64(n) {
				t.Fatalf("%d points, bin %d: gonum %v, go-dsp %v", n, k, a[k], b[k])
			}
		}
	}
}
