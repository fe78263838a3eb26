package detect

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/mat"
)

// A fit is the joint maximum-likelihood fit of damped partials that share f0, B
// and a glide, with the noise estimated around each partial. Amplitudes, phases
// and decays are eliminated line by line (each line's bins inform only its own),
// which leaves normal equations in the three shared parameters. Their inverse
// is the inverse Fisher information, so that in white noise the estimate
// reaches the Cramér–Rao bound as the signal allows.
//
// Real strings depart from the law by more than noise. Each line may therefore
// have its own offset, drawn from a spread tau (relative) that is itself
// estimated so that the scatter is explained (Mandel & Paule 1970); it is zero
// when noise explains everything.
type fit struct {
	law
	gl    glide
	lines []*line
	// strays are lines that are no partials: hum, a neighbour. They are fitted,
	// each by itself, only to keep them out of what is.
	strays []*line
	cov    *mat.SymDense // of (ln f0, B, g)
	tau    float64       // relative scatter of partials about the law
	chi2   float64       // of the partials about the law, tau left out, per degree of freedom
	secs   float64       // length of the last window
	fr     *frame
	topHz  float64
}

const (
	gSpread = 0.0046 // prior standard deviation of the glide, 8 cents
	bSpread = 6e-4   // and of B about likelyB
	likelyB = 1e-4
	aSpread = 0.4 // and of ln α of the glide about what the lowest lines' decay suggests
	maxIter = 25
	params  = 4
)

// newFit starts from a judged hypothesis and the pitch over time.
func newFit(h hypothesis, b bend, topHz float64) *fit {
	rest, gl := b.glide()
	f := &fit{law: h.law, topHz: topHz, gl: gl, cov: mat.NewSymDense(params, nil)}
	f.f0 *= 1 + rest
	uf := max(h.uF0/h.f0, 2e-5)
	f.cov.SetSym(0, 0, uf*uf)
	f.cov.SetSym(1, 1, min(h.uB*h.uB+1e-12, bSpread*bSpread))
	f.cov.SetSym(2, 2, gSpread*gSpread/4)
	f.cov.SetSym(3, 3, aSpread*aSpread)
	for _, m := range h.matches {
		f.lines = append(f.lines, &line{n: m.n, alpha: 2 + 1e-6*m.p.hz*m.p.hz})
	}
	for _, p := range h.strays {
		f.strays = append(f.strays, &line{hz: p.hz, alpha: 1, used: true})
	}
	return f
}

// run fits x from sample from over ever longer windows up to secs, each doubling
// starting from where the last ended, so that phases never slip.
func (f *fit) run(x []float64, from int, rate, secs float64, ladder float64) {
	for t := min(secs, ladder); ; t = min(secs, 2*t) {
		f.secs = t
		for range 4 { // the glide is taken out of the sound, and what is left of it again
			f.load(x, from, rate)
			f.solve()
			if f.fr.bendLeft()*f.topLine() < 0.005 {
				break
			}
		}
		if t >= secs {
			return
		}
	}
}

// topLine is the frequency of the highest line in use.
func (f *fit) topLine() float64 {
	top := f.f0
	for _, l := range f.lines {
		if l.used {
			top = max(top, l.hz)
		}
	}
	return top
}

// load transforms the present window with the present glide taken out.
func (f *fit) load(x []float64, from int, rate float64) {
	n := smooth(min(int(f.secs*rate), len(x)-from))
	buf := make([]float64, n)
	unglide(buf, x, from, rate, f.gl)
	fr := &frame{rate: rate, n: n, out: f.gl, now: f.gl}
	fr.spec = fourier.NewFFT(n).Coefficients(nil, buf)
	fr.rest = make([]complex128, len(fr.spec))
	fr.tw = make([]complex128, len(fr.spec))
	for k := range fr.tw {
		s, c := math.Sincos(-2 * math.Pi * float64(k) / float64(n))
		fr.tw[k] = complex(c, s)
	}
	f.fr = fr
	f.secs = float64(n) / rate
}

// smooth is the largest product of 2, 3 and 5 up to n, a quick transform length.
func smooth(n int) int {
	best := 1
	for a := 1; a <= n; a *= 5 {
		for b := a; b <= n; b *= 3 {
			c := b
			for c*2 <= n {
				c *= 2
			}
			best = max(best, c)
		}
	}
	return best
}

