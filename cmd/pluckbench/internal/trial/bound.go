package trial

import (
	"context"
	"errors"
	"fmt"
	"math"

	"pluckweigh/detect"
	"pluckweigh/detect/bound"
	"pluckweigh/detect/detecttest"
)

// Efficiency says how near the detector comes to the Cramér–Rao bound.
type Efficiency struct {
	Stream  string      `json:"stream"`
	Wrong   []Exception `json:"wrong_notes"` // left out below
	Refused []Exception `json:"refused"`
	Far     []Distance  `json:"beyond_5_bounds"`
	All     Ratio       `json:"all"`
	BySNR   []Ratio     `json:"by_snr"`
	Bands   []Ratio     `json:"by_fundamental"`
}

// A Distance is how far a take's errors lie from nothing, in bounds or in
// uncertainties.
type Distance struct {
	Take string `json:"take"`
	F0   Number `json:"f0"`
	B    Number `json:"inharmonicity"`
}

// A Ratio is the RMS of the error over the bound, over some takes: of all that
// sounds from the onset to the end, f0 and B unknown, no glide.
type Ratio struct {
	Name  string `json:"name"`
	SNR   Number `json:"snr_db"` // mean
	Takes int    `json:"takes"`
	F0    Number `json:"f0_over_bound"`
	UF0   Number `json:"u_f0_over_bound"`
	BRead int    `json:"inharmonicity_takes"`
	B     Number `json:"inharmonicity_over_bound"`
	UB    Number `json:"u_inharmonicity_over_bound"`
	Far   int    `json:"beyond_5_bounds"` // takes off by more in f0 or B
	// What the median error makes it, which the few farthest do not move: as if
	// errors were normally distributed.
	F0Typical Number `json:"f0_over_bound_by_median"`
	BTypical  Number `json:"inharmonicity_over_bound_by_median"`
	// RMS of the errors of f0 themselves, and of their bounds, cents.
	F0Cents    Number `json:"f0_rms_cents"`
	BoundCents Number `json:"f0_bound_rms_cents"`
	// What the error of f0 and B is over looser bounds: with a glide unknown,
	// too, and of the window alone that the detector measured.
	F0Gliding Number `json:"f0_over_gliding_bound"`
	F0Window  Number `json:"f0_over_window_bound"`
	BGliding  Number `json:"inharmonicity_over_gliding_bound"`
	BWindow   Number `json:"inharmonicity_over_window_bound"`
}

// An attempt is the error of one take, and its bounds.
type attempt struct {
	heard
	err                      bound.Bound
	bound, gliding, windowed bound.Bound
}

const (
	snrStep = 5 // dB
	snrFrom = 10
	snrTo   = 40
	farOff  = 5 // bounds

	// normalMedian is the median of |x| for a standard normal x.
	normalMedian = 0.6745
)

// Bound holds the detector against the Cramér–Rao bound.
func Bound(ctx context.Context, o Options) (Efficiency, error) {
	all, err := each(ctx, o, o.Takes, func(i int) (attempt, error) {
		h, err := hear(detecttest.Clean(o.Stream, uint64(i)))
		if err != nil {
			return attempt{}, err
		}
		return h.attempt()
	})
	if err != nil {
		return Efficiency{}, err
	}
	e := Efficiency{Stream: o.Stream.String(), Wrong: []Exception{}, Refused: []Exception{}, Far: []Distance{}}
	var read []attempt
	for _, a := range all {
		switch {
		case a.take.Reading == nil:
			e.Refused = append(e.Refused, Exception{a.Case.String(), missing, reasons(a.take)})
		case math.Abs(a.off()) > wrongCents:
			e.Wrong = append(e.Wrong, Exception{a.Case.String(), Number(a.off()), nil})
		default:
			read = append(read, a)
			if f0, b := a.distance(); beyond(f0, b, farOff) {
				e.Far = append(e.Far, Distance{a.Case.String() + fmt.Sprintf(", %.1f dB", a.truth.SNRdB), Number(f0), Number(b)})
			}
		}
	}
	e.All = ratio("all", read, func(attempt) bool { return true })
	for lo := float64(snrFrom); lo < snrTo; lo += snrStep {
		e.BySNR = append(e.BySNR, ratio(fmt.Sprintf("%g–%g dB", lo, lo+snrStep), read,
			func(a attempt) bool { return inSNR(a.truth.SNRdB, lo) }))
	}
	for i, name := range bandNames {
		e.Bands = append(e.Bands, ratio(name, read, func(a attempt) bool { return band(a.truth.F0) == i }))
	}
	return e, nil
}

// inSNR tells whether a signal-to-noise ratio belongs to the step from lo on;
// what rounding puts beyond the ends belongs to the last.
func inSNR(db, lo float64) bool {
	return (db >= lo || lo == snrFrom) && (db < lo+snrStep || lo+snrStep == snrTo)
}

