package synth

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
)

// worst returns the largest difference between the rendered first pluck of a
// take and the slow obvious way, over the take's peak.
func worst(t testing.TB, k Take) float64 {
	t.Helper()
	x, truth := render(t, k)
	var most float64
	for i := 0; i < len(x); i += 29 { // no divisor of a block
		most = max(most, math.Abs(x[i]-slow(truth.Plucks[0], k.Rate, i)))
	}
	return most / peak(x)
}

func TestFastAgainstSlow(t *testing.T) {
	base := take(bassE())
	cases := map[string]func(*Take){
		"straight": func(k *Take) { k.String.AxialStiffness = 0 },
		"undamped": func(k *Take) { k.String = undamped(FromPitch(41.2, 0)) },
		"glide":    func(k *Take) { k.Plucks[0].Height = 0.004 },
		"heavy glide, quick decay": func(k *Take) {
			k.Plucks[0].GlideCents = 100
			k.String.Decay.Base = 25
		},
		"falling":         func(k *Take) { k.Plucks[0].GlideCents = -20 },
		"ramp up":         func(k *Take) { k.Ramp = 200 },
		"ramp and glide":  func(k *Take) { k.Ramp, k.Plucks[0].GlideCents = -600, 10 },
		"ramp = 2α":       func(k *Take) { k.Ramp, k.String.Decay = 2*1200/math.Ln2, Decay{Base: 1} },
		"no decay, glide": func(k *Take) { k.String.Decay, k.Plucks[0].GlideCents = Decay{}, 10 },
		"pairs": func(k *Take) {
			k.String.Second = Polarization{Share: 0.6, Cents: 0.7, Decay: 1.8}
		},
		"long":          func(k *Take) { k.Seconds = 5 },
		"low rate":      func(k *Take) { k.Rate = 2000 },
		"high rate":     func(k *Take) { k.Rate, k.Seconds = 384000, 0.3 },
		"odd rate":      func(k *Take) { k.Rate, k.Plucks[0].At = 44100.7, 0.0123456789 },
		"very low":      func(k *Take) { k.String = FromPitch(20, 5e-4) },
		"very high":     func(k *Take) { k.String = FromPitch(1500, 1e-3) },
		"random phases": func(k *Take) { k.RandomPhases = true },
		"uneven":        func(k *Take) { k.String.Uneven = 3 },
	}
	for name, change := range cases {
		k := base
		k.Plucks = append([]Pluck(nil), base.Plucks...)
		change(&k)
		d := worst(t, k)
		t.Logf("%-26s %.1e", name, d)
		if !(d < 1e-10) {
			t.Errorf("%s: fast and slow differ by %.1e of the peak", name, d)
		}
	}
}

// TestOneMode is TestFastAgainstSlow where nothing hides an error at the top of
// the spectrum.
func TestOneMode(t *testing.T) {
	const rate = 48000
	m := mode{2 * math.Pi * 15000, 3, 1, 0.4}
	for name, w := range map[string]warp{
		"straight": newWarp(0, 0, 3, 0),
		"glide":    newWarp(0, 0.02, 3, 0),
		"ramp":     newWarp(0, 0, 3, 100),
	} {
		x := make([]float64, 5000)
		addModes(x, rate, 1e-6, []mode{m}, w)
		for i, got := range x {
			at := 1e-6 + float64(i)/rate
			want := math.Exp(-3*at) * math.Cos(m.omega*w.at(at)+0.4)
			if math.Abs(got-want) > 1e-11 {
				t.Fatalf("%s: sample %d is %.1e off", name, i, got-want)
			}
		}
	}
}

func FuzzFastAgainstSlow(f *testing.F) {
	for seed := range uint64(8) {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, seed uint64) {
		r := rand.New(rand.NewPCG(seed, 0))
		between := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, r.Float64()) }
		s := FromPitch(between(20, 1500), between(1e-6, 1e-2))
		s.Decay = Decay{between(0.1, 30), between(0.1, 10)}
		k := take(s)
		k.Rate, k.Seconds, k.MaxPartials = between(4000, 200000), 0.15, 40
		k.Plucks[0].At = 0.05 * r.Float64()
		if r.IntN(2) == 0 {
			k.Plucks[0].GlideCents = 100 * (r.Float64() - 0.3)
		}
		if r.IntN(2) == 0 {
			k.Ramp = 2000 * (r.Float64() - 0.5)
		}
		if d := worst(t, k); !(d < 1e-10) {
			t.Errorf("fast and slow differ by %.1e of the peak: %+v", d, k)
		}
	})
}

func TestWarpIsTheIntegralOfPitch(t *testing.T) {
	for name, w := range map[string]warp{
		"rest":       newWarp(0.3, 0, 1, 0),
		"glide":      newWarp(0.3, 0.005, 1.3, 0),
		"ramp":       newWarp(0.3, 0, 1, -70),
		"both":       newWarp(0.3, 0.05, 20, 300),
		"no decay":   newWarp(0.3, 0.01, 0, 0),
		"resonant":   newWarp(0, 0.01, 1, 2*1200/math.Ln2),
		"slow decay": newWarp(0, 0.01, 1e-9, 0),
	} {
		for _, end := range []float64{1e-4, 0.1, 1, 3} {
			want := quad.Fixed(w.rate, 0, end, 200, quad.Legendre{}, 0)
			if got := w.at(end); math.Abs(got/want-1) > 1e-12 {
				t.Errorf("%s: W(%g) is %.15g, integrated %.15g", name, end, got, want)
			}
			for x := 0.0; x <= 1; x += 0.05 {
				if w.rate(x*end) > w.fastest(end)*(1+1e-14) {
					t.Errorf("%s: rate at %g exceeds the bound to %g", name, x*end, end)
				}
			}
		}
	}
}

func TestPitchAtOnset(t *testing.T) {
	k := take(bassE())
	k.Plucks[0].GlideCents, k.Ramp = 12, 50
	_, truth := render(t, k)
	p := truth.Plucks[0]
	if got, want := 1200*math.Log2(p.Pitch(0)), 12+50*p.At; math.Abs(got-want) > 1e-9 {
		t.Errorf("pitch at the onset is %g cents above rest, want %g", got, want)
	}
	alpha := k.String.Decay.Rate(truth.F1)
	if math.Abs(p.GlideDecay-2*alpha) > 1e-12 {
		t.Errorf("glide falls at %g/s, want twice the first partial's %g/s", p.GlideDecay, alpha)
	}
}
