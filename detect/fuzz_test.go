package detect

import (
	"encoding/binary"
	"math"
	"testing"
)

// samplesFrom turns bytes into samples. The first says how: as 64-bit floats of
// any size, or as steps, impulses, decaying tones and noise, a few bytes each, so
// that a fuzzer can make sounds that get far.
func samplesFrom(data []byte, limit int) []float64 {
	if len(data) == 0 {
		return nil
	}
	kind, data := data[0], data[1:]
	var x []float64
	if kind%2 == 0 {
		for ; len(data) >= 8 && len(x) < limit; data = data[8:] {
			if v := math.Float64frombits(binary.LittleEndian.Uint64(data)); !math.IsNaN(v) && !math.IsInf(v, 0) {
				x = append(x, v)
			}
		}
		if kind%4 == 2 { // fill the time
			for i := 0; len(x) > 0 && len(x) < limit; i++ {
				x = append(x, x[i])
			}
		}
		return x
	}
	x = make([]float64, limit)
	for ; len(data) >= 5; data = data[5:] {
		from := int(data[1]) * limit / 256
		size := math.Pow(10, float64(int8(data[2]))/10)
		switch hz, fall := 5*math.Exp2(float64(data[3])/25), float64(data[4])/8; data[0] % 4 {
		case 0:
			for i := from; i < limit; i++ {
				x[i] += size
			}
		case 1:
			x[min(from, limit-1)] += size
		case 2:
			for i, v := range damped(limit-from, 8000, hz, fall, size, 0) {
				x[from+i] += v
			}
		case 3:
			for i, v := range whiteNoise(limit-from, size, uint64(data[3])) {
				x[from+i] += v
			}
		}
	}
	for i, v := range x {
		if math.IsInf(v, 0) || math.IsNaN(v) {
			x[i] = 0
		}
	}
	return x
}

// FuzzAnalyze: whatever finite samples and rate, no panic, no number that is none,
// and trust only in a positive, finite f0 with an uncertainty.
func FuzzAnalyze(f *testing.F) {
	f.Add([]byte{1, 2, 50, 246, 100, 20, 3, 0, 206, 1, 0}, 8000.0, 0.0) // a tone in noise
	f.Add([]byte{1, 2, 50, 246, 110, 20, 2, 50, 240, 135, 20, 2, 50, 236, 150, 30}, 8000.0, 110.0)
	f.Add([]byte{1, 0, 80, 0, 0, 0, 1, 120, 5, 0, 0}, 11025.0, 0.0) // step and impulse
	f.Add([]byte{2, 0, 0, 0, 0, 0, 0, 240, 63, 0, 0, 0, 0, 0, 0, 240, 191}, 48000.0, 0.0)
	f.Add([]byte{}, 0.0, 0.0)
	f.Fuzz(func(t *testing.T, data []byte, rate, near float64) {
		take, err := Analyze(samplesFrom(data, 4000), rate, Options{Near: near})
		if err != nil {
			return
		}
		checkTake(t, take)
	})
}

// FuzzAnalyzeLoaded is FuzzAnalyze for a string with a mass, wherever.
func FuzzAnalyzeLoaded(f *testing.F) {
	f.Add([]byte{1, 2, 50, 246, 100, 20, 3, 0, 206, 1, 0}, 8000.0, 0.0, 0.0, 0.0)
	f.Add([]byte{1, 2, 50, 246, 104, 20, 2, 50, 246, 133, 20, 2, 50, 240, 145, 20, 2, 50, 236, 158, 30}, 8000.0, 0.0, 0.001, 0.0)
	f.Add([]byte{1, 2, 50, 246, 104, 20, 2, 50, 246, 133, 20, 2, 50, 240, 145, 20}, 8000.0, 0.1, 0.01, 110.0)
	f.Add([]byte{}, 8000.0, 0.6, 0.0, -1.0)
	f.Fuzz(func(t *testing.T, data []byte, rate, off, uOff, bare float64) {
		m := Mass{Off: Value{off, uOff}}
		if bare != 0 {
			m.Bare = &Reading{F0: Value{bare, 1e-4 * math.Abs(bare)}, B: Value{1e-4, 1e-5}, BKnown: true}
		}
		take, err := AnalyzeLoaded(samplesFrom(data, 4000), rate, m, Options{})
		if err != nil {
			return
		}
		checkTake(t, take)
		if r := take.Reading; r != nil && !(r.Load != nil && r.Load.Ratio.V > 0 && r.Load.Ratio.U > 0 && math.Abs(r.Load.Correlation) <= 1) {
			t.Errorf("a reading of a loaded string with %+v", r.Load)
		}
	})
}
