package synth

import (
	"math"
	"slices"
	"testing"

	"github.com/mjibson/go-dsp/fft"
)

// TestFrequenciesByFFT finds the partials of an undamped take by the project's
// reference FFT: phase advance between two windowed spectra.
func TestFrequenciesByFFT(t *testing.T) {
	k := take(undamped(FromPitch(55, 2e-4)))
	k.MaxPartials, k.Seconds, k.Plucks[0].At = 20, 4, 0
	x, _ := render(t, k)
	const n, hop = 1 << 17, 1 << 15
	spectrum := func(from int) []complex128 {
		w := make([]float64, n)
		for i := range w {
			w[i] = blackmanHarris(i, n) * x[from+i]
		}
		return fft.FFTReal(w)
	}
	a, b := spectrum(0), spectrum(hop)
	var most float64
	for i := 1; i <= k.MaxPartials; i++ {
		f := k.String.Partial(i)
		bin := int(math.Round(f * n / k.Rate))
		z := b[bin] / a[bin]
		turns := math.Atan2(imag(z), real(z)) / (2 * math.Pi)
		cycles := f * hop / k.Rate
		turns += math.Round(cycles - turns)
		most = max(most, math.Abs(cents(turns*k.Rate/hop, f)))
	}
	t.Logf("largest difference %.1e cent", most)
	if most > 1e-4 {
		t.Errorf("a partial is %.1e cent off the law", most)
	}
}

func TestHighPass(t *testing.T) {
	s := undamped(FromPitch(30.87, 0))
	for _, c := range []struct {
		corner float64
		order  int
		n      int
		loss   float64 // dB
	}{
		{80, 2, 1, 16.6}, // second-order 80 Hz at 30.87 Hz and its second partial (derived)
		{80, 2, 2, 5.8},
		{s.Partial(1), 1, 1, 3.0103},
		{s.Partial(2), 2, 2, 3.0103},
		{s.Partial(3), 3, 3, 3.0103},
		{s.Partial(4), 4, 4, 3.0103},
		{s.Partial(2), 3, 1, 10 * math.Log10(1+math.Pow(2, 6))},
	} {
		k := take(s)
		k.MaxPartials, k.Seconds, k.Plucks[0].At = 60, 2.5, 0
		plain, _ := render(t, k)
		k.HighPass = HighPass{c.corner, c.order}
		x, truth := render(t, k)
		settled := int(0.5 * k.Rate)
		_, ref, _ := tone(plain[settled:], k.Rate, s.Partial(59)) // far above the corner
		_, a, _ := tone(plain[settled:], k.Rate, s.Partial(c.n))
		_, refHP, _ := tone(x[settled:], k.Rate, s.Partial(59))
		_, aHP, _ := tone(x[settled:], k.Rate, s.Partial(c.n))
		loss := -20 * math.Log10(aHP/refHP*ref/a)
		if math.Abs(loss-c.loss) > 0.05 {
			t.Errorf("order %d at %g Hz: partial %d lost %.3f dB, want %.3f", c.order, c.corner, c.n, loss, c.loss)
		}
		if got := truth.Plucks[0].Partials[c.n-1].Amp; math.Abs(got/aHP-1) > 1e-5 {
			t.Errorf("truth states amplitude %g behind the filter, measured %g", got, aHP)
		}
	}
}

func TestTruthBehindHighPass(t *testing.T) {
	k := take(guitarA())
	k.String.AxialStiffness, k.HighPass = 0, HighPass{100, 4}
	x, truth := render(t, k)
	for i := k.firstSample(k.Plucks[0].At + 0.15); i < len(x); i += 7 {
		if want := slow(truth.Plucks[0], k.Rate, i); math.Abs(x[i]-want) > 1e-9 {
			t.Fatalf("sample %d is %g, the truth says %g", i, x[i], want)
		}
	}
}

func TestHum(t *testing.T) {
	k := take(guitarA())
	with := k
	with.Hum = Hum{Freq: 50, Level: -40, Harmonics: 5}
	d := difference(t, k, with)
	for n := 1; n <= 5; n++ {
		f, a, _ := tone(d, k.Rate, 50*float64(n))
		if math.Abs(f-50*float64(n)) > 1e-4 || math.Abs(20*math.Log10(a*float64(n))+40) > 0.01 {
			t.Errorf("harmonic %d: %g Hz, amplitude %g", n, f, a)
		}
	}
}

