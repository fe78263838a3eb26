package detect

import (
	"cmp"
	"math"
	"math/cmplx"
	"slices"
)

// relaxed is a line's information on (its law's frequency, the glide) once its
// own offset, of relative spread tau, is eliminated too.
func (l *line) relaxed(tau float64) (info [shared][shared]float64, grad [shared]float64) {
	info, grad = l.info, l.grad
	if tau == 0 {
		return info, grad
	}
	w := 1 / (tau * l.hz * tau * l.hz)
	// The offset's own normal equation: (info00 + w) δ = grad0 - w·off.
	p := info[0][0] + w
	r := grad[0] - w*l.off
	for i := range shared {
		for j := range shared {
			info[i][j] = l.info[i][j] - l.info[i][0]*l.info[0][j]/p
		}
		grad[i] = l.grad[i] - l.info[i][0]*r/p
	}
	return info, grad
}

// offset is the line's best departure from the law after the shared parameters
// moved by d, the law's frequency first.
func (l *line) offset(tau float64, d [shared]float64) float64 {
	if tau == 0 {
		return 0
	}
	w := 1 / (tau * l.hz * tau * l.hz)
	left := l.grad[0] - w*l.off
	for j := range d {
		left -= l.info[0][j] * d[j]
	}
	return l.off + left/(l.info[0][0]+w)
}

// own is the line's frequency by itself, the glide taken as it is, with its
// standard uncertainty, Hz.
func (l *line) own() Value {
	if l.info[0][0] <= 0 {
		return Value{l.hz, math.Inf(1)}
	}
	return Value{l.hz + l.grad[0]/l.info[0][0], 1 / math.Sqrt(l.info[0][0])}
}

// heard tells whether the line stands out of its noise enough to be believed.
func (l *line) heard() bool { return l.used && l.snr > leastSNR && cmplx.Abs(l.amp) > 3*l.uAmp }

// departure is how far line l lies from the law, Hz, and what noise explains of it.
func (f *fit) departure(l *line) (d, u float64) {
	own := l.own()
	return own.V - f.sounding(l.n), own.U
}

const (
	outlier  = 5.0  // standard deviations at which a line is no partial of this string
	mostOut  = 0.25 // share of the lines that may be set aside,
	mostTold = 0.5  // and of all that stands out of the noise: many faint ones do not outvote the clearest
	leastSNR = 12.0 // power over noise below which a line is not heard
)

// reweigh sets aside what is not heard or not of the law, and estimates the
// relative scatter tau of the rest. It reports whether the fit must go on.
func (f *fit) reweigh() bool {
	changed := false
	if !f.frozen {
		for _, l := range f.used() {
			if f.fr.findLeaks(l) {
				changed = true
			}
		}
	}
	var in []*line
	for _, l := range f.lines {
		if l.used && l.snr < leastSNR && !f.frozen {
			l.used, l.out, l.amp, l.off = false, true, 0, 0
			changed = true
		}
		if l.used {
			in = append(in, l)
		}
	}
	if len(in) < 3 {
		return changed
	}
	type departed struct {
		*line
		d, u float64
	}
	away := make([]departed, len(in))
	for i, l := range in {
		d, u := f.departure(l)
		away[i] = departed{l, math.Abs(d), u}
	}
	pull := func(l departed, tau float64) float64 { return l.d / math.Hypot(l.u, tau*l.hz) }
	// The median sets a scale that outliers cannot move.
	pulls := make([]float64, len(in))
	median := func(tau float64) float64 {
		for i, l := range away {
			pulls[i] = pull(l, tau)
		}
		slices.Sort(pulls)
		return pulls[len(pulls)/2]
	}
	scale := root(func(tau float64) float64 { return median(tau) - 0.6745 })
	slices.SortStableFunc(away, func(a, b departed) int {
		return cmp.Compare(pull(b, scale), pull(a, scale))
	})
	most := int(mostOut * float64(len(in)))
	told, aside := 0.0, 0.0 // how clear all are together, and those set aside
	for _, l := range in {
		told += l.snr
	}
	// What is left of a glide moves the clearest lines by more than noise: in a window that is
	// not the last that must be taken out before any is judged.
	judged := !f.frozen && len(in) > 4 && (!f.rough || f.straight())
	keep := in[:0:0]
	for i, away := range away {
		l := away.line
		if judged && i < most && pull(away, scale) > outlier && aside+l.snr < mostTold*told {
			aside += l.snr
			// It is heard all the same: it stays in the model, but on its own.
			l.used, l.out = false, true
			f.strays = append(f.strays, &line{hz: l.own().V, alpha: l.alpha, amp: l.amp, used: true})
			changed = true
			continue
		}
		keep = append(keep, l)
	}
	dof := float64(len(keep) - 2)
	if f.burden.there() {
		dof = max(dof-2, 1)
	}
	if len(keep) < 4 {
		dof = float64(len(keep) - 1)
	}
	misfit := f.misfit(keep)
	chi := func(tau float64) float64 { return misfit(tau) - dof }
	f.chi2 = (chi(0) + dof) / dof
	tau := 0.0
	if f.chi2*dof > chiSquared(dof) {
		tau = root(chi)
	}
	if math.Abs(tau-f.tau) > 0.1*f.tau+1e-9 {
		changed = true
	}
	f.tau = tau
	if tau == 0 {
		for _, l := range keep {
			l.off = 0 // the law holds: a step need not bring them back
		}
	}
	return changed
}