// solve iterates to the maximum of the likelihood over the present window.
func (f *fit) solve() {
	f.cov.SetSym(0, 0, f.cov.At(0, 0)*4)
	f.cov.SetSym(1, 1, f.cov.At(1, 1)*4)
	rounds := 0
	for i := range maxIter {
		more := f.admit()
		d := f.iterate()
		if i > 1 && !more && d < 0.02 {
			if rounds++; rounds > 4 || !f.reweigh() {
				break
			}
		}
	}
}

// admit takes in the lines whose place is known well enough that their phase
// over the window is not in doubt by more than a fraction of a turn, and tells
// whether any are new.
func (f *fit) admit() bool {
	more := false
	in := 0
	for _, l := range f.lines {
		l.hz = f.sounding(l.n) + l.off
		if l.used {
			in++
		}
	}
	for _, l := range f.lines {
		if l.used || l.out {
			continue
		}
		j := f.sens(l.n)
		rel := math.Sqrt(max(0, j[0]*j[0]*f.cov.At(0, 0)+2*j[0]*j[1]*f.cov.At(0, 1)+j[1]*j[1]*f.cov.At(1, 1))) / l.hz
		long := math.Min(f.secs, 1.5/l.alpha)
		a := f.gl.alpha
		drift := math.Sqrt(f.cov.At(2, 2)) * -math.Expm1(-2*a*long) / (2 * a) / 4
		if l.hz*math.Hypot(rel*long, drift) < 0.3 || in < 2 {
			l.used, l.amp = true, 0
			in++
			more = true
		}
	}
	return more
}

// sounding is the mean frequency of partial n in the present window: at rest by
// the law, plus what of the glide the window still holds.
func (f *fit) sounding(n int) float64 { return f.hz(n) * (1 + f.fr.meanLeft()) }

// sens is the derivative of partial n's frequency by (ln f0, B), Hz.
func (f *fit) sens(n int) [2]float64 {
	m2 := float64(n * n)
	hz := f.hz(n)
	return [2]float64{hz, hz * m2 / (2 * (1 + f.b*m2))}
}

// iterate makes one Gauss–Newton step and returns its size in standard
// uncertainties of the shared parameters.
func (f *fit) iterate() float64 {
	var in []*line
	for _, l := range f.lines {
		if l.used {
			l.hz = f.sounding(l.n) + l.off
			in = append(in, l)
		}
	}
	if len(in) == 0 {
		return 0
	}
	f.fr.place(in, f.f0)
	f.fr.placeStrays(f.strays)
	all := append(slices.Clone(in), f.strays...)
	f.fr.subtractAll(all, in)
	fresh := false
	for _, l := range all {
		if l.amp == 0 {
			f.fr.start(l)
			fresh = true
		}
	}
	if fresh {
		f.fr.subtractAll(all, in)
	}
	f.fitStrays()
	steps := make([]localStep, len(in))
	A := mat.NewSymDense(params, nil)
	rhs := mat.NewVecDense(params, nil)
	// Weak priors keep what the sound does not tell within what strings do.
	prior := func(p int, off, spread float64) {
		A.SetSym(p, p, 1/(spread*spread))
		rhs.SetVec(p, off/(spread*spread))
	}
	prior(1, likelyB-f.b, bSpread)
	prior(2, -f.gl.g, gSpread)
	prior(3, math.Log(f.glideDecay()/f.gl.alpha), aSpread)
	a0, a2 := f.decayTrend()
	for i, l := range in {
		steps[i] = f.fr.step(l, a0+a2*l.hz*l.hz, 0.7)
		info, grad := l.relaxed(f.tau)
		J := f.jacobian(l.n)
		for p := range params {
			for q := p; q < params; q++ {
				s := 0.0
				for u := range shared {
					for v := range shared {
						s += J[u][p] * info[u][v] * J[v][q]
					}
				}
				A.SetSym(p, q, A.At(p, q)+s)
			}
			for u := range shared {
				rhs.SetVec(p, rhs.AtVec(p)+J[u][p]*grad[u])
			}
		}
	}
	var ch mat.Cholesky
	if !ch.Factorize(A) {
		return 0
	}
	var d mat.VecDense
	if ch.SolveVecTo(&d, rhs) != nil {
		return 0
	}
	if ch.InverseTo(f.cov) != nil {
		return 0
	}
	size, scale := 0.0, 1.0
	for p, most := range [params]float64{0.003, 3e-4, 0.004, 0.5} { // no step beyond what the equations are linear in
		s := math.Abs(d.AtVec(p))
		size = max(size, s/math.Sqrt(f.cov.At(p, p)))
		if s > most {
			scale = min(scale, most/s)
		}
	}
	d.ScaleVec(scale, &d)
	for i, l := range in {
		J := f.jacobian(l.n)
		move := [shared]float64{J[0][0]*d.AtVec(0) + J[0][1]*d.AtVec(1), d.AtVec(2), d.AtVec(3)}
		off := l.offset(f.tau, move)
		move[0] += off - l.off
		dAmp, dAlpha := steps[i].after(move)
		l.amp += dAmp
		l.alpha = min(max(l.alpha+dAlpha, l.alpha/2, 0.01), l.alpha*2, 300)
		l.off = off
	}
	f.f0 *= math.Exp(d.AtVec(0))
	f.b = max(f.b+d.AtVec(1), 0)
	f.gl.g += d.AtVec(2)
	f.gl.alpha = min(max(f.gl.alpha*math.Exp(d.AtVec(3)), 0.1), 30)
	f.fr.now = f.gl
	return size
}

