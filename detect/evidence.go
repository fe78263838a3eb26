package detect

import (
	"math"
	"sort"
)

// A law is the stiff string's series f_n = n f0 √(1 + B n²): pinned ends,
// Fletcher 1964; Fletcher & Rossing, The Physics of Musical Instruments.
type law struct {
	f0 float64 // Hz
	b  float64
}

func (l law) hz(n int) float64 {
	m := float64(n)
	return m * l.f0 * math.Sqrt(1+l.b*m*m)
}

// part is the law of an m-th of the fundamental, of which l is every m-th partial.
func (l law) part(m int) law { return law{l.f0 / float64(m), l.b / float64(m*m)} }

// number is the partial nearest to hz, at least 1.
func (l law) number(hz float64) int {
	// n²(1+Bn²) = (hz/f0)² solved for n².
	r := hz / l.f0
	m := r
	if l.b > 1e-12 {
		m = math.Sqrt((math.Sqrt(1+4*l.b*r*r) - 1) / (2 * l.b))
	}
	return max(1, int(m+0.5))
}

// prominence is 1 for the spectrum's loudest peak and falls to 0.4 at 40 dB below.
func (s *spectrum) prominence(p peak) float64 { return 0.4 + 0.6*unit(1+(p.db-s.loudest)/40) }

// A match pairs a partial with the peak that is taken for it.
type match struct {
	n int
	p peak
}

// A hypothesis is a law with the peaks it explains and what that is worth.
type hypothesis struct {
	law
	burden  burden     // none on a bare string
	held    burdenHeld // within what, where there is one
	uF0, uB float64    // rough

	uRatio, uOff2 float64 // of the load, rough
	matches       []match
	strays        []peak  // peaks it leaves unexplained
	score         float64 // log-evidence, nats
	support       float64 // the same, strays left out
}

const (
	maxPartials    = 80
	maxB           = 8e-3   // more stiffness than any playable string has
	absentNats     = 1.7    // nats lost for a partial that should be heard and is not,
	silentNats     = 1.6    // and for one that should be loud
	partialScatter = 0.0015 // relative, by which body, end and worn winding move real partials
	strayNats      = 1.5    // nats lost for a strong peak left unexplained
)

// weight grows from 0 for a peak barely out of the noise to 1 for a clear one.
func (p peak) weight() float64 {
	return min(1, max(0.1, (p.snrDB-6)/24))
}

// judge matches peaks to a hypothesis from the lowest partial up, sharpening f0
// and B on the way, and scores it: a peak found where the law wants it earns
// the logarithm of how unlikely that was by chance; a partial that should be
// heard and is not costs, and so does a strong peak left over. Thus f0/2 loses
// by its missing odd partials and 2·f0 by the ones it leaves unexplained.
func (s *spectrum) judge(start law, topHz float64) hypothesis {
	return s.judgeBurdened(start, burden{}, burdenHeld{}, topHz)
}

// judgeBurdened is judge for a string that may carry a load.
func (s *spectrum) judgeBurdened(start law, on burden, held burdenHeld, topHz float64) hypothesis {
	grown := hypothesis{law: start, burden: on, held: held}
	topHz = grown.clearTop(s, topHz)
	// From a few low partials the law is carried on to half as many again, so
	// that a chance peak far up cannot bend it.
	for reach := 0; ; {
		grown.match(s, topHz)
		if len(grown.matches) == 0 {
			return grown
		}
		last := grown.matches[len(grown.matches)-1].n
		reach = max(grown.matches[min(4, len(grown.matches)-1)].n, reach+reach/2, reach+2)
		for range 2 {
			grown.fitPeaks(s, reach)
			grown.match(s, topHz)
		}
		if reach >= last {
			break
		}
	}
	// Low partials may wander, and the start may have known better.
	whole := hypothesis{law: start, burden: on, held: held}
	whole.match(s, topHz)
	for _, h := range []*hypothesis{&grown, &whole} {
		for range 2 {
			h.fitPeaks(s, maxPartials)
			h.match(s, topHz)
		}
		h.weigh(s, topHz)
	}
	if whole.score > grown.score {
		return whole
	}
	return grown
}

// tolerance is how far from the law's place a peak may lie to count, in Hz: the
// resolution, what moves real partials, and how well the law is known so far.
func (h *hypothesis) tolerance(s *spectrum, n int) float64 {
	f := h.hz(n)
	known := 0.5 * float64(n*n) * h.uB * f
	tol := 0.9*s.resHz + math.Hypot(0.0012*f, known)
	return min(tol, 0.24*h.room(n))
}

