package trial

import (
	"encoding/json"
	"math"
	"slices"
)

// A Number is a figure that may be missing: NaN, null in JSON.
type Number float64

// MarshalJSON writes null for what is no number.
func (n Number) MarshalJSON() ([]byte, error) {
	if f := float64(n); !math.IsNaN(f) && !math.IsInf(f, 0) {
		return json.Marshal(f)
	}
	return []byte("null"), nil
}

var missing = Number(math.NaN())

// quantile is the q-quantile of v by nearest rank.
func quantile(v []float64, q float64) Number {
	if len(v) == 0 {
		return missing
	}
	s := slices.Sorted(slices.Values(v))
	return Number(s[min(len(s)-1, int(q*float64(len(s))))])
}

// rms is the root of the mean square of v.
func rms(v []float64) Number {
	if len(v) == 0 {
		return missing
	}
	sum := 0.0
	for _, x := range v {
		sum += x * x
	}
	return Number(math.Sqrt(sum / float64(len(v))))
}

// rmsU is the standard uncertainty of rms(v), from the scatter of the squares.
func rmsU(v []float64) Number {
	n := float64(len(v))
	if n < 2 {
		return missing
	}
	mean := float64(rms(v))
	mean *= mean
	if mean == 0 {
		return 0
	}
	s := 0.0
	for _, x := range v {
		s += (x*x - mean) * (x*x - mean)
	}
	return Number(math.Sqrt(s/(n-1)/n) / (2 * math.Sqrt(mean)))
}

// share is k of n in per cent.
func share(k, n int) Number {
	if n == 0 {
		return missing
	}
	return Number(100 * float64(k) / float64(n))
}

func abs(v []float64) []float64 {
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = math.Abs(x)
	}
	return out
}

func mean(v []float64) Number {
	if len(v) == 0 {
		return missing
	}
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return Number(sum / float64(len(v)))
}