// jacobian is the derivative of what partial n's line senses, (hz, g, ln α), by
// the fit's parameters.
func (f *fit) jacobian(n int) [shared][params]float64 {
	j := f.sens(n)
	return [shared][params]float64{{j[0], j[1], 0, 0}, {0, 0, 1, 0}, {0, 0, 0, 1}}
}

// fitStrays moves every stray by its own step and drops those that run away.
func (f *fit) fitStrays() {
	binHz := f.fr.rate / float64(f.fr.n)
	f.strays = slices.DeleteFunc(f.strays, func(l *line) bool {
		step := f.fr.step(l, 1, 3)
		if l.info[0][0] <= 0 {
			return true
		}
		shift := l.grad[0] / l.info[0][0]
		shift = min(max(shift, -0.4*binHz), 0.4*binHz)
		dAmp, dAlpha := step.after([shared]float64{shift})
		l.amp += dAmp
		l.alpha = min(max(l.alpha+dAlpha, l.alpha/2, 0.001), l.alpha*2, 300)
		l.off += shift
		l.hz += shift
		return math.Abs(l.off) > 2
	})
}

// decayTrend fits α = a0 + a2 f² to the lines that are clear, robustly enough to
// guide the ones that are not.
func (f *fit) decayTrend() (a0, a2 float64) {
	var alphas []float64
	var s0, s2, s4, y0, y2 float64
	for _, l := range f.lines {
		if !l.used || l.snr < 30 || l.uRate <= 0 {
			continue
		}
		alphas = append(alphas, l.alpha)
		x := l.hz * l.hz
		u := math.Hypot(l.uRate, 0.4*l.alpha)
		w := 1 / (u * u)
		s0, s2, s4, y0, y2 = s0+w, s2+w*x, s4+w*x*x, y0+w*l.alpha, y2+w*x*l.alpha
	}
	if len(alphas) == 0 {
		return 3, 1e-6
	}
	slices.Sort(alphas)
	med := alphas[len(alphas)/2]
	det := s0*s4 - s2*s2
	if len(alphas) < 4 || det <= 1e-9*s0*s4 {
		return med, 0
	}
	a2 = max(0, (s0*y2-s2*y0)/det)
	a0 = max((y0-a2*s2)/s0, 0.2*med)
	return a0, a2
}

// glideDecay is the decay that the lowest lines suggest for the glide: they hold
// nearly all of the string's stretch, each partial's share going as 1/n².
func (f *fit) glideDecay() float64 {
	sum, w := 0.0, 0.0
	for _, l := range f.lines {
		if l.heard() && l.n <= 3 {
			k := 1 / float64(l.n*l.n*l.n*l.n)
			sum += k * l.alpha
			w += k
		}
	}
	if w == 0 {
		a0, a2 := f.decayTrend()
		return a0 + a2*f.f0*f.f0
	}
	return min(max(sum/w, 0.1), 30)
}
