package detect

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/integrate/quad"
)

// A hiding is what second direction of vibration, too close to be told apart, there may be.
type hiding struct {
	may    []maybe // none first
	nats   float64 // by how much the likeliest coupling explains the bends better than none
	likely coupling
}

// A maybe is a coupling with its probability. One without a split and a ratio is none.
type maybe struct {
	coupling
	w float64
}

// hide weighs what coupling may be hidden by how the lines bend: none as likely as
// some, splits, decays and ratios as likely as their priors say.
func hide(bs []bending) (h hiding) {
	const (
		splits        = 32
		lowest, reach = -7.0, 9.0 // ln of the splits tried, over splitSpread
		least         = 1e-6      // probability, over the likeliest's
	)
	decays := [...]weighted{{-1.5, 0.15}, {-0.75, 0.22}, {0, 0.26}, {0.75, 0.22}, {1.5, 0.15}} // normal deviates
	ratios := [...]float64{0.07, 0.18, 0.35, 0.6}
	bs = glideless(bs)
	type tried struct {
		coupling
		prior, nats float64
	}
	var all []tried
	for i := range splits {
		z := math.Exp(lowest + reach*float64(i)/splits)
		d := splitSpread * z
		prior := z * reach / splits / math.Sqrt(2*math.Pi) * math.Exp(-z*z/2)
		for _, q := range decays {
			k := math.Expm1(decaySpread * q.v)
			for _, r := range ratios {
				p := r / (1 + r)
				var up, down float64
				for _, b := range bs {
					c := complex(p*(1-p), 0) * complex(k*k*b.rate*b.rate-d*d, -2*k*d*b.per)
					w := 0.5 / (b.u * b.u)
					up += w * (sq(b.z) - sq(b.z-c))
					down += w * (sq(b.z) - sq(b.z-cmplx.Conj(c)))
				}
				for i, e := range [...]float64{up, down} {
					c := coupling{split: float64(1-2*i) * d, ratio: r, decay: math.Log1p(k)}
					all = append(all, tried{c, prior * q.w / float64(len(ratios)), e})
					if e > h.nats {
						h.nats, h.likely = e, c
					}
				}
			}
		}
	}
	h.may = append(h.may, maybe{w: math.Exp(-h.nats)})
	total := h.may[0].w
	for _, t := range all {
		if w := t.prior * math.Exp(t.nats-h.nats); w > least {
			h.may = append(h.may, maybe{t.coupling, w})
			total += w
		}
	}
	for i := range h.may {
		h.may[i].w /= total
	}
	return h
}

// A hidden coupling is what one that is not told makes of the fit's ln f0, B and glide, to be
// taken from them, and how probable it is.
type hidden struct {
	off [3]float64
	w   float64
}

// hidden is what second direction the fit may hide.
func (f *fit) hidden() []hidden {
	if len(f.seconds()) > 0 {
		return []hidden{{w: 1}}
	}
	rs := f.sways()
	var out []hidden
	for _, m := range hide(f.bends()).may {
		out = append(out, hidden{rs.to(&m.coupling), m.w})
	}
	return out
}

// A sway is how the fit's ln f0, B and glide answer to what a line's phase does at a few
// times within the window.
type sway struct {
	turn, alpha float64 // 2π times the line's frequency, and its decay, 1/s
	long        float64 // s, while it is heard
	at          []float64
	by          [3][]float64 // per radian at each of these
	power       [3][3]float64
}

type sways []sway

// sways are those of the lines that are heard, from what they tell of their frequencies
// and of the glide, their decay being free.
func (f *fit) sways() (rs sways) {
	const nodes = 8
	var x, w [nodes]float64
	quad.Legendre{}.FixedLocations(x[:], w[:], 0, 1)
	for _, l := range f.heard() {
		m := l.modes()[0]
		r := sway{turn: 2 * math.Pi * m.hz, alpha: m.alpha, long: min(f.fr.secs(), 4/m.alpha)}
		r.at = make([]float64, nodes)
		var weight [nodes]float64
		var sense [4][nodes]float64 // phase by the line's frequency, the glide's g, its ln α and a slope
		for i := range nodes {
			t := r.long * x[i]
			ahead, lnA, _ := unitGlide(f.gl.alpha, t)
			r.at[i], weight[i] = t, w[i]*math.Exp(-2*m.alpha*t)
			sense[0][i] = 2 * math.Pi * t
			sense[1][i] = r.turn * ahead
			sense[2][i] = r.turn * f.gl.g * lnA
			sense[3][i] = r.turn * t * t / 2
		}
		total := floats.Sum(weight[:])
		for j := range sense { // the line's phase is free
			mean := floats.Dot(sense[j][:], weight[:]) / total
			for i := range nodes {
				sense[j][i] -= mean
			}
		}
		tells := 0.0
		for i := range nodes {
			tells += weight[i] * sense[0][i] * sense[0][i]
		}
		info, _ := l.relaxed(f.tau)
		J := f.jacobian(l.n)
		for p := range r.by {
			r.by[p] = make([]float64, nodes)
			for j := range sense {
				gain := 0.0
				for q := range params {
					gain += f.cov.At(p, q) * J[j][q]
				}
				for i := range nodes {
					r.by[p][i] += gain * info[0][0] / tells * weight[i] * sense[j][i]
				}
			}
			for i, t := range r.at {
				for k, v := 0, t; k < len(r.power[p]); k, v = k+1, v*t {
					r.power[p][k] += r.by[p][i] * v
				}
			}
		}
		rs = append(rs, r)
	}
	return rs
}

// to is how the fit answers to a second mode in all lines that it does not know of: where
// the two part by little, by powers of the time.
func (rs sways) to(c *coupling) (off [3]float64) {
	const little = 0.7 // radians or so
	p := c.ratio / (1 + c.ratio)
	k := math.Expm1(c.decay)
	for i := range rs {
		r := &rs[i]
		apart := complex(-r.alpha*k, r.turn*c.split)
		if sq(apart)*r.long*r.long < little*little {
			two := apart * apart
			one, second, third := p*imag(apart), p*(1-p)/2*imag(two), p*(1-p)*(1-2*p)/6*imag(two*apart)
			for q := range off {
				off[q] += r.power[q][0]*one + r.power[q][1]*second + r.power[q][2]*third
			}
			continue
		}
		for j, t := range r.at {
			turned := cmplx.Phase(1 + complex(c.ratio, 0)*cmplx.Exp(apart*complex(t, 0)))
			for q := range off {
				off[q] += r.by[q][j] * turned
			}
		}
	}
	return off
}
