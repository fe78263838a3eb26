package detect

import (
	"cmp"
	"math"
	"slices"

	"github.com/mjibson/go-dsp/window"
	"gonum.org/v1/gonum/dsp/fourier"
)

// A peak is a local maximum of a Hann-windowed spectrum.
type peak struct {
	hz    float64
	u     float64 // Hz, rough standard uncertainty of its place
	db    float64 // level, dB re full scale amplitude
	snrDB float64 // over the noise floor around it
}

// A spectrum is the power of a Hann-windowed stretch of sound, zero-padded by
// two or more, with its noise floor and peaks.
type spectrum struct {
	binHz float64 // spacing of the bins
	resHz float64 // 1/duration, the resolution before the window's widening
	power []float64
	floor []float64 // expected noise power, same bins
	peaks []peak    // by rising frequency

	loudest float64 // dB, of the peaks
}

// hann is the raised-cosine window of n points.
func hann(n int) []float64 { return window.Hann(n) }

// newSpectrum analyses x, which it leaves alone, up to maxHz. quiet is what was
// heard before the pluck, nil if nothing was.
func newSpectrum(x []float64, rate, maxHz float64, quiet *background) *spectrum {
	n := len(x)
	size := 1
	for size < 2*n {
		size *= 2
	}
	buf := make([]float64, size)
	mean := 0.0
	for _, v := range x {
		mean += v
	}
	mean /= float64(n)
	for i, w := range hann(n) {
		buf[i] = (x[i] - mean) * w
	}
	coef := fourier.NewFFT(size).Coefficients(nil, buf)
	s := &spectrum{binHz: rate / float64(size), resHz: rate / float64(n)}
	top := min(len(coef), int(maxHz/s.binHz)+2)
	s.power = make([]float64, top)
	scale := 16 / (float64(n) * float64(n)) // a sinusoid of amplitude A peaks at A²
	for i, c := range coef[:top] {
		s.power[i] = scale * (real(c)*real(c) + imag(c)*imag(c))
	}
	s.setFloor()
	quiet.raise(s.floor, s.binHz, s.resHz)
	s.findPeaks(float64(size) / float64(n))
	return s
}

// setFloor takes the noise around each bin from a low quantile of the power in
// some hundred hertz around it: partials fill less than two thirds of that.
// For noise the power is exponentially distributed: quantile p of mean·(-ln(1-p)).
func (s *spectrum) setFloor() {
	const p = 0.35
	s.floor = make([]float64, len(s.power))
	step := max(1, int(20/s.binHz))
	var at []int
	var val []float64
	var buf []float64
	for c := 0; c < len(s.power)+step; c += step {
		c := min(c, len(s.power)-1)
		// Low down noise is steep: look less far there.
		half := int(min(150, max(30, 0.6*float64(c)*s.binHz)) / s.binHz)
		lo, hi := max(c-half, 0), min(c+half, len(s.power))
		buf = buf[:0]
		stride := max(1, (hi-lo)/200)
		for i := lo; i < hi; i += stride {
			buf = append(buf, s.power[i])
		}
		at = append(at, c)
		val = append(val, smallest(buf, int(p*float64(len(buf))))/-math.Log(1-p)+1e-30)
	}
	for j := 1; j < len(at); j++ {
		a, b := at[j-1], at[j]
		for i := a; i <= b && b > a; i++ {
			w := float64(i-a) / float64(b-a)
			s.floor[i] = val[j-1]*(1-w) + val[j]*w
		}
	}
}

// smallest is the k-th smallest value of v, from 0, which it puts into another order
// (Hoare's selection: sorting all would take four times as long).
func smallest(v []float64, k int) float64 {
	for lo, hi := 0, len(v)-1; lo < hi; {
		pivot := v[(lo+hi)/2]
		i, j := lo, hi
		for i <= j {
			for v[i] < pivot {
				i++
			}
			for v[j] > pivot {
				j--
			}
			if i <= j {
				v[i], v[j] = v[j], v[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return v[k]
		}
	}
	return v[k]
}

const peakSNRdB = 11 // a noise bin exceeds this once in 3e5

// findPeaks lists the local maxima that stand out of the noise and out of the
// side lobes of stronger ones. pad is the zero-padding factor.
func (s *spectrum) findPeaks(pad float64) {
	limit := math.Pow(10, peakSNRdB/10.)
	var found []int
	for i := 2; i+2 < len(s.power); i++ {
		p := s.power[i]
		if p > s.power[i-1] && p >= s.power[i+1] && p > limit*s.floor[i] && float64(i)*s.binHz > 15 {
			found = append(found, i)
		}
	}
	// Strongest first, so that a peak is judged against all that could mask it.
	slices.SortFunc(found, func(a, b int) int { return cmp.Compare(s.power[b], s.power[a]) })
	var kept []int
	strongest := 0.0
	for _, i := range found {
		p := s.power[i]
		strongest = max(strongest, p)
		if p < strongest*1e-9 {
			break
		}
		masked := false
		for _, k := range kept {
			d := math.Abs(float64(i-k)) / pad // in bins of the unpadded transform
			if p < s.power[k]*hannSkirt(d) {
				masked = true
				break
			}
		}
		if !masked {
			kept = append(kept, i)
		}
	}
	slices.Sort(kept)
	for _, i := range kept {
		s.peaks = append(s.peaks, s.measure(i))
	}
	s.loudest = decibel(strongest)
}

// hannSkirt bounds the power of a Hann window's side lobes d bins from a line's
// centre, with a margin of 14 dB for decay: the lobes go as 1/(d(d²-1)).
func hannSkirt(d float64) float64 {
	if d < 1.8 {
		return 1
	}
	a := 1 / (math.Pi * d * (d*d - 1))
	return min(1, 6.3*a*a*4)
}

// measure interpolates a peak by a parabola through the logarithms of three
// bins, which for a padded Hann window is good to about 1 % of a bin.
func (s *spectrum) measure(i int) peak {
	a, b, c := math.Log(s.power[i-1]+1e-300), math.Log(s.power[i]+1e-300), math.Log(s.power[i+1]+1e-300)
	d := min(max(vertex(a, b, c), -0.5), 0.5)
	snr := s.power[i] / s.floor[i]
	return peak{
		hz: (float64(i) + d) * s.binHz,
		// Hann-window bound for a line in noise, plus the interpolation's own error.
		u:     s.resHz * math.Hypot(0.7/math.Sqrt(snr), 0.02),
		db:    10 * math.Log10(s.power[i]),
		snrDB: 10 * math.Log10(snr),
	}
}

// loud lists the peaks within so many dB of the loudest.
func (s *spectrum) loud(within float64) []peak {
	var out []peak
	for _, p := range s.peaks {
		if p.db > s.loudest-within {
			out = append(out, p)
		}
	}
	return out
}

// vertex is where, in steps from the middle one of three equally spaced values,
// the parabola through them has its top; 0 where it has none.
func vertex(a, b, c float64) float64 {
	if den := a - 2*b + c; den < 0 {
		return 0.5 * (a - c) / den
	}
	return 0
}