// attempt computes the bounds of what was heard, where it was read.
func (h heard) attempt() (attempt, error) {
	a := attempt{heard: h}
	if h.take.Reading == nil {
		return a, nil
	}
	a.err.F0 = h.take.Reading.F0.V - h.truth.F0
	a.err.B = h.take.Reading.B.V - h.truth.B
	// The samples of the pluck, and which of them were measured, by their number
	// from the first after the onset.
	rate, at := h.Take.Rate, h.truth.Plucks[0].At
	first := math.Ceil(at * rate)
	count := int(math.Round(h.Take.Seconds*rate) - first)
	p := measured(h.take)
	from := clamp(int(p.From*rate-first), 0, count)
	to := clamp(int(p.To*rate-first), from, count)
	s := signal(h)
	var parts [3]*bound.Information
	for i, cut := range [3][2]int{{0, from}, {from, to}, {to, count}} {
		in, err := s.Information((first+float64(cut[0]))/rate-at, cut[1]-cut[0])
		if err != nil {
			return a, fmt.Errorf("%v: %w", h.Case, err)
		}
		parts[i] = in
	}
	whole := parts[0].Plus(parts[1]).Plus(parts[2])
	for _, want := range []struct {
		dst   *bound.Bound
		in    *bound.Information
		known bound.Known
	}{{&a.bound, whole, bound.Steady}, {&a.gliding, whole, bound.Gliding}, {&a.windowed, parts[1], bound.Steady}} {
		b, err := want.in.Bound(want.known)
		switch {
		case errors.Is(err, bound.ErrNoBound) && want.dst != &a.bound:
			b = bound.Bound{F0: math.NaN(), B: math.NaN()} // nothing to compare with
		case err != nil:
			return a, fmt.Errorf("%v: %w", h.Case, err)
		}
		*want.dst = b
	}
	return a, nil
}

// distance is the error in bounds; of B, NaN where it is not known.
func (a attempt) distance() (f0, b float64) {
	b = math.NaN()
	if a.take.Reading.BKnown {
		b = a.err.B / a.bound.B
	}
	return a.err.F0 / a.bound.F0, b
}

// beyond tells whether either is farther from nothing than most.
func beyond(f0, b, most float64) bool { return math.Abs(f0) > most || math.Abs(b) > most }

func clamp(v, lo, hi int) int { return max(lo, min(v, hi)) }

// measured is the first pluck that was trusted.
func measured(t detect.Take) detect.Pluck {
	for _, p := range t.Plucks {
		if p.Trusted {
			return p
		}
	}
	return detect.Pluck{}
}

// signal is what the bound has to know of a clean take.
func signal(h heard) bound.Signal {
	p := h.truth.Plucks[0]
	s := bound.Signal{F0: h.truth.F0, B: h.truth.B, GlideDecay: p.GlideDecay, Rate: h.Take.Rate, Sigma: h.truth.White}
	for _, q := range p.Partials {
		s.Partials = append(s.Partials, bound.Partial{N: q.N, Amp: q.Amp, Phase: q.Phase, Decay: q.Decay})
	}
	return s
}

// ratio sums up those of the attempts that belong.
func ratio(name string, all []attempt, belongs func(attempt) bool) Ratio {
	r := Ratio{Name: name}
	var f0, b, snr, c, bc, f0g, f0w, bg, bw []float64
	for _, a := range all {
		if !belongs(a) {
			continue
		}
		zF0, zB := a.distance()
		f0 = append(f0, zF0)
		if g, w := a.err.F0/a.gliding.F0, a.err.F0/a.windowed.F0; !math.IsNaN(g + w) {
			f0g, f0w = append(f0g, g), append(f0w, w)
		}
		snr = append(snr, a.truth.SNRdB)
		c, bc = append(c, a.off()), append(bc, cents(1+a.bound.F0/a.truth.F0, 1))
		if a.take.Reading.BKnown {
			b = append(b, zB)
			if g, w := a.err.B/a.gliding.B, a.err.B/a.windowed.B; !math.IsNaN(g + w) {
				bg, bw = append(bg, g), append(bw, w)
			}
		}
		if beyond(zF0, zB, farOff) {
			r.Far++
		}
	}
	r.Takes, r.BRead = len(f0), len(b)
	r.SNR = mean(snr)
	r.F0, r.UF0, r.B, r.UB = rms(f0), rmsU(f0), rms(b), rmsU(b)
	r.F0Typical, r.BTypical = quantile(abs(f0), 0.5)/normalMedian, quantile(abs(b), 0.5)/normalMedian
	r.F0Cents, r.BoundCents = rms(c), rms(bc)
	r.F0Gliding, r.F0Window, r.BGliding, r.BWindow = rms(f0g), rms(f0w), rms(bg), rms(bw)
	return r
}
