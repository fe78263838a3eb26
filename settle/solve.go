package settle

import "math"

// A point is one reading, or the mean of several next to each other, as it is fitted:
// its weight is one over its variance, t is in units of the whole time, and what warmth
// does at its expected coefficient has been taken out of y.
type point struct {
	t, y, warm, weight float64
	part               int // between which steps it lies, from 0
}

// A level is the pitch of one part, between two steps: of the readings there the total
// weight and the weighted means of y, of the law's shape and of the warmth.
type level struct{ weight, y, shape, warm float64 }

// A solution is a law with a certain τ fitted to points: a level of its own for each
// part, a b and a coefficient of warmth for all of them.
type solution struct {
	law    Law
	tau    float64
	levels []level
	b, k   float64 // k: above the expected coefficient
	bb, kk float64 // variances
	bk     float64 // covariance
	chi2   float64
	ok     bool // the law can be told from a level at all
}

// solve fits a law by weighted least squares. u is the standard uncertainty of the
// coefficient of warmth, which is fixed where that is zero. Levels are eliminated part
// by part (Frisch and Waugh, Econometrica 1 (1933) 387), which leaves two unknowns.
// shapes is scratch for as many numbers as points.
func solve(points []point, parts int, law Law, tau, u float64, shapes []float64) solution {
	s := solution{law: law, tau: tau, levels: make([]level, parts), ok: true}
	for i, p := range points {
		shapes[i] = law.shape(p.t, tau)
		l := &s.levels[p.part]
		l.weight += p.weight
		l.y += p.weight * p.y
		l.shape += p.weight * shapes[i]
		l.warm += p.weight * p.warm
	}
	for i := range s.levels {
		if l := &s.levels[i]; l.weight > 0 {
			l.y, l.shape, l.warm = l.y/l.weight, l.shape/l.weight, l.warm/l.weight
		}
	}
	var yy, ss, ww, sw, sy, wy float64
	for i, p := range points {
		l := s.levels[p.part]
		y, shape, warm := p.y-l.y, shapes[i]-l.shape, p.warm-l.warm
		yy += p.weight * y * y
		ss += p.weight * shape * shape
		ww += p.weight * warm * warm
		sw += p.weight * shape * warm
		sy += p.weight * shape * y
		wy += p.weight * warm * y
	}
	known := 0.0 // weight of what was known of the coefficient
	if u > 0 {
		known = 1 / (u * u)
		ww += known
	} else {
		ww, sw, wy = 0, 0, 0
	}
	switch {
	case law.sloped() && u > 0:
		det := ss*ww - sw*sw
		if !(det > 1e-12*ss*ww) {
			s.ok = false
			return s
		}
		s.bb, s.kk, s.bk = ww/det, ss/det, -sw/det
	case law.sloped():
		if !(ss > 0) {
			s.ok = false
			return s
		}
		s.bb = 1 / ss
	case u > 0:
		s.kk = 1 / ww
	}
	s.b, s.k = s.bb*sy+s.bk*wy, s.bk*sy+s.kk*wy
	for i, p := range points {
		l := s.levels[p.part]
		r := p.y - l.y - s.b*(shapes[i]-l.shape) - s.k*(p.warm-l.warm)
		s.chi2 += p.weight * r * r
	}
	s.chi2 += s.k * s.k * known
	return s
}

// at is the pitch at a time and warmth in a part, and its variance.
func (s *solution) at(t, warm float64, part int) (y, variance float64) {
	l := s.levels[part]
	ds, dw := s.shapeAt(t)-l.shape, warm-l.warm
	return l.y + s.b*ds + s.k*dw, 1/l.weight + ds*ds*s.bb + dw*dw*s.kk + 2*ds*dw*s.bk
}

func (s *solution) shapeAt(t float64) float64 { return s.law.shape(t, s.tau) }

// a is the law's constant, that of the first part, and its variance.
func (s *solution) a() (a, variance float64) {
	l := s.levels[0]
	return l.y - s.b*l.shape - s.k*l.warm, 1/l.weight + l.shape*l.shape*s.bb + l.warm*l.warm*s.kk + 2*l.shape*l.warm*s.bk
}

// step is by how much a part lies above the one before it, and its variance.
func (s *solution) step(part int) (size, variance float64) {
	p, q := s.levels[part-1], s.levels[part]
	ds, dw := q.shape-p.shape, q.warm-p.warm
	return q.y - p.y - s.b*ds - s.k*dw, 1/p.weight + 1/q.weight + ds*ds*s.bb + dw*dw*s.kk + 2*ds*dw*s.bk
}

// mean gathers readings next to each other into points, the later ones more of them
// into one, so that a fit takes no longer for many: the shapes bend less and less with
// time, and within a five-hundredth of the readings so far by next to nothing.
func mean(points []point, into []point) []point {
	const finest = 500
	into = into[:0]
	for i := 0; i < len(points); {
		size := 1 + i/finest
		m := point{part: points[i].part}
		j := i
		for ; j < len(points) && j < i+size && points[j].part == m.part; j++ {
			p := points[j]
			m.weight += p.weight
			m.t += p.weight * p.t
			m.y += p.weight * p.y
			m.warm += p.weight * p.warm
		}
		if m.weight > 0 {
			m.t, m.y, m.warm = m.t/m.weight, m.y/m.weight, m.warm/m.weight
			into = append(into, m)
		}
		i = j
	}
	return into
}

// root is the square root of a variance that rounding may have made negative.
func root(variance float64) float64 { return math.Sqrt(max(0, variance)) }
