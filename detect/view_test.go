package detect

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"
)

// TestLens holds what a lens shows of a decaying function against its transform summed
// sample by sample, and rows' power and sums against those of the bins.
func TestLens(t *testing.T) {
	const n, count = 4096, 28
	for _, bins := range []int{48, 64, 65, 131} {
		for _, part := range []float64{1, 0.5} {
			ln := newLens(n, bins, count, part)
			s := complex(-5, 7)
			if part < 1 {
				s = complex(-16/part, 7) // of which nothing is left beyond
			}
			re, im := make([]float64, 2*count), make([]float64, 2*count)
			for j, a := range ln.at {
				e := cmplx.Exp(s * complex(a, 0))
				re[j], im[j] = real(e), imag(e)
			}
			band := make([]complex128, bins)
			for q := range (bins + 1) / 2 {
				k := ln.place(q)
				var below, above complex128
				for j := range count {
					e := complex(re[j], im[j])
					above += e * complex(ln.re[q*count+j], ln.im[q*count+j])
					below += e * complex(ln.re[q*count+j], -ln.im[q*count+j])
				}
				band[bins-1-bins/2-q], band[bins/2+q] = below, above
				var want complex128
				for i := range int(part * n) {
					at := float64(i) / n
					want += cmplx.Exp(s*complex(at, 0)+complex(0, -2*math.Pi*k*at)) / n
				}
				// The next term of Euler and Maclaurin's.
				if d := cmplx.Abs(above - want); d > 1.1*(2*math.Pi*k+cmplx.Abs(s))/(12*n*n) {
					t.Errorf("%d bins, part %g: the %d-th from the middle is off by %.1e", bins, part, q, d)
				}
			}
			v := &view{sight: &sight{lens: ln}, rows: make([]float64, 2*count)}
			ln.look(re[:count], im[:count])
			copy(v.rows, re[:count])
			copy(v.rows[count:], im[:count])
			got, want := v.band(), bandOf(band)
			near(t, "power", got.power/want.power, 1, 1e-6)
			near(t, "sum", cmplx.Abs(got.s0-want.s0), 0, 1e-6)
			near(t, "sum by place", cmplx.Abs(got.s1-want.s1), 0, 1e-5)
			ln.show(re[count:], im[count:], band)
			for j := range count {
				near(t, "row", math.Hypot(re[count+j]-re[j], im[count+j]-im[j]), 0, 1e-6)
			}
		}
	}
}

// loud is how clear the lines are taken to be, so that all shows.
const loud = 1e5

// A viewed is a line at random in noise, with all that a view may have to show, and the
// same moved by a little.
type viewed struct {
	*fit
	l           *line
	sound, size float64 // its energy, and that of what moves
}

func newViewed(seed uint64) viewed {
	const n, rate = 6000, 6000.0
	r := rand.New(rand.NewPCG(seed, 1))
	fr := blankFrame(n, rate)
	for k := range fr.spec {
		fr.spec[k] = complex(r.NormFloat64(), r.NormFloat64())
	}
	fr.sloping = r.IntN(3) == 0
	if r.IntN(4) > 0 {
		fr.out = glide{g: 0.004 * r.Float64(), alpha: 0.3 * math.Exp(3*r.Float64())}
		fr.now = fr.out
		fr.now.g += 1e-5 * r.NormFloat64()
		fr.now.alpha *= math.Exp(0.03 * r.NormFloat64())
		fr.now.lead = lead{r.NormFloat64(), r.NormFloat64()}
		if fr.sloping {
			fr.now.slope = 1e-5 * r.NormFloat64()
		}
	}
	l := &line{n: 1, hz: 500 + 1500*r.Float64(), alpha: 0.5 * math.Exp(4*r.Float64()), used: true,
		bare: [2]float64{r.Float64(), r.Float64()}, snr: loud}
	l.amp = cmplx.Rect(math.Exp(3*r.NormFloat64()), 6*r.Float64())
	switch r.IntN(3) {
	case 0:
		l.pair = &coupling{split: 0.0004 * r.NormFloat64(), ratio: r.Float64(), decay: 0.2 * r.NormFloat64(), late: 0.01 * r.Float64()}
		l.eps = complex(0.1*r.NormFloat64(), 0.1*r.NormFloat64())
	case 1:
		l.twin.on, l.twin.d, l.twin.alpha, l.twin.amp = true, r.NormFloat64(), l.alpha*math.Exp(0.3*r.NormFloat64()), 0.5*l.amp
	}
	fr.place([]*line{l}, 300)
	fr.setSpans([]*line{l})
	f := &fit{fr: fr, lines: []*line{l}, glass: lenses{}, pair: l.pair}
	return viewed{fit: f, l: l}
}

