package lesson

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"
)

// covered is the probability that intervals hold the truth with.
const covered = 0.95

// coveredBy says so.
func coveredBy(k float64) string { return fmt.Sprintf(" (95 %%, k = %.3g)", k) }

// Judge says what points have to say of the law. Points that are set aside, or that are
// none of the lesson's, are placed and do not count.
//
// The line is the likeliest one with errors in both coordinates (straight.Through). How
// far off the points may be is taken from how they scatter about it, and from what they
// are told to be off by no more than which of them is off by more: intervals are Student's
// by the degrees of freedom that are there, and hold the truth in 95 of 100 classes also
// where pupils measure worse than they say. Where points scatter less than they are told to
// be off by, beyond chance, what was told counts. What all points share, such as
// where a rule begins, does not show in the scatter: the line is fitted once more with all
// moved by that, and the degrees of freedom are those of Welch and Satterthwaite
// (JCGM 100:2008, G.4.1).
func (l *Lesson) Judge(points []Point, g Givens) Outcome {
	w := l.law
	o := Outcome{Lesson: l.ID, Axes: w.axes, K: 2, Next: []string{}, Findings: []Finding{}, Placed: []Placed{}, Curve: []Curve{}, Doubts: []string{}, Odd: []int{}}
	if w.given != nil {
		x, err := w.given(g)
		if err != nil {
			o.Verdict, o.Say, o.Next = NotShown, fmt.Sprintf("These data do not show it: the %v.", err), []string{"tell it"}
			for _, p := range points {
				o.Placed = append(o.Placed, Placed{Name: l.name(p), From: p.From, Aside: "has no place: the " + err.Error()})
			}
			return o
		}
		w.x = []func(Point) Value{x}
	}
	var used []Point
	var index []int // of those used among all
	for i, p := range points {
		placed, err := l.place(&w, p)
		if err == nil && p.Aside == "" {
			used, index = append(used, p), append(index, i)
			o.Doubts = append(o.Doubts, doubtsOf(p)...)
		}
		if err != nil && p.Aside == "" {
			placed.Aside = err.Error()
		}
		o.Placed = append(o.Placed, placed)
	}
	o.Used = len(used)
	r, ok := w.regress(used)
	if !ok {
		o.Verdict, o.Say = NotShown, fmt.Sprintf("These data do not show it: %s that counts makes no line.", counted(len(used), "point"))
		if len(used) != 1 {
			o.Say = fmt.Sprintf("These data do not show it: %s that count make no line.", counted(len(used), "point"))
		}
		o.Next = []string{l.more(used)}
		return o
	}
	o.Free = r.fit.Free
	scatter := math.Sqrt(r.fit.Chi2 / float64(r.fit.Free))
	o.Scatter = &scatter
	o.K = student(r.free)
	if o.K > mostDrawn {
		o.K = 2
	}
	o.Findings = append(o.Findings, w.conclude(r, used, g)...)
	o.draw(r, index)
	for _, i := range r.odd() {
		o.Odd = append(o.Odd, index[i])
		o.Doubts = append(o.Doubts, fmt.Sprintf("point %d (%s) does not belong to the others: look at how it was measured before you set it aside", index[i]+1, o.Placed[index[i]].Name))
	}
	o.Doubts = append(o.Doubts, r.remarks()...)
	if told := slices.ContainsFunc(used, func(p Point) bool { return len(p.X) > 1 }); told && len(r.fit.Slopes) == 1 {
		o.Doubts = append(o.Doubts, fmt.Sprintf("the %s is left out: it was not told of every point, or goes with the %s, so that nobody can tell which of the two it was", l.X[1].Name, l.X[0].Name))
	}
	if assumed := l.assumed(used); len(assumed) > 0 {
		o.Doubts = append(o.Doubts, "where nobody told how well it is known a usual tolerance was taken: "+strings.Join(assumed, ", "))
	}
	l.decide(&o, r)
	return o
}

// assumed are the names of what is known only as well as usual.
func (l *Lesson) assumed(points []Point) (out []string) {
	for i, a := range l.X {
		if slices.ContainsFunc(points, func(p Point) bool { return i < len(p.X) && p.X[i].Assumed }) {
			out = append(out, a.Name)
		}
	}
	if !l.law.rough && slices.ContainsFunc(points, func(p Point) bool { return p.Y.Assumed }) {
		out = append(out, l.Y.Name)
	}
	return out
}

// mostDrawn is the factor beyond which a band would fill the picture and say nothing.
const mostDrawn = 4.5

func doubtsOf(p Point) (out []string) {
	for _, d := range p.Doubts {
		if p.From != "" {
			d = p.From + ": " + d
		}
		out = append(out, d)
	}
	return out
}

// student is the factor on a standard uncertainty that holds 95 %, by its degrees of
// freedom; 0 for unlimited.
func student(dof float64) float64 {
	if dof == 0 || dof > 1e6 {
		return distuv.UnitNormal.Quantile((1 + covered) / 2)
	}
	return distuv.StudentsT{Sigma: 1, Nu: dof}.Quantile((1 + covered) / 2)
}

