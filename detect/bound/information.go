package bound

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// The unknowns in their order: those common by all partials, then three for
// each partial.
const (
	iLogF0 = iota
	iB
	iGlide
	common
)

const (
	dAmp = iota
	dPhase
	dDecay
	own
)

const (
	// blockLen samples are taken at a time, to keep the columns in cache.
	blockLen = 512
	// A partial that fell by so many nepers adds e⁻⁴⁰ of what it started with.
	spent = 20
)

// Information is the Fisher information about a Signal in some of its samples.
type Information struct {
	signal Signal
	f      *mat.SymDense
}

// Information sums the Fisher information over samples, the first of which lies
// first ≥ 0 seconds after the onset.
func (s Signal) Information(first float64, samples int) (*Information, error) {
	if err := s.validate(); err != nil {
		return nil, err
	}
	if !(first >= 0 && first < math.Inf(1)) || samples < 0 {
		return nil, fmt.Errorf("bound: %d samples from %g s: neither may be negative", samples, first)
	}
	size := common + own*len(s.Partials)
	in := &Information{signal: s, f: mat.NewSymDense(size, nil)}
	for at := 0; at < samples; at += blockLen {
		in.add(first+float64(at)/s.Rate, min(blockLen, samples-at))
	}
	in.f.ScaleSym(1/(s.Sigma*s.Sigma), in.f)
	return in, nil
}

// add adds JᵀJ of n samples from t seconds on.
func (in *Information) add(t float64, n int) {
	s := in.signal
	var active []int
	for i, p := range s.Partials {
		if p.Decay*t < spent {
			active = append(active, i)
		}
	}
	if len(active) == 0 {
		return
	}
	where := make([]int, 0, common+own*len(active)) // of each column of j among the unknowns
	for i := range common {
		where = append(where, i)
	}
	for _, i := range active {
		for d := range own {
			where = append(where, common+own*i+d)
		}
	}
	j := mat.NewDense(n, len(where), nil)
	for k := range n {
		s.derivatives(j.RawRowView(k), t+float64(k)/s.Rate, active)
	}
	var jj mat.SymDense
	jj.SymOuterK(1, j.T())
	for a, row := range where {
		for b := a; b < len(where); b++ {
			in.f.SetSym(row, where[b], in.f.At(row, where[b])+jj.At(a, b))
		}
	}
}

// derivatives fills dst with the derivatives of the sample at t by the common
// unknowns and by those of the active partials.
func (s Signal) derivatives(dst []float64, t float64, active []int) {
	w, glided := s.warp(t)
	for i := range common {
		dst[i] = 0
	}
	for k, i := range active {
		p := s.Partials[i]
		n2 := float64(p.N) * float64(p.N)
		omega := 2 * math.Pi * s.hz(p.N)
		sin, cos := math.Sincos(omega*w + p.Phase)
		fall := math.Exp(-p.Decay * t)
		turned := -p.Amp * fall * sin // by the angle
		dst[iLogF0] += turned * omega * w
		dst[iB] += turned * omega * w * n2 / (2 * (1 + s.B*n2))
		dst[iGlide] += turned * omega * glided
		d := dst[common+own*k:]
		d[dAmp] = fall * cos
		d[dPhase] = turned
		d[dDecay] = -t * p.Amp * fall * cos
	}
}

// Plus returns the information in two sets of samples of one signal, which must
// not overlap. It panics if they are not of one signal.
func (in *Information) Plus(other *Information) *Information {
	if in.f.SymmetricDim() != other.f.SymmetricDim() || in.signal.F0 != other.signal.F0 || in.signal.B != other.signal.B {
		panic("bound: information about different signals cannot be added")
	}
	sum := &Information{signal: in.signal, f: mat.NewSymDense(in.f.SymmetricDim(), nil)}
	sum.f.AddSym(in.f, other.f)
	return sum
}
