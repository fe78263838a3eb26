package lesson

import (
	"fmt"
	"math"

	"pluckweigh/physics"
)

// place puts a point where it is drawn. The error says why it cannot be one of the lesson's.
func (l *Lesson) place(w *law, p Point) (Placed, error) {
	out := Placed{Name: l.name(p), From: p.From, Aside: p.Aside, Note: p.Note}
	if err := l.Check(p); err != nil {
		return out, err
	}
	x, y := w.x[0](p), w.y(p)
	to := w.fitY.to(y.V)
	if !finite(x.V) || !finite(y.V) || !finite(to) || !finite(w.fitX.to(x.V)) {
		return out, &physics.InputError{What: "point", Why: fmt.Sprintf("has no place on the line: %s of %s", l.Y.Name, l.Y.Say(p.Y, 0))}
	}
	out.X, out.UX, out.Y, out.UY = x.V, x.U, y.V, y.U
	return out, nil
}

// name is what the first x of a point was told to be.
func (l *Lesson) name(p Point) string {
	if len(p.X) == 0 || !finite(p.X[0].V) {
		return ""
	}
	return l.X[0].Say(p.X[0], 0)
}

// drawnAt is how many points of a curve are worked out for each part.
const drawnAt = 61

// draw puts residuals beside the points, and works out the curve with its band.
func (o *Outcome) draw(r *regression, index []int) {
	w := r.law
	for i, at := range index {
		q := &o.Placed[at]
		q.Fits, q.Part = true, r.part[i]
		q.Off = w.off(r.fit.Residual(i), q.Y)
		// As far as it may be off by itself: what of x counts across the line.
		q.UOff = math.Abs(w.off(1/math.Sqrt(r.fit.Weights[i]), q.Y))
	}
	for part := range r.parts {
		lo, hi := math.Inf(1), math.Inf(-1)
		for i, p := range r.points {
			if r.part[i] == part {
				v := w.x[0](p).V
				lo, hi = min(lo, v), max(hi, v)
			}
		}
		if !(hi > lo) {
			continue
		}
		margin := 0.05 * (hi - lo)
		from := lo - margin
		if lo > 0 && from <= 0 {
			from = lo
		}
		for i := range drawnAt {
			x := from + (hi+margin-from)*float64(i)/(drawnAt-1)
			o.Curve = append(o.Curve, r.at(part, x))
		}
	}
}

// at is the law at a drawn x. What else it is plotted over is at its mean.
func (r *regression) at(part int, x float64) Curve {
	w := r.law
	at := []float64{w.fitX.to(x)}
	for k := 1; k < len(r.fit.Slopes); k++ {
		at = append(at, r.fit.Mean(part)[k])
	}
	v, variance := r.fit.At(part, at...)
	y := w.fitY.from(v)
	u := r.s * math.Sqrt(variance)
	return Curve{Part: part, X: x, Y: y, U: u / math.Abs(w.fitY.slope(y)), UOff: math.Abs(w.off(u, y))}
}
