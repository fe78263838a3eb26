package detect

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/mat"
)

// A trial is a mode with all that a step can change.
type trial struct {
	amp          complex128
	alpha, hz    float64
	g, glideRate float64
	slope        float64
}

// spectrumAt is the positive-frequency half of a trial's transform at bin k, summed
// sample by sample: its mirror image is left out, as in the columns. The phase
// runs ahead by the glide beyond the one at which the frame stands.
func (tr trial) spectrumAt(fr *frame, k int) complex128 {
	gl := glide{g: tr.g, alpha: tr.glideRate, slope: tr.slope}
	var sum complex128
	for i := range fr.n {
		t := float64(i) / fr.rate
		runs := tr.hz*t + tr.hz*(gl.ahead(t)-fr.now.ahead(t)) - float64(k)*float64(i)/float64(fr.n)
		sum += cmplx.Rect(math.Exp(-tr.alpha*t), 2*math.Pi*math.Mod(runs, 1))
	}
	return 0.5 * tr.amp * sum
}

// bin is the value of forms of modes at one bin.
func bin(fr *frame, k int, ms []mode) func(form) complex128 {
	var s sheet
	s.read(fr, &line{lo: k, hi: k + 1}, ms, true)
	return func(f form) (sum complex128) {
		for p, z := range f {
			if z != 0 {
				sum += z * complex(s.row[p][0], s.row[p][1])
			}
		}
		return sum
	}
}

// TestColumns holds every column against the central difference of the spectrum
// summed sample by sample.
func TestColumns(t *testing.T) {
	const n, rate = 1500, 22050.0
	for _, gl := range []glide{{alpha: 1.5}, {g: 0.003, alpha: 0.8}, {g: -0.001, alpha: 4}, {g: 0.002, alpha: 1, slope: 0.001}} {
		fr := blankFrame(n, rate)
		fr.sloping = true
		fr.now, fr.out = gl, gl
		base := trial{cmplx.Rect(0.4, 1.1), 6, 883.3, gl.g, gl.alpha, gl.slope}
		m := mode{base.hz, base.alpha, base.amp}
		own, gliding := m.columns(rowFirst), fr.glideColumns()
		c0 := int(base.hz / rate * n)
		for _, k := range []int{c0 - 30, c0 - 1, c0, c0 + 1, c0 + 37} {
			at := bin(fr, k, []mode{m})
			for _, p := range []struct {
				name string
				got  complex128
				h    float64
				move func(tr *trial, h float64)
			}{
				{"real part of the amplitude", at(own.reAmp), 1e-2, func(tr *trial, h float64) { tr.amp += complex(h, 0) }},
				{"imaginary part", at(own.imAmp), 1e-2, func(tr *trial, h float64) { tr.amp += complex(0, h) }},
				{"decay", at(own.alpha), 1e-2, func(tr *trial, h float64) { tr.alpha += h }},
				{"frequency", at(own.hz), 1e-2, func(tr *trial, h float64) { tr.hz += h }},
				{"glide", at(gliding[0]), 1e-5, func(tr *trial, h float64) { tr.g += h }},
				{"ln α of the glide", at(gliding[1]), 1e-2, func(tr *trial, h float64) { tr.glideRate *= math.Exp(h) }},
				{"slope", at(gliding[2]), 1e-4, func(tr *trial, h float64) { tr.slope += h }},
			} {
				up, down := base, base
				p.move(&up, p.h)
				p.move(&down, -p.h)
				u, d := up.spectrumAt(fr, k), down.spectrumAt(fr, k)
				want := (u - d) / complex(2*p.h, 0)
				scale := cmplx.Abs(want)
				if p.name == "ln α of the glide" && gl.g == 0 {
					scale = 1
				}
				if e := cmplx.Abs(p.got - want); e > 1e-4*scale+1e-9 {
					t.Errorf("glide %v, bin %d, %s: %v, by differences %v", gl, k, p.name, p.got, want)
				}
			}
		}
	}
}

