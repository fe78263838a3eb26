package synth

import (
	"math"
	"slices"
	"testing"
)

func TestPickupsAgree(t *testing.T) {
	// Velocity is the derivative of displacement, and the force on the bridge is
	// what the string near it displaces, over the distance: in samples, not modes.
	k := take(FromPitch(110, 1e-4))
	k.String.Decay = Decay{Base: 150} // so much that it shows in phase and amplitude
	k.MaxPartials, k.Rate, k.Plucks[0].At = 12, 192000, 0
	k.Pickup = Pickup{Velocity, 0.13}
	v, vt := render(t, k)
	k.Pickup.Senses = Displacement
	d, dt := render(t, k)
	// Back to metres: displacement starts from the deflection at the pickup.
	var start float64
	for i, a := range k.Plucks[0].Deflection(k.String, 12) {
		start += a * math.Sin(float64(i+1)*math.Pi*0.13)
	}
	metres := start / d[0]
	slope := func(i int) float64 { return (8*(d[i+1]-d[i-1]) - (d[i+2] - d[i-2])) / 12 * k.Rate * metres }
	unit := slope(500) / v[500] // m/s
	var most float64
	for i := 2; i < 10000; i++ {
		most = max(most, math.Abs(slope(i)-v[i]*unit))
	}
	if most /= peak(v) * unit; most > 1e-5 {
		t.Errorf("velocity is %.1e of its peak off the slope of displacement", most)
	}
	// The deflection again, from the truth: what is at rest has no phase but the damping's.
	for i, a := range k.Plucks[0].Deflection(k.String, 12) {
		q := dt.Plucks[0].Partials[i]
		got, want := q.Amp*metres*math.Cos(q.Phase), a*math.Sin(float64(i+1)*math.Pi*0.13)
		if math.Abs(got-want) > 1e-9*start {
			t.Errorf("partial %d starts at %g m, want %g", i+1, got, want)
		}
		if v := vt.Plucks[0].Partials[i].Amp * math.Cos(vt.Plucks[0].Partials[i].Phase); math.Abs(v) > 1e-12 {
			t.Errorf("partial %d starts at velocity %g", i+1, v)
		}
	}
	k.Pickup.Senses = BridgeForce
	_, ft := render(t, k)
	for i, q := range ft.Plucks[0].Partials {
		// A sawtooth's 1/n, but for where the string was plucked; stiffness cancels.
		n := float64(i + 1)
		want := math.Abs(math.Sin(n*math.Pi*0.17) / n / math.Sin(math.Pi*0.17))
		first := ft.Plucks[0].Partials[0]
		if got := math.Abs(q.Amp * math.Cos(q.Phase) / first.Amp / math.Cos(first.Phase)); math.Abs(got-want) > 1e-9 {
			t.Errorf("force of partial %d is %g of the first, want %g", i+1, got, want)
		}
	}
}

func TestReleasedFromRest(t *testing.T) {
	for at := range 3 {
		k := take(guitarA())
		k.String.AxialStiffness, k.Plucks[0].At = 0, float64(at)*0.1
		x, _ := render(t, k)
		i := k.firstSample(k.Plucks[0].At)
		if x[i] > 1e-9 {
			t.Errorf("velocity at the onset is %g", x[i])
		}
	}
}

func TestPairsBeat(t *testing.T) {
	k := take(undamped(FromPitch(110, 0)))
	k.MaxPartials, k.Seconds, k.Plucks[0].At = 1, 4, 0
	k.String.Second = Polarization{Share: 1, Cents: 10}
	x, truth := render(t, k)
	f := truth.Plucks[0].Partials
	if len(f) != 2 || math.Abs(cents(f[1].Freq, f[0].Freq)-10) > 1e-9 {
		t.Fatalf("want a pair 10 cents apart, got %+v", f)
	}
	// Equal pairs vanish half-way through a beat and are back at its end.
	beat := 1 / (f[1].Freq - f[0].Freq)
	window := func(at float64) float64 {
		i := int(at * k.Rate)
		return peak(x[i : i+int(k.Rate/110)])
	}
	if quiet, loud := window(beat/2-0.004), window(beat-0.004); quiet > 0.03 || loud < 0.97 {
		t.Errorf("level %g half-way through the beat, %g at its end", quiet, loud)
	}
}

func TestOmitAndMost(t *testing.T) {
	k := take(guitarA())
	k.MaxPartials, k.Omit = 5, []int{1, 4}
	_, truth := render(t, k)
	var got []int
	for _, q := range truth.Plucks[0].Partials {
		got = append(got, q.N)
	}
	if !slices.Equal(got, []int{2, 3, 5}) {
		t.Errorf("partials %v, want 2, 3, 5", got)
	}
}

func TestNothingAboveNyquist(t *testing.T) {
	k := take(guitarA())
	k.Rate, k.Plucks[0].GlideCents = 8000, 100
	_, truth := render(t, k)
	p := truth.Plucks[0]
	last := p.Partials[len(p.Partials)-1]
	if top := last.Freq * p.Pitch(0); top >= 4000 || k.String.Partial(last.N+1)*p.Pitch(0) < 4000 {
		t.Errorf("partial %d reaches %g Hz at a rate of 8000", last.N, top)
	}
	k.String.Second, k.String.Uneven = Polarization{Share: 0.5, Cents: 300}, 50
	_, truth = render(t, k)
	for _, q := range truth.Plucks[0].Partials {
		if top := q.Freq * truth.Plucks[0].Pitch(0); top >= 4000 {
			t.Errorf("partial %d reaches %g Hz at a rate of 8000", q.N, top)
		}
	}
}
