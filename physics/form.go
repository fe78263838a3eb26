package physics

import (
	"cmp"
	"slices"
)

// A Form is all builds of as many wraps on a core of the same shape, of metal or
// not: what tells it from others is more than the name of a material.
type Form struct {
	Probability float64
	Fit         float64 // of the best of its builds
	Shape       Shape
	Core        FormPart
	Wraps       []FormPart // the innermost first

	metal   bool // the core
	sizings []sizing
}

// A FormPart is a wire of a form.
type FormPart struct {
	Size Span[Length]
	// Of are the materials that it may be of, the likeliest first, and how likely
	// within the form.
	Of []Likely
}

// A Likely material is one with its probability.
type Likely struct {
	Material    Material
	Probability float64
}

// metallic is a modulus that all metals of strings exceed and nothing else does.
const metallic = 50 * Gigapascal

// forms takes together builds of one form, the likeliest first.
func forms(found []Explained, unit Length) []Form {
	var out []Form
	for _, x := range found {
		metal := x.CoreOf.Modulus.Value > metallic
		i := slices.IndexFunc(out, func(f Form) bool {
			return f.Shape == x.Shape && len(f.Wraps) == len(x.Wraps) && f.metal == metal
		})
		if i < 0 {
			i = len(out)
			out = append(out, Form{Shape: x.Shape, metal: metal, Wraps: make([]FormPart, len(x.Wraps))})
		}
		f := &out[i]
		f.Probability += x.Probability
		f.Fit = max(f.Fit, x.Fit)
		f.Core.add(x.CoreOf, x.Probability)
		for k, w := range x.Wraps {
			f.Wraps[k].add(w.Of, x.Probability)
		}
		f.sizings = append(f.sizings, x.sizings...)
	}
	for i := range out {
		f := &out[i]
		f.Core.finish(f.sizings, 0, f.Probability, unit)
		for k := range f.Wraps {
			f.Wraps[k].finish(f.sizings, 1+k, f.Probability, unit)
		}
	}
	slices.SortStableFunc(out, func(a, b Form) int { return cmp.Compare(b.Probability, a.Probability) })
	return out
}

// add counts a material's probability.
func (p *FormPart) add(m Material, probability float64) {
	for i := range p.Of {
		if p.Of[i].Material.Name == m.Name {
			p.Of[i].Probability += probability
			return
		}
	}
	p.Of = append(p.Of, Likely{m, probability})
}

// finish finds where the size lies, and takes the probabilities within the form.
func (p *FormPart) finish(sizings []sizing, part int, whole float64, unit Length) {
	p.Size = sizeSpan(sizings, part).in(unit)
	for i := range p.Of {
		p.Of[i].Probability /= whole
	}
	slices.SortStableFunc(p.Of, func(a, b Likely) int { return cmp.Compare(b.Probability, a.Probability) })
}
