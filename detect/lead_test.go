package detect

import (
	"math"
	"math/cmplx"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"

	"pluckweigh/audio/synth"
)

// TestLeading holds the turn of a gliding partial against the textbook phase of a
// high-pass of one pole, arctan(corner/f), by differences.
func TestLeading(t *testing.T) {
	phase := func(hz float64) float64 { return math.Atan2(leadCorner, hz) }
	for _, hz := range []float64{20, 99, 100, 350, 5000} {
		const h = 1e-4
		want := (phase(hz*math.Exp(h)) - phase(hz*math.Exp(-h))) / (2 * h)
		near(t, "turn over the logarithm of the frequency", leading(hz).far, want, 1e-7)
	}
}

// turning is the positive-frequency half of the transform at bin k of modes whose phase a
// lead turns as the glide at which the frame stands dies, summed sample by sample.
func turning(fr *frame, ms []mode, by lead, k int) (sum complex128) {
	gl := fr.now
	gl.lead = by
	for _, m := range ms {
		turned := gl.turned(m.hz)
		for i := range fr.n {
			t := float64(i) / fr.rate
			runs := m.hz*t - float64(k)*float64(i)/float64(fr.n)
			sum += 0.5 * m.amp * cmplx.Rect(math.Exp(-m.alpha*t), 2*math.Pi*math.Mod(runs, 1)+turned*math.Exp(-2*gl.alpha*t))
		}
	}
	return sum
}

// TestLeadColumns holds the columns of the lead, of one mode and of two, against the central
// difference of the spectrum summed sample by sample.
func TestLeadColumns(t *testing.T) {
	fr := blankFrame(2400, 12000)
	fr.now = glide{g: 0.01, alpha: 1.4}
	one := mode{243.3, 6, cmplx.Rect(0.4, 1.1)}
	two := mode{243.4, 7, cmplx.Rect(0.2, -0.3)}
	for _, ms := range [][]mode{{one}, {one, two}} {
		l := line{hz: one.hz, alpha: one.alpha, amp: one.amp}
		for _, k := range []int{20, 47, 48, 49, 90} {
			const h = 1e-2
			for i, up := range []lead{{far: h}, {near: h}} {
				got := bin(fr, k, ms)(fr.leadColumns(&l, ms)[i])
				want := (turning(fr, ms, up, k) - turning(fr, ms, lead{-up.far, -up.near}, k)) / (2 * h)
				if e := cmplx.Abs(got - want); e > 1e-3*cmplx.Abs(want) {
					t.Errorf("%d modes, bin %d, part %d: %v, by differences %v", len(ms), k, i, got, want)
				}
			}
		}
	}
}

// TestSubtractLead: of a mode whose phase a lead turns, what the straight model leaves goes
// but for the second order.
func TestSubtractLead(t *testing.T) {
	const n, rate = 24000, 24000.0
	fr := blankFrame(n, rate)
	gl := glide{g: 0.01, alpha: 1, lead: lead{1.5, -1}}
	m := mode{150, 2, cmplx.Rect(0.3, 0.5)}
	x := make([]float64, n)
	for i := range x {
		s := float64(i) / rate
		x[i] = 0.3 * math.Exp(-m.alpha*s) * math.Cos(2*math.Pi*m.hz*s+0.5+gl.turned(m.hz)*math.Exp(-2*gl.alpha*s))
	}
	fr.out, fr.now = gl, gl
	fr.out.lead = lead{}
	fr.spec = fourier.NewFFT(n).Coefficients(nil, x)
	l := lineAt(m, 120, 181)
	fr.setSpans([]*line{l})
	left := func(snr float64) (worst float64) {
		l.snr = snr
		fr.subtractAll([]*line{l}, []*line{l}, true)
		for k := l.lo; k < l.hi; k++ {
			worst = max(worst, cmplx.Abs(fr.rest[k]))
		}
		return worst
	}
	// So faint that nothing is seen of it, and so loud that all is, but for how a line of a
	// window that runs in its own time fades.
	straight, turned := left(1), left(400)
	if turned > 0.05*straight || straight < 1 {
		t.Errorf("left of the spectrum: %.3g, of the straight model alone %.3g", turned, straight)
	}
}

// TestInharmonicityThroughHighPass: strings that glide far, recorded through the low cut of
// a microphone, give B without a bias: without a lead they read too low by more than their
// uncertainty on average.
func TestInharmonicityThroughHighPass(t *testing.T) {
	sum, squares, n := 0.0, 0.0, 0.0
	for i := range 12 {
		tk := plain(70+25*float64(i), 24000, 3)
		tk.HighPass = synth.HighPass{Corner: 80 + 10*float64(i%5), Order: 2}
		tk.Plucks[0].GlideCents = 8 + float64(i%4)*3
		tk.Seed = uint64(i + 1)
		x, truth := rendered(t, tk)
		take, err := Analyze(x, tk.Rate, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if take.Reading == nil || !take.Reading.BKnown {
			t.Fatalf("take %d: no inharmonicity: %+v", i, take.Plucks)
		}
		z := (take.Reading.B.V - truth.B) / take.Reading.B.U
		t.Logf("%.0f Hz, low cut %.0f Hz, glide %.0f cents: B off by %+.1f of its uncertainty", truth.F0, tk.HighPass.Corner, tk.Plucks[0].GlideCents, z)
		sum, squares, n = sum+z, squares+z*z, n+1
	}
	if mean, rms := sum/n, math.Sqrt(squares/n); math.Abs(mean) > 0.75 || rms > 1.5 {
		t.Errorf("B is off by %+.2f of its uncertainty on average, %.2f by root mean square", mean, rms)
	}
}
