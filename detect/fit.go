package detect

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/mat"
)

// A fit is the joint maximum-likelihood fit of damped partials that share f0, B
// and a glide, with the noise estimated around each partial. Amplitudes, phases
// and decays are eliminated line by line (each line's bins inform only its own),
// which leaves normal equations in the shared parameters. Their inverse is the
// inverse Fisher information, so that in white noise the estimate reaches the
// Cramér–Rao bound as the signal allows.
//
// Real strings depart from the law by more than noise. Each line may therefore
// have its own offset, drawn from a spread tau (relative) that is itself
// estimated so that the scatter is explained (Mandel & Paule 1970); it is zero
// when noise explains everything.
type fit struct {
	law
	burden burden     // none on a bare string
	held   burdenHeld // within what, where there is one
	gl     glide
	lines  []*line
	// strays are lines that are no partials: hum, a neighbour. They are fitted,
	// each by itself, only to keep them out of what is.
	strays           []*line
	bend             bend          // the pitch over time as short frames show it
	tied             bool          // whether the glide is held to the decay and the pitch may have a slope
	hint             glide         // what the pitch over time suggests,
	gHint            float64       // and how surely: standard deviation of g
	slowest, fastest float64       // bounds of its decay, 1/s
	cov              *mat.SymDense // of (ln f0, B, g, ln α, slope, the lead's two, the coupling's split, ratio, ln decay, late, and the burden's ratio, off2, wide and turn)
	pair             *coupling     // nil where partials are not taken for coupled pairs
	tau              float64       // relative scatter of partials about the law
	chi2             float64       // of the partials about the law, tau left out, per degree of freedom
	nll              float64       // negative log-likelihood as chase left it
	rough            bool          // whether the window is not the last
	frozen           bool          // whether bins and lines stay as they are: likelihoods are to be compared
	sound            excerpt
	top              float64 // Hz, up to which partials are looked for
	late             float64 // s from the pluck to the window, as the onset suggests
	secs             float64 // length of the last window
	fr               *frame
	plans            plans
	glass            lenses
	weights          weights
	sights           []*sight
	clean            bool            // whether rest holds what the present parameters leave
	age              int             // steps since the lines were looked at,
	moved            float64         // and their sizes together
	kept             state           // before the last step,
	steps            []localStep     // the lines' own steps
	last             [params]float64 // the last step,
	stride           float64         // and what share of it was taken
}

// An excerpt is what is fitted: samples from one of them on.
type excerpt struct {
	x    []float64
	from int
	rate float64
}

const (
	gSpread = 0.0046 // prior standard deviation of the glide, 8 cents
	bSpread = 6e-4   // and of B about likelyB
	likelyB = 1e-4
	aSpread = 0.4 // and of ln α of the glide about what the lowest lines' decay suggests

	sSpread = 6e-5 // and of the slope, a tenth of a cent a second

	slowGlide, fastGlide = 0.4, 12.0 // decay of a glide that is nothing known of, 1/s
	glideTie             = 1.8       // by how much that of a tied one may differ from the lowest partials'
	maxIter              = 25
	doneStep             = 0.05 // standard uncertainties: a step that matters no more,
	roughStep            = 0.1  // and in a window that is not the last

	straightTurns = 0.005 // by which what is left of a glide may bend the highest line,
	roughTurns    = 0.03  // and in a window that is not the last

	firstTau = 6e-4 // scatter about the law allowed before it is measured, a cent

	mostStrays  = 16 // the loudest, more would only cost time
	params      = 15
	burdenRatio = 11 // which of the parameters is the burden's ratio,
	burdenOff2  = 12 // its off2,
	burdenWide  = 13 // its wide
	burdenTurn  = 14 // and its turn
)

// lawParams are those of the parameters that a loaded string's law has.
var lawParams = [laws]int{0, 1, burdenRatio, burdenOff2, burdenWide, burdenTurn}

// A plan is a transform of some length with the twiddles exp(-2πik/n) of its bins, which
// are not to be changed.
type plan struct {
	*fourier.FFT
	tw []complex128
}

// plans keeps the plans of transforms by their length: making one costs as much as
// several transforms. A nil plans keeps none.
type plans map[int]plan

// of is the plan for n samples.
func (p plans) of(n int) plan {
	pl, ok := p[n]
	if !ok {
		pl = plan{fourier.NewFFT(n), make([]complex128, n/2+1)}
		for k := range pl.tw {
			s, c := math.Sincos(-2 * math.Pi * float64(k) / float64(n))
			pl.tw[k] = complex(c, s)
		}
		if p != nil {
			p[n] = pl
		}
	}
	return pl
}