// jolt moves all that a line does by a little.
func (v viewed) jolt(seed uint64) {
	r := rand.New(rand.NewPCG(seed, 2))
	l, size := v.l, math.Exp(-4*r.Float64())
	few := func() float64 { return size * r.NormFloat64() }
	l.amp *= cmplx.Exp(complex(0.3*few(), 0.3*few()))
	l.alpha *= math.Exp(0.1 * few())
	l.hz += 0.1 * few()
	l.twin.d += 0.1 * few()
	l.twin.amp *= cmplx.Exp(complex(0.3*few(), 0.3*few()))
	l.eps += complex(0.05*few(), 0.05*few())
	if l.pair != nil {
		l.pair.split += 3e-5 * few()
	}
	if v.fr.now != (glide{alpha: 1}) {
		v.fr.now.g += 1e-6 * few()
		v.fr.now.alpha *= math.Exp(0.01 * few())
	}
}

// FuzzView: by its view a line leaves what it leaves by its bins, and steps as it does there.
func FuzzView(f *testing.F) {
	for seed := range uint64(60) {
		f.Add(seed, seed)
	}
	f.Fuzz(func(t *testing.T, seed, jolt uint64) {
		v := newViewed(seed)
		fr, l := v.fr, v.l
		lines := []*line{l}
		fr.subtractAll(lines, lines, true)
		fr.curved = fr.bent(lines)
		l.view = v.view(l)
		if l.view.sight == nil {
			return
		}
		m := l.modes()
		size := sq(l.amp) + sq(m[len(m)-1].amp)
		size *= float64(fr.n) * float64(fr.n) / 4 / (1 + 2*l.alpha*fr.secs())
		v.jolt(jolt)
		fr.seeing, fr.curved = true, fr.bent(lines)
		if !fr.again(l) {
			v.widen(l)
		}
		seen := fr.left(l)
		stepSeen := fr.step(l, l.alpha, 0.7)
		infoSeen, gradSeen := l.info, l.grad
		fr.seeing, l.snr = false, loud
		fr.subtractAll(lines, lines, false)
		left := fr.left(l)
		step := fr.step(l, l.alpha, 0.7)
		off := viewError * math.Sqrt(size)
		if d := math.Abs(seen - left); d > 2*off*math.Sqrt(left)+off*off {
			t.Errorf("left %.9g by the view, %.9g by the bins, of %.3g", seen, left, size)
		}
		close := func(i int) float64 { // of a standard uncertainty's inverse
			e := infoError
			if i == 2 {
				e = dyingError
			}
			return e * math.Sqrt(l.info[i][i])
		}
		for i := range shared {
			u := math.Sqrt(l.info[i][i])
			for j := range shared {
				if d := math.Abs(infoSeen[i][j] - l.info[i][j]); d > close(i)*math.Sqrt(l.info[j][j])+u*close(j) {
					t.Errorf("information %d, %d: %g by the view, %g by the bins", i, j, infoSeen[i][j], l.info[i][j])
				}
			}
			if d := math.Abs(gradSeen[i] - l.grad[i]); d > close(i)*(1+math.Sqrt(left/l.noise)) {
				t.Errorf("gradient %d: %g by the view, %g by the bins, of %g", i, gradSeen[i], l.grad[i], u)
			}
		}
		near(t, "own step", math.Hypot(stepSeen.own[0]-step.own[0], stepSeen.own[1]-step.own[1]), 0, 1e-3*(math.Hypot(step.own[0], step.own[1])+cmplx.Abs(l.amp)))
	})
}

const (
	viewError  = 4e-5 // what a view may be off by, of a line's amplitude,
	infoError  = 5e-3 // its step, of what is told,
	dyingError = 3e-2 // and of what is told of a glide's decay, shown to e^lnGlideError
)