func (h *hypothesis) match(s *spectrum, topHz float64) {
	h.matches = h.matches[:0]
	for n := 1; n <= maxPartials; n++ {
		f := h.hz(n)
		if f > topHz {
			break
		}
		tol := h.tolerance(s, n)
		i := sort.Search(len(s.peaks), func(i int) bool { return s.peaks[i].hz >= f-tol })
		best, bestGain := -1, 0.0
		for ; i < len(s.peaks) && s.peaks[i].hz <= f+tol; i++ {
			d := (s.peaks[i].hz - f) / tol
			if g := s.peaks[i].snrDB * (1 - 0.5*d*d); g > bestGain {
				best, bestGain = i, g
			}
		}
		if best >= 0 {
			h.matches = append(h.matches, match{n, s.peaks[best]})
		}
	}
}

// fitPeaks fits (f0, B) to the peaks matched up to partial reach: least squares in
// (f_n/n)² = f0² + f0²B n², which is linear in f0² and f0²B, weighted, with B
// held to what strings can have.
func (h *hypothesis) fitPeaks(s *spectrum, reach int) {
	if h.burden.there() {
		h.fitBurdened(s, reach)
		return
	}
	var s0, s2, s4, y0, y2 float64
	for _, m := range h.matches {
		if m.n > reach {
			break
		}
		n := float64(m.n)
		y := m.p.hz / n
		r := (m.p.hz - h.hz(m.n)) / math.Hypot(m.p.u, 0.0012*m.p.hz) // 2 cents is little for a real partial
		u := 2 * y * math.Hypot(m.p.u, 0.0008*m.p.hz) / n            // of y², with what moves partials
		// Faint peaks are more often chance; what lies off loses its say (Cauchy).
		w := s.prominence(m.p) * m.p.weight() / (u * u * (1 + r*r))
		y *= y
		n2 := n * n
		s0 += w
		s2 += w * n2
		s4 += w * n2 * n2
		y0 += w * y
		y2 += w * y * n2
	}
	// A weak prior on f0²B keeps two or three partials from bending the law.
	f02 := h.f0 * h.f0
	const usualB, spreadB = 8e-5, 4e-4
	wp := 1 / (spreadB * spreadB * f02 * f02)
	s4 += wp
	y2 += wp * usualB * f02
	det := s0*s4 - s2*s2
	if det <= 0 {
		return
	}
	c := (s0*y2 - s2*y0) / det
	a := (y0 - c*s2) / s0
	if c < 0 {
		a, c = y0/s0, 0
	}
	if a <= 0 {
		return
	}
	h.f0 = math.Sqrt(a)
	h.b = min(c/a, maxB)
	h.uF0 = math.Sqrt(s4/det) / (2 * h.f0)
	h.uB = math.Sqrt(s0/det) / a
}

// reach is the frequency up to which partials are looked for, Hz: a bright low string
// has more than that, and what lies above tells nothing for or against it.
func (h *hypothesis) reach() float64 { return h.hz(maxPartials) + h.room(maxPartials)/2 }

// weigh adds up the evidence.
func (h *hypothesis) weigh(s *spectrum, topHz float64) {
	top := 0.0
	for _, p := range s.peaks {
		if p.hz <= topHz {
			top = p.hz
		}
	}
	density := float64(len(s.peaks)) / max(top-s.peaks[0].hz, 50) // peaks per Hz
	found := make(map[int]peak, len(h.matches))
	used := make(map[float64]bool, len(h.matches))
	strongest := -300.0
	for _, m := range h.matches {
		found[m.n] = m.p
		used[m.p.hz] = true
		strongest = max(strongest, m.p.db)
	}
	h.score = 0
	h.strays = nil
	slots := 0
	for slots < maxPartials && h.hz(slots+1) <= top+0.5*h.f0 {
		slots++
	}
	h.score -= h.absences(found, slots)
	for n := 1; n <= slots; n++ {
		p, ok := found[n]
		if !ok {
			continue
		}
		// The wanted place is known to a good part of the resolution.
		width := math.Hypot(math.Hypot(p.u, 0.3*s.resHz), 0.0003*p.hz)
		d := (p.hz - h.hz(n)) / width
		chance := min(0.5, density*2.5*width)
		h.score += p.weight() * s.prominence(p) * (math.Log(1/chance) - 0.5*min(d*d, 12))
	}
	h.support = h.score
	for _, p := range s.peaks {
		if p.hz > min(topHz, h.reach()) {
			break
		}
		if used[p.hz] {
			continue
		}
		h.strays = append(h.strays, p)
		// A stray far below the strongest is noise, hum or a neighbour; one far
		// above it says that this is not the string that was plucked.
		h.score -= strayNats * p.weight() * max(0, 1+(p.db-strongest)/40) * max(1, 1+(p.db-strongest)/8)
	}
}

// unit limits x to 0 … 1.
func unit(x float64) float64 { return min(1, max(0, x)) }