// A row is how far a line departs from the law, over its standard deviation, and by how
// much ln f0 and B, over its likely spread, move it.
type row struct{ f0, b, off float64 }

// row is that of a line, where lines scatter by some tau.
func (f *fit) row(l *line) func(tau float64) row {
	d, u := f.departure(l)
	j := f.sens(l.n)
	return func(tau float64) row {
		w := 1 / math.Hypot(u, tau*l.hz)
		return row{w * j[0], w * j[1] * bSpread, w * d}
	}
}

// lawEquations are the normal equations of rows.
type lawEquations struct{ s00, s01, s11, y0, y1, yy, det float64 }

func (g *lawEquations) add(r row) {
	g.s00, g.s01, g.s11 = g.s00+r.f0*r.f0, g.s01+r.f0*r.b, g.s11+r.b*r.b
	g.y0, g.y1, g.yy = g.y0+r.f0*r.off, g.y1+r.b*r.off, g.yy+r.off*r.off
}

// close ends adding, and tells whether the rows tell both parameters.
func (g *lawEquations) close() bool {
	g.s11++ // B is likely to be near
	g.det = g.s00*g.s11 - g.s01*g.s01
	return g.det > 1e-12*g.s00*g.s11
}

// misfit is, where lines scatter by some tau, the sum of the squares of the lines' departures, each over its standard
// deviation, about the law that fits them best then: about another, as one found for more scatter is, the clearest would seem to be off.
func (f *fit) misfit(lines []*line) func(tau float64) float64 {
	rows := make([]func(float64) row, len(lines))
	for i, l := range lines {
		rows[i] = f.row(l)
	}
	return func(tau float64) float64 {
		var g lawEquations
		for _, row := range rows {
			g.add(row(tau))
		}
		if !g.close() {
			return g.yy
		}
		return max(0, g.yy-(g.s11*g.y0*g.y0-2*g.s01*g.y0*g.y1+g.s00*g.y1*g.y1)/g.det)
	}
}

// leverage is by how much the variances of ln f0 and B are more than the scatter tau alone
// would have them, at least 1: partials do not all scatter alike, and those that are off may
// be those on which most hangs (the covariance of least squares that holds whatever each
// one's variance is, as HC3: MacKinnon & White 1985).
func (f *fit) leverage() (f0, b float64) {
	var rows []row
	var g lawEquations
	for _, l := range f.heard() {
		r := f.row(l)(f.tau)
		rows = append(rows, r)
		g.add(r)
	}
	if !g.close() || len(rows) < 4 {
		return 1, 1
	}
	x0, x1 := (g.s11*g.y0-g.s01*g.y1)/g.det, (g.s00*g.y1-g.s01*g.y0)/g.det
	var v0, v1 float64
	for _, r := range rows {
		g0, g1 := (g.s11*r.f0-g.s01*r.b)/g.det, (g.s00*r.b-g.s01*r.f0)/g.det
		left := (r.off - r.f0*x0 - r.b*x1) / max(1-r.f0*g0-r.b*g1, 0.2)
		v0, v1 = v0+g0*g0*left*left, v1+g1*g1*left*left
	}
	return max(1, v0*g.det/g.s11), max(1, v1*g.det/g.s00)
}

// chiSquared is what a sum of so many squares exceeds by chance once in a thousand
// (Wilson & Hilferty 1931). Less scatter is no reason to weigh a clear partial no
// more than a faint one.
func chiSquared(dof float64) float64 {
	const z = 3.09
	c := 2 / (9 * dof)
	return dof * math.Pow(1-c+z*math.Sqrt(c), 3)
}

// root finds where a falling function of the scatter crosses zero, between 0
// (returned when it starts below) and 10 %.
func root(fall func(float64) float64) float64 {
	if fall(0) <= 0 {
		return 0
	}
	lo, hi := 1e-8, 0.1
	for range 40 {
		mid := math.Sqrt(lo * hi)
		if fall(mid) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}

// slope is how steadily the pitch moves besides the glide, relative per second,
// as a peg being turned makes it do. The uncertainty counts what the partials,
// each by itself, scatter about it: real ones beat.
func (f *fit) slope() Value {
	var vs []Value
	for _, l := range f.heard() {
		own := l.info[0][0]
		if own <= 0 {
			continue
		}
		info := l.info[3][3] - l.info[3][0]*l.info[0][3]/own // its frequency eliminated
		if info > 0 {
			vs = append(vs, Value{(l.grad[3] - l.info[3][0]*l.grad[0]/own) / info, 1 / math.Sqrt(info)})
		}
	}
	u := math.Sqrt(f.cov.At(4, 4))
	if len(vs) > 1 {
		u = math.Hypot(u, mean(vs).U)
	}
	return Value{f.gl.slope, u}
}