// TestStepConverges: from a start some way off, Gauss–Newton steps of one line
// alone reach the truth of a damped sinusoid, and of a pair, in a frame without
// noise. The mirror image is subtracted by subtractAll, so nothing is left.
func TestStepConverges(t *testing.T) {
	const n, rate = 16384, 22050.0
	tests := []struct {
		name  string
		truth []mode
		twin  bool
		start line
	}{
		{"single", []mode{{440.3, 2, cmplx.Rect(0.3, 0.8)}}, false, line{hz: 440.5, alpha: 3}},
		{"pair", []mode{{440.3, 2, cmplx.Rect(0.3, 0.8)}, {441.5, 1.4, cmplx.Rect(0.15, -1)}}, true, line{hz: 440.35, alpha: 2.1}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			fr := blankFrame(n, rate)
			fr.sloping = true
			for _, m := range tt.truth {
				w := fr.wave(m)
				for k := range fr.spec {
					fr.spec[k] += w.at(fr.tw[k])
				}
			}
			l := tt.start
			l.used = true
			c := int(tt.start.hz / rate * n)
			l.lo, l.hi = c-40, c+41
			if tt.twin {
				l.twin.on, l.twin.d, l.twin.alpha = true, 1.1, 1.6
				l.amp, l.twin.amp = tt.truth[0].amp*1.05, tt.truth[1].amp*0.95
			}
			in := []*line{&l}
			fr.setSpans(in)
			for i := range 40 {
				fr.subtractAll(in, nil, true)
				if i == 0 && !tt.twin {
					fr.start(&l)
					fr.subtractAll(in, nil, true)
				}
				step := fr.step(&l, l.alpha, 1e6)
				shift := l.grad[0] / l.info[0][0]
				l.move(step.after([shared]float64{shift}), 1, 0.01)
				l.hz += shift
			}
			got := l.modes()
			if len(got) != len(tt.truth) {
				t.Fatalf("%d modes, want %d", len(got), len(tt.truth))
			}
			for i, want := range tt.truth {
				near(t, "frequency", got[i].hz, want.hz, 1e-6)
				near(t, "decay", got[i].alpha, want.alpha, 1e-5)
				near(t, "amplitude", cmplx.Abs(got[i].amp-want.amp), 0, 1e-6)
			}
		})
	}
}

// TestStepInformation: what a line's bins say of its frequency is what least
// squares over these bins can say, amplitude, phase, decay and a straight line
// through the band being unknown too; and in white noise that is all but the
// Cramér–Rao bound of the whole window for one damped sinusoid.
func TestStepInformation(t *testing.T) {
	const n, rate, sigma = 8000, 22050.0, 0.01
	m := mode{1000.7, 3, cmplx.Rect(0.5, 0.3)}
	fr := blankFrame(n, rate)
	fr.sloping = true
	r := rand.New(rand.NewPCG(5, 6))
	for k := range fr.rest { // what noise alone leaves: n·σ² a bin
		fr.rest[k] = complex(r.NormFloat64(), r.NormFloat64()) * complex(sigma*math.Sqrt(n/2), 0)
	}
	l := line{hz: m.hz, alpha: m.alpha, amp: m.amp, used: true}
	fr.place([]*line{&l}, 1000)
	fr.step(&l, m.alpha, 1e6)

	// Columns of Re{amp e^((-α+2πif)t)} in time, by amplitude, decay and frequency.
	J := mat.NewDense(n, 4, nil)
	for i := range n {
		s := float64(i) / rate
		z := cmplx.Rect(math.Exp(-m.alpha*s), 2*math.Pi*m.hz*s)
		J.SetRow(i, []float64{real(z), -imag(z), -s * real(m.amp*z), -2 * math.Pi * s * imag(m.amp*z)})
	}
	bound := lastUncertainty(t, J, sigma)
	// The same in the line's bins, real and imaginary parts one after the other.
	bins := l.hi - l.lo
	K := mat.NewDense(2*bins, 8, nil)
	for c := range 4 {
		coef := fourier.NewFFT(n).Coefficients(nil, mat.Col(nil, c, J))
		for k := range bins {
			K.Set(2*k, c+4, real(coef[l.lo+k]))
			K.Set(2*k+1, c+4, imag(coef[l.lo+k]))
		}
	}
	for k := range bins { // the straight line
		K.Set(2*k, 0, 1)
		K.Set(2*k, 1, float64(k))
		K.Set(2*k+1, 2, 1)
		K.Set(2*k+1, 3, float64(k))
	}
	want := lastUncertainty(t, K, math.Sqrt(l.noise/2))
	u := 1 / math.Sqrt(l.info[0][0])
	onNoise := math.Sqrt(n * sigma * sigma / l.noise) // were the noise exactly known
	t.Logf("bound of the window %.3e Hz, of the bins %.3e, the step's %.3e", bound, want*onNoise, u*onNoise)
	// The step leaves the mirror image out of its columns.
	near(t, "uncertainty over that of the bins", u/want, 1, 2e-3)
	if r := u * onNoise / bound; r < 1 || r > 1.04 {
		t.Errorf("standard uncertainty %.3f of the bound", r)
	}
	// 81 bins estimate the noise to 1/√81.
	near(t, "noise", l.noise/(n*sigma*sigma), 1, 0.33)
}

