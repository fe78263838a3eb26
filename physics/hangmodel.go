package physics

import (
	"fmt"
	"math"
)

// model is what the unit weight is computed by: the line through points of which the
// loads, the pitches and what all have in common are drawn. What the points scatter
// by beyond that is drawn as estimated from so few; which of them are odd or whether
// they are bent is not judged anew.
func (r Rig) model(h Hung, f frame) Model {
	bent := Input{Name: "curve of the line", Distribution: Rectangular}
	if h.Bent != 0 {
		bent.U = h.line.steepening() / h.line.slope / math.Sqrt(3)
	}
	inputs := []Input{
		SpeakingLength.input(r.Length), LocalGravity.input(r.Gravity), {Name: weights, Mean: 1, U: r.Scale.U}, r.Clock.input(),
		StringInharmonicity.input(f.stiff), {Name: "end condition", Distribution: Rectangular, Mean: 0.5, U: 0.5 / math.Sqrt(3)},
		{Name: "stretch", Mean: f.compliance, U: f.uCompliance}, bent,
	}
	shared := len(inputs)
	for i, p := range h.Points {
		load, heard := HungLoad.input(p.Pull), Role[Frequency]("f0").input(p.F0)
		scatter := Input{Name: "scatter", U: float64(h.Extra)}
		if h.Extra > 0 {
			scatter.Distribution, scatter.DoF, scatter.Pool = Student, float64(h.Free), "scatter"
		}
		for _, in := range []*Input{&load, &heard, &scatter} {
			in.Name = fmt.Sprintf("%s %d", in.Name, i+1)
		}
		inputs = append(inputs, load, heard, scatter)
	}
	l, g, held := h.line, float64(r.Gravity.Value), r.Ends
	weighs := make([]bool, len(h.Points))
	for i, p := range h.Points {
		weighs[i] = p.Load.Weighs()
	}
	return Model{Inputs: inputs, F: func(x []float64) float64 {
		var few [8]point // on the stack
		points := append(few[:0], l.points...)
		for i := range points {
			own, p := x[shared+3*i:], &points[i]
			p.x = own[0]*x[2] + own[2]
			if weighs[i] {
				p.x = own[0]*x[2]*x[1]/g + own[2]
			}
			f0 := own[1] * (1 + x[3])
			p.y = f0 * f0
			if held != EndsPinned {
				c := ClampRaise(Inharmonicity(math.Abs(x[4]) / p.y))
				clamped := 1 / (c * c)
				if held == EndsUnknown {
					clamped = 1 + x[5]*(clamped-1)
				}
				p.y *= clamped
			}
		}
		// Brought to one stretch, as relax does, for which the slope need not be exact.
		slope := l.again(points, l.slope, 1)
		heaviest := points[len(points)-1].y
		for i := range points {
			points[i].y *= (slope + x[6]*heaviest) / (slope + x[6]*points[i].y)
		}
		// Further steps would move this by less than a thousandth of u.
		return 1 / (4 * x[0] * x[0] * l.again(points, slope, 1) * (1 + x[7]))
	}}
}

// again is the slope of the line through points that lie near those of l, by so many
// steps of fitLine from a slope b.
func (l line) again(points []point, b float64, steps int) float64 {
	var few [8]float64 // on the stack
	weights := append(few[:0], l.weights...)
	for range steps {
		var sum, mx, my float64
		for i := range points {
			p := &points[i]
			w := 1 / (p.uy*p.uy + b*b*p.ux*p.ux)
			weights[i] = w
			sum, mx, my = sum+w, mx+w*p.x, my+w*p.y
		}
		mx, my = mx/sum, my/sum
		var up, down float64
		for i := range points {
			p, w := &points[i], weights[i]
			u, v := p.x-mx, p.y-my
			adjusted := w * w * (u*p.uy*p.uy + b*v*p.ux*p.ux)
			up, down = up+adjusted*v, down+adjusted*u
		}
		b = up / down
	}
	return b
}