func TestPlucksInOneTake(t *testing.T) {
	k := take(guitarA())
	k.Plucks = []Pluck{
		{At: 0.1, Height: 0.002, Point: 0.17},
		{At: 0.5003, Height: 0.001, Point: 0.3},
	}
	k.Damp = 0.9
	x, truth := render(t, k)
	for i, p := range truth.Plucks {
		from, to := k.firstSample(p.At), k.firstSample(p.Until)
		for n := from; n < to; n += 7 {
			if want := slow(p, k.Rate, n); math.Abs(x[n]-want) > 1e-10 {
				t.Fatalf("pluck %d, sample %d is %g, the truth says %g", i+1, n, x[n], want)
			}
		}
	}
	if got, want := truth.Plucks[0].Until, 0.4953; math.Abs(got-want) > 1e-12 {
		t.Errorf("the first pluck is stopped at %g s, want %g", got, want)
	}
	if truth.Plucks[1].Until != 0.9 {
		t.Errorf("the second pluck is damped at %g s, want 0.9", truth.Plucks[1].Until)
	}
	if peak(x[:k.firstSample(0.1)]) != 0 {
		t.Error("sound before the first pluck")
	}
	for i := k.firstSample(0.9); i < len(x); i += 7 {
		want := slow(truth.Plucks[1], k.Rate, i) * math.Exp(-60*(float64(i)/k.Rate-0.9))
		if math.Abs(x[i]-want) > 1e-10 {
			t.Fatalf("under the hand, sample %d is %g, want %g", i, x[i], want)
		}
	}
}

func TestLevels(t *testing.T) {
	k := take(guitarA())
	k.Level, k.HighPass = -12, HighPass{80, 2}
	x, _ := render(t, k)
	if got := 20 * math.Log10(peak(x)); math.Abs(got+12) > 1e-9 {
		t.Errorf("peak at %g dBFS, want -12", got)
	}
	with := k
	with.Neighbors = []Neighbor{{String: FromPitch(146.8, 5e-5), Pluck: Pluck{At: 0.2, Height: 0.001, Point: 0.2}, Level: -20}}
	d := difference(t, k, with)
	if got := 20 * math.Log10(peak(d)); math.Abs(got+32) > 1e-6 {
		t.Errorf("the neighbour peaks at %g dBFS, want -32", got)
	}
	if f, _, _ := tone(d[24000:], k.Rate, 146.8); math.Abs(cents(f, with.Neighbors[0].String.Partial(1))) > 0.1 {
		t.Errorf("the neighbour sounds at %g Hz", f)
	}
	with = k
	with.HighPass, k.HighPass = HighPass{}, HighPass{}
	with.Attack = Attack{Level: -6, Seconds: 0.004}
	d = difference(t, k, with)
	i := k.firstSample(0.1)
	// ∫exp(−2t/τ) = τ/2
	want := math.Pow(10, -18./20) * math.Sqrt(0.002*k.Rate)
	if got := rms(d[i:]) * math.Sqrt(float64(len(d)-i)); math.Abs(got/want-1) > 0.2 || peak(d[:i]) > 0 {
		t.Errorf("the attack's energy is %g, want %g", got*got, want*want)
	}
}

func TestClipAndBits(t *testing.T) {
	k := take(guitarA())
	plain, _ := render(t, k)
	k.Clip = 0.4
	x, _ := render(t, k)
	for i, v := range x {
		if v != max(-0.4, min(plain[i], 0.4)) {
			t.Fatalf("sample %d is %g, unclipped %g", i, v, plain[i])
		}
	}
	k.Clip, k.Bits = 0, 16
	x, _ = render(t, k)
	for i, v := range x {
		n := v * 32768
		if n != math.Trunc(n) || n > 32767 || n < -32768 || math.Abs(v-plain[i]) > 0.5/32768 && plain[i] < 32767./32768 {
			t.Fatalf("sample %d is %g, unquantised %g", i, v, plain[i])
		}
	}
}

func TestSeed(t *testing.T) {
	k := take(guitarA())
	k.Noise = []Noise{{DB: 30}, {Color: Pink, DB: 40}}
	k.RandomPhases, k.Attack = true, Attack{-10, 0.003}
	a, _ := render(t, k)
	b, _ := render(t, k)
	if !slices.Equal(a, b) {
		t.Error("equal takes differ")
	}
	other := k
	other.Seed++
	if c, _ := render(t, other); slices.Equal(a, c) {
		t.Error("another seed gives the same take")
	}
	// Hum changes nothing else.
	hum := k
	hum.Hum = Hum{50, -40, 3}
	quiet, quietHum := take(guitarA()), take(guitarA())
	quietHum.Hum = hum.Hum
	d, want := difference(t, k, hum), difference(t, quiet, quietHum)
	for i := range d {
		if math.Abs(d[i]-want[i]) > 1e-12 {
			t.Fatal("hum changes the rest of the take")
		}
	}
}