// lastUncertainty is the standard uncertainty of the last parameter in a linear
// least-squares problem with columns J and noise sigma.
func lastUncertainty(t *testing.T, J *mat.Dense, sigma float64) float64 {
	t.Helper()
	var F, cov mat.Dense
	F.Mul(J.T(), J)
	_, n := F.Dims()
	scale := mat.NewDense(n, n, nil) // to a unit diagonal
	for i := range n {
		scale.Set(i, i, 1/math.Sqrt(F.At(i, i)))
	}
	F.Mul(scale, &F)
	F.Mul(&F, scale)
	if err := cov.Inverse(&F); err != nil {
		t.Fatal(err)
	}
	return sigma * math.Sqrt(cov.At(n-1, n-1)) * scale.At(n-1, n-1)
}

// TestStepSNR: a line's power over noise is that of its damped sinusoid by
// Parseval, but for what its bins leave out.
func TestStepSNR(t *testing.T) {
	const n, rate, sigma = 8000, 22050.0, 0.01
	m := mode{1000.7, 3, cmplx.Rect(0.5, 0.3)}
	fr := blankFrame(n, rate)
	fr.sloping = true
	r := rand.New(rand.NewPCG(7, 6))
	for k := range fr.rest {
		fr.rest[k] = complex(r.NormFloat64(), r.NormFloat64()) * complex(sigma*math.Sqrt(n/2), 0)
	}
	l := line{hz: m.hz, alpha: m.alpha, amp: m.amp, used: true}
	fr.place([]*line{&l}, 1000)
	fr.step(&l, m.alpha, 1e6)
	energy := rate / (2 * m.alpha) * -math.Expm1(-2*m.alpha*n/rate) // Σ e^(-2αt)
	near(t, "power over noise, as a share", l.snr/(sq(m.amp)/4*n*energy/l.noise), 0.98, 0.02)
}

// TestStepIgnoresStraightLines: what varies straight over a line's band, as what
// leaks in from afar does, is neither noise nor a reason to move.
func TestStepIgnoresStraightLines(t *testing.T) {
	const n, rate = 8000, 22050.0
	m := mode{1000.7, 3, cmplx.Rect(0.5, 0.3)}
	fr := blankFrame(n, rate)
	fr.sloping = true
	l := line{hz: m.hz, alpha: m.alpha, amp: m.amp, used: true}
	fr.place([]*line{&l}, 1000)
	for k := range fr.rest {
		fr.rest[k] = complex(3, -2) + complex(0.1, 0.07)*complex(float64(k-l.lo), 0)
	}
	s := fr.step(&l, m.alpha, 1e6)
	if l.noise > 1e-12 { // of powers up to 150
		t.Errorf("noise %g", l.noise)
	}
	d := s.after([shared]float64{})
	near(t, "step of the amplitude", math.Hypot(d[0], d[1]), 0, 1e-9)
	near(t, "step of the frequency", l.grad[0]/l.info[0][0], 0, 1e-9)
}
