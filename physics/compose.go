package physics

import "slices"

// exactly is the model of what has no uncertainty.
func exactly(v float64) Model { return Model{F: func([]float64) float64 { return v }} }

// itself is the model of an input.
func (in Input) itself() Model {
	return Model{Inputs: []Input{in}, F: func(x []float64) float64 { return x[0] }}
}

// A link says what an input of a part is, given those of the whole: shift + scale·x.
type link struct {
	at           int
	scale, shift float64
}

// compose is the model of a law of quantities that have models themselves; zero where
// one of them has none. Inputs of one name are one input, drawn once: where two parts
// have it at two values, as a stiffness at two pulls, it is off in both by as many of
// its standard uncertainties.
func compose(law func(x ...float64) float64, parts ...Model) Model {
	return composed(func() func([]float64) float64 { return func(v []float64) float64 { return law(v...) } }, parts)
}

// replaced is the model with one of its inputs replaced by what that rests on itself.
func (m Model) replaced(input string, by Model) Model {
	if m.F == nil {
		return Model{}
	}
	parts := make([]Model, len(m.Inputs))
	for i, in := range m.Inputs {
		parts[i] = in.itself()
		if in.Name == input {
			parts[i] = by
		}
	}
	return composed(m.evaluator, parts)
}

// composed is compose for a law that is made anew for each goroutine.
func composed(law func() func([]float64) float64, parts []Model) Model {
	var out Model
	links := make([][]link, len(parts))
	for i, p := range parts {
		if p.F == nil {
			return Model{}
		}
		for _, in := range p.Inputs {
			links[i] = append(links[i], out.admit(in, links))
		}
	}
	out.local = func() func([]float64) float64 {
		fs, xs, v := make([]func([]float64) float64, len(parts)), make([][]float64, len(parts)), make([]float64, len(parts))
		for i, p := range parts {
			fs[i], xs[i] = p.evaluator(), make([]float64, len(p.Inputs))
		}
		of := law()
		return func(x []float64) float64 {
			for i, f := range fs {
				for j, l := range links[i] {
					xs[i][j] = l.shift + l.scale*x[l.at]
				}
				v[i] = f(xs[i])
			}
			return of(v)
		}
	}
	local := out.local
	out.F = func(x []float64) float64 { return local()(x) }
	return out
}

// admit adds an input and tells how it is linked to the whole's; links are those of
// the parts so far.
func (m *Model) admit(in Input, links [][]link) link {
	at := slices.IndexFunc(m.Inputs, func(o Input) bool { return o.Name == in.Name })
	if at < 0 {
		m.Inputs = append(m.Inputs, in)
		return link{at: len(m.Inputs) - 1, scale: 1}
	}
	has := &m.Inputs[at]
	both := has.Correlations
	for _, c := range in.Correlations {
		if !slices.ContainsFunc(both, func(o Correlation) bool { return o.With == c.With }) {
			both = append(slices.Clone(both), c)
		}
	}
	has.Correlations = both
	switch {
	case in.U == 0:
		return link{at: at, shift: in.Mean}
	case has.U == 0: // so far it was exact
		for _, of := range links {
			for j := range of {
				if of[j].at == at {
					of[j].scale, of[j].shift = 0, has.Mean
				}
			}
		}
		in.Correlations = both
		*has = in
		return link{at: at, scale: 1}
	}
	scale := in.U / has.U
	return link{at: at, scale: scale, shift: in.Mean - scale*has.Mean}
}

// evaluator is F for one goroutine.
func (m Model) evaluator() func(x []float64) float64 {
	if m.local != nil {
		return m.local()
	}
	return m.F
}

// renamed is the model with its inputs renamed.
func (m Model) renamed(name func(input string) string) Model {
	inputs := slices.Clone(m.Inputs)
	for i, in := range inputs {
		inputs[i].Name = name(in.Name)
		inputs[i].Correlations = slices.Clone(in.Correlations)
		for j, c := range in.Correlations {
			inputs[i].Correlations[j].With = name(c.With)
		}
	}
	m.Inputs = inputs
	return m
}