// conclude makes findings whole.
func (w *law) conclude(r *regression, points []Point, g Givens) []Finding {
	var moved []*regression
	var why []shift
	if w.shared != nil {
		for _, s := range w.shared(points, g) {
			there := make([]Point, len(points))
			for i, p := range points {
				there[i] = s.move(p)
			}
			if m, ok := w.regress(there); ok {
				moved, why = append(moved, m), append(why, s)
			}
		}
	}
	var out []Finding
	for _, f := range w.find(r, g) {
		v, own, ok := f.of(r)
		if !ok {
			continue
		}
		own *= r.s
		u := math.Hypot(own, f.extra*v)
		for i, m := range moved {
			there, _, ok := f.of(m)
			if !ok {
				continue
			}
			u = math.Hypot(u, there-v)
			const worthSaying = 0.3 // of what the scatter makes
			if math.Abs(there-v) > worthSaying*own {
				f.From = append(f.From, why[i].name)
			}
		}
		f.Value = Value{V: v, U: u}
		f.DoF = r.free
		if u > own {
			f.DoF = r.free * math.Pow(u/own, 4)
		}
		f.K = student(f.DoF)
		if f.DoF > 1e6 {
			f.DoF = 0
		}
		f.Low, f.High = v-f.K*u, v+f.K*u
		if finite(f.Low) && finite(f.High) {
			out = append(out, f.Finding)
		}
	}
	return out
}

// bent is the probability that points on a line are as far from it in the manner of a
// parabola, by Fisher's test of one more term (any textbook of regression), and by how
// much the slope at the end that is farther from the middle differs from the line's.
func (r *regression) bent() (chance, steeper float64) {
	if len(r.fit.Slopes) != 1 || r.fit.Free < 2 {
		return 1, 0
	}
	// What of x² is no straight line itself, each part with its own level.
	var one, two []float64
	for i := range r.fit.Points {
		x := r.fit.Adjusted[i][0]
		one, two = append(one, x), append(two, x)
	}
	one = r.level(one)
	for i := range two {
		two[i] = one[i] * one[i]
	}
	two = r.level(two)
	b := r.product(one, two) / r.product(one, one)
	off := make([]float64, len(two))
	for i := range two {
		two[i] -= b * one[i]
		off[i] = r.fit.Residual(i)
	}
	norm := r.product(two, two)
	if !(norm > 1e-12*math.Pow(r.product(one, one), 2)/float64(len(two))) {
		return 1, 0
	}
	gain := math.Pow(r.product(two, off), 2) / norm
	rest := float64(r.fit.Free - 1)
	far := 0.0
	for _, x := range one {
		far = max(far, math.Abs(x))
	}
	steeper = math.Abs(2 * r.product(two, off) / norm * far)
	return distuv.F{D1: 1, D2: rest}.Survival(gain / max((r.fit.Chi2-gain)/rest, 1e-300)), steeper
}

// level takes the weighted mean of its part off each number.
func (r *regression) level(v []float64) []float64 {
	sum, mean := make([]float64, r.parts), make([]float64, r.parts)
	for i, w := range r.fit.Weights {
		sum[r.part[i]] += w
		mean[r.part[i]] += w * v[i]
	}
	out := slices.Clone(v)
	for i := range out {
		out[i] -= mean[r.part[i]] / sum[r.part[i]]
	}
	return out
}

func (r *regression) product(a, b []float64) (sum float64) {
	for i, w := range r.fit.Weights {
		sum += w * a[i] * b[i]
	}
	return sum
}

// odd lists points that lie so far off the line through the others that chance makes
// one of a hundred classes have such a point (Student's test of each residual that its own
// point has no part in, by the number of points: any textbook of regression).
func (r *regression) odd() (out []int) {
	const rare = 0.01
	n := float64(len(r.points))
	if r.fit.Free < 3 {
		return nil
	}
	rest := float64(r.fit.Free - 1)
	others := distuv.StudentsT{Sigma: 1, Nu: rest}
	for i, p := range r.fit.Points {
		_, v := r.fit.At(p.Part, r.fit.Adjusted[i]...)
		w, off := r.fit.Weights[i], r.fit.Residual(i)
		// What chi-square loses without the point, its weights being what they are.
		own := w * off * off / (1 - w*v)
		const alone = 1e-9 // the line goes through a point that is the only one of its part
		if 1-w*v < alone {
			continue
		}
		if t := math.Sqrt(own / max((r.fit.Chi2-own)/rest, 1e-300)); 2*others.Survival(t)*n < rare {
			out = append(out, i)
		}
	}
	return out
}

// remarks tell what the scatter says of the uncertainties that were given.
func (r *regression) remarks() (out []string) {
	switch {
	case !r.told(): // nobody said how well they are known
	case r.closer:
		out = append(out, fmt.Sprintf("the points scatter %.2g times as far as they are told to be off by: intervals go by what was told", math.Sqrt(r.fit.Chi2/float64(r.fit.Free))))
	case distuv.ChiSquared{K: float64(r.fit.Free)}.Survival(r.fit.Chi2) < surprising:
		out = append(out, fmt.Sprintf("the points scatter %.2g times as far as they are told to be off by: intervals go by the scatter", r.s))
	}
	return out
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func sentence(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