// newFit starts from a judged hypothesis and the pitch over time. Where it is
// tied, the glide's decay is held to the partials' and a slope may be there.
func newFit(h hypothesis, b bend, tied bool) *fit {
	f := &fit{law: h.law, tau: firstTau, bend: b, tied: tied, cov: mat.NewSymDense(params, nil)}
	rest := f.expect(slowGlide, fastGlide)
	f.f0 *= 1 + rest
	uf := max(h.uF0/h.f0, 2e-5)
	f.cov.SetSym(0, 0, uf*uf)
	f.cov.SetSym(1, 1, min(h.uB*h.uB+1e-12, bSpread*bSpread))
	f.cov.SetSym(2, 2, f.gHint*f.gHint)
	f.cov.SetSym(3, 3, aSpread*aSpread)
	f.cov.SetSym(4, 4, sSpread*sSpread)
	f.cov.SetSym(5, 5, leadSpread*leadSpread)
	f.cov.SetSym(6, 6, leadSpread*leadSpread)
	for p := common + 1; p < params; p++ {
		f.cov.SetSym(p, p, none*none)
	}
	f.bear(h)
	for _, m := range h.matches {
		// Each starts at its own peak: the law is not yet known well enough to
		// carry the phase of them all.
		off := m.p.hz*(1+rest) - f.hz(m.n)
		f.lines = append(f.lines, &line{n: m.n, alpha: 2 + 1e-6*m.p.hz*m.p.hz, off: off, used: true})
	}
	strays := slices.Clone(h.strays)
	slices.SortFunc(strays, func(a, b peak) int { return cmp.Compare(b.db, a.db) })
	for _, p := range strays[:min(len(strays), mostStrays)] {
		f.strays = append(f.strays, &line{hz: p.hz, alpha: 1, used: true})
	}
	return f
}

// expect takes from the pitch over time what glide there may be, its decay within
// bounds, and starts from there. It returns the relative shift at rest.
func (f *fit) expect(slow, fast float64) float64 {
	rest, gl, u := f.bend.glide(slow, fast, f.tied)
	f.hint = gl
	if f.gl.alpha < slow || f.gl.alpha > fast {
		f.gl = gl
	}
	f.slowest, f.fastest = 0.1, 30
	if f.tied {
		f.slowest, f.fastest = slow, fast
	}
	f.gHint = min(gSpread, math.Hypot(0.0003+0.1*gl.g, 3*u))
	return rest
}

// lowDecay is the decay of the lowest partials, which hold the string's stretch,
// 1/s; 0 where none is heard.
func (f *fit) lowDecay() float64 {
	sum, weight := 0.0, 0.0
	for _, l := range f.lines {
		if l.heard() {
			w := math.Pow(float64(l.n), -4)
			sum += w * l.alpha
			weight += w
		}
	}
	if weight == 0 {
		return 0
	}
	return sum / weight
}

// run fits x from sample from over ever longer windows up to secs, each
// starting from where the last ended, so that phases never slip.
func (f *fit) run(x []float64, from int, rate, secs float64, ladder float64) {
	f.sound = excerpt{x, from, rate}
	for t := min(secs, ladder); ; t = longer(t, secs) {
		f.secs, f.rough = t, t < secs
		for range 4 { // the glide is taken out of the sound, and what is left of it again
			f.load()
			if t < secs {
				f.solve(roughStep)
			} else {
				f.solve(doneStep)
			}
			if left := f.fr.bendLeft() * f.topLine(); left < straightTurns || t < secs && left < roughTurns {
				break
			}
		}
		if t >= secs {
			return
		}
		if low := f.lowDecay(); low > 0 && f.tied {
			// The stretch dies with the square of the swing: the glide's decay is the
			// string's own, or a slow turn of the peg would pass for a glide.
			f.expect(low/glideTie, low*glideTie)
		}
	}
}

// longer is the window after one of t seconds: some times as long, the last no
// little step.
func longer(t, secs float64) float64 {
	const rung = 2.8
	if secs < 1.3*rung*t {
		return secs
	}
	return rung * t
}

// topLine is the frequency of the highest line in use.
func (f *fit) topLine() float64 {
	return max(f.f0, highest(f.used()))
}

// load transforms the present window with the present glide taken out.
func (f *fit) load() {
	x, from, rate := f.sound.x, f.sound.from, f.sound.rate
	n := smooth(min(int(f.secs*rate), len(x)-from))
	buf := make([]float64, n)
	unglide(buf, x, from, rate, f.gl)
	fr := &frame{rate: rate, n: n, out: f.gl, now: f.gl, sloping: f.tied}
	fr.weights = f.weights
	fr.out.lead = lead{} // that stays in the sound
	plan := f.plans.of(n)
	fr.spec, fr.tw = plan.Coefficients(nil, buf), plan.tw
	fr.rest = make([]complex128, len(fr.spec))
	if f.fr != nil {
		fr.sheet = f.fr.sheet
	}
	f.fr = fr
	f.secs = float64(n) / rate
	f.sights, f.clean = nil, false
	for _, l := range f.lines {
		l.view = nil
	}
}

// smooth is the largest product of 2, 3 and 5, and one of 7, 11 and 13 at most, up to
// n: a quick transform length.
func smooth(n int) int {
	best := 1
	for _, q := range [...]int{1, 7, 11, 13} {
		for a := q; a <= n; a *= 5 {
			for b := a; b <= n; b *= 3 {
				c := b
				for c*2 <= n {
					c *= 2
				}
				best = max(best, c)
			}
		}
	}
	return best
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
