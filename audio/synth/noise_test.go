package synth

import (
	"math"
	"testing"

	"github.com/mjibson/go-dsp/fft"
)

// bandPower returns the mean power of x between two frequencies.
func bandPower(x []float64, rate, lo, hi float64) float64 {
	var sum float64
	n := float64(len(x))
	z := fft.FFTReal(x)
	for k := 1; k < len(z)/2; k++ {
		if f := float64(k) * rate / n; f >= lo && f < hi {
			sum += 2 * (real(z[k])*real(z[k]) + imag(z[k])*imag(z[k])) / (n * n)
		}
	}
	return sum
}

func TestSignalToNoise(t *testing.T) {
	for _, color := range []Color{White, Pink, Rumble} {
		k := take(guitarA())
		k.Seconds, k.Level, k.HighPass = 4, -6, HighPass{60, 2}
		k.Attack = Attack{0, 0.003} // no part of the signal
		with := k
		with.Noise = []Noise{{Color: color, DB: 23}}
		d := difference(t, k, with)
		_, truth := render(t, with)
		k.Attack = Attack{}
		clean, _ := render(t, k)
		i := k.firstSample(0.1)
		snr := 20 * math.Log10(rms(clean[i:i+48000])/rms(d))
		// Samples of the variance: coloured noise has fewer independent ones.
		tolerance := map[Color]float64{White: 0.05, Pink: 0.5, Rumble: 0.8}[color]
		if math.Abs(snr-23) > tolerance {
			t.Errorf("color %d: %.3f dB, want 23", color, snr)
		}
		if math.Abs(truth.SNRdB-23) > 1e-9 || math.Abs(20*math.Log10(truth.Sigma/rms(d))) > tolerance {
			t.Errorf("color %d: truth states %g dB and sigma %g, measured %g", color, truth.SNRdB, truth.Sigma, rms(d))
		}
		if (color == White) != (truth.White > 0) {
			t.Errorf("color %d: white part %g", color, truth.White)
		}
	}
}

func TestNoiseAlone(t *testing.T) {
	k := take(guitarA())
	k.Plucks = nil
	k.Noise = []Noise{{DB: -50, Reference: FullScale}, {DB: -50, Reference: FullScale}}
	x, truth := render(t, k)
	if got := 20 * math.Log10(rms(x)); math.Abs(got+47) > 0.06 {
		t.Errorf("two noises of -50 dBFS measure %g dBFS", got)
	}
	if len(truth.Plucks) != 0 || truth.SNRdB != 0 {
		t.Errorf("truth of noise: %+v", truth)
	}
}

func TestNoiseColors(t *testing.T) {
	k := take(guitarA())
	k.Plucks, k.Seconds = nil, 1<<19/48000.
	noise := func(c Color) []float64 {
		k.Noise = []Noise{{Color: c, Reference: FullScale}}
		x, _ := render(t, k)
		return x
	}
	white, pink, rumble := noise(White), noise(Pink), noise(Rumble)
	// Shares of the power in octaves, within three times what samples scatter.
	total := math.Log(24000. / 10)
	for lo := 46.875; lo < 24000; lo *= 2 {
		scatter := 3 / math.Sqrt(lo*k.Seconds)
		if got, want := bandPower(white, k.Rate, lo, 2*lo), lo/24000; math.Abs(got/want-1) > scatter {
			t.Errorf("white: %g of the power in the octave above %g Hz, want %g", got, lo, want)
		}
		if got, want := bandPower(pink, k.Rate, lo, 2*lo), math.Ln2/total; math.Abs(got/want-1) > scatter {
			t.Errorf("pink: %g of the power in the octave above %g Hz, want %g", got, lo, want)
		}
	}
	if got := bandPower(pink, k.Rate, 0, 9); got > 1e-3 {
		t.Errorf("pink: %g of the power below 9 Hz", got)
	}
	if got := bandPower(rumble, k.Rate, 4, 40); got < 0.85 {
		t.Errorf("rumble: %g of the power within 4 and 40 Hz", got)
	}
	if got := bandPower(rumble, k.Rate, 120, 24000); got > 1e-3 {
		t.Errorf("rumble: %g of the power above 120 Hz", got)
	}
	// Gaussian: kurtosis 3.
	for name, x := range map[string][]float64{"white": white, "pink": pink} {
		var m2, m4 float64
		for _, v := range x {
			m2, m4 = m2+v*v, m4+v*v*v*v
		}
		if kurt := m4 / m2 / m2 * float64(len(x)); math.Abs(kurt-3) > 0.1 {
			t.Errorf("%s: kurtosis %g", name, kurt)
		}
	}
}
