package physics

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// A Distribution is the kind of distribution that stands for what is known of an input
// (JCGM 101:2008, 6.4).
type Distribution int

const (
	Normal      Distribution = iota // a value and its standard uncertainty are known
	Rectangular                     // anywhere between two limits, all equally likely
	Student                         // t, scaled: the uncertainty was estimated from scatter
)

// An Input is one input of a model.
type Input struct {
	Name         string
	Distribution Distribution
	Mean         float64 // SI
	// U is the standard uncertainty in SI: of a rectangular distribution the
	// half-width over √3, of a t distribution the scale (so that the standard
	// deviation is larger).
	U   float64
	DoF float64 // degrees of freedom of a t distribution
	// Pool names the t distributions whose uncertainty was estimated together, of the
	// same degrees of freedom: it is drawn once for all of them. Empty for none.
	Pool string
	// Correlations are those with other inputs, each pair named at one of the two:
	// of the normal distributions that both are made of, so none of a rectangular
	// one.
	Correlations []Correlation
}

// A Model is what a result is computed by from its inputs.
type Model struct {
	Inputs []Input
	// F is the result, SI, of the values of the inputs in their order, SI. It keeps
	// nothing of x and leaves it as it is, is called from several goroutines at once,
	// and may return NaN for values that make no sense.
	F func(x []float64) float64

	local func() func(x []float64) float64 // makes an F for one goroutine, which may keep scratch; nil for F
}

// even tells whether a quantity is anywhere within limits, as likely here as there.
func (r Role[Q]) even(m Measured[Q]) bool { return m.Assumed && r.usage().even }

// input is what is known of a quantity in this role.
func (r Role[Q]) input(m Measured[Q]) Input {
	in := Input{Name: string(r), Mean: float64(m.Value), U: float64(m.U)}
	switch {
	case r.even(m):
		in.Distribution = Rectangular
	case m.DoF > 0:
		in.Distribution, in.DoF = Student, m.DoF
	}
	return in
}

// check says what is wrong with a model, as an *InputError.
func (m Model) check() error {
	if m.F == nil || len(m.Inputs) == 0 {
		return &InputError{What: "Monte Carlo", Why: "needs a formula, and there is none for this result"}
	}
	for _, in := range m.Inputs {
		if math.IsNaN(in.Mean) || math.IsInf(in.Mean, 0) {
			return &InputError{What: in.Name, Why: "must be finite, not " + number(in.Mean)}
		}
		if err := checkU(in.Name, in.U); err != nil {
			return err
		}
		if err := checkDoF(in.Name, in.DoF); err != nil {
			return err
		}
		switch {
		case in.Distribution < Normal || in.Distribution > Student:
			return &InputError{What: in.Name, Why: "has a distribution of no known kind", Fix: "use Normal, Rectangular or Student"}
		case in.Distribution == Student && in.DoF == 0:
			return &InputError{What: in.Name, Why: "has a t distribution of no degrees of freedom", Fix: "use Normal where they are unlimited"}
		}
	}
	return nil
}

// A mixing makes independent normal draws correlated: those of some inputs, in their
// order, are multiplied by a matrix. The zero value leaves all independent.
type mixing struct {
	inputs []int
	matrix *mat.Dense
}

// mixing is what correlates the inputs. The error is an *InputError.
func (m Model) mixing() (mixing, error) {
	var out mixing
	place := map[string]int{} // of an input in the matrix
	for _, in := range m.Inputs {
		for _, c := range in.Correlations {
			for i, other := range m.Inputs {
				if _, known := place[other.Name]; !known && (other.Name == in.Name || other.Name == c.With) && other.Distribution != Rectangular {
					place[other.Name] = len(out.inputs)
					out.inputs = append(out.inputs, i)
				}
			}
		}
	}
	n := len(out.inputs)
	if n == 0 {
		n = 1 // no matrix is empty
	}
	r := mat.NewSymDense(n, nil)
	for i := range n {
		r.SetSym(i, i, 1)
	}
	for _, in := range m.Inputs {
		for _, c := range in.Correlations {
			i, one := place[in.Name]
			j, two := place[c.With]
			if !one || !two || i == j || !(math.Abs(c.R) <= 1) {
				return mixing{}, &InputError{What: in.Name, Why: "cannot be correlated by " + number(c.R) + " with " + c.With,
					Fix: "name another input, neither of them rectangular, and a coefficient from -1 to 1"}
			}
			r.SetSym(i, j, c.R)
		}
	}
	// R = VΛVᵀ, so V√Λ: other than a Cholesky factor it exists for a correlation of
	// ±1 too.
	var eigen mat.EigenSym
	if !eigen.Factorize(r, true) {
		return mixing{}, &InputError{What: "Monte Carlo", Why: "cannot take the correlations of its inputs apart"}
	}
	out.matrix = new(mat.Dense)
	eigen.VectorsTo(out.matrix)
	for j, l := range eigen.Values(nil) {
		if l < -1e-9 {
			return mixing{}, &InputError{What: "Monte Carlo", Why: "has inputs whose correlations contradict each other"}
		}
		for i := range n {
			out.matrix.Set(i, j, out.matrix.At(i, j)*math.Sqrt(max(l, 0)))
		}
	}
	return out, nil
}

// mix makes the draws z correlated; spare holds as many.
func (x mixing) mix(z, spare []float64) {
	for i, to := range x.inputs {
		spare[to] = 0
		for j, a := range x.matrix.RawRowView(i) {
			spare[to] += a * z[x.inputs[j]]
		}
	}
	for _, i := range x.inputs {
		z[i] = spare[i]
	}
}

// draw fills y with results of random inputs. The same source gives the same
// results.
func (m Model) draw(y []float64, mix mixing, src rand.Source) {
	r := rand.New(src)
	n := len(m.Inputs)
	x, z, spare, size := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	chi := make([]distuv.ChiSquared, n)
	lead := make([]int, n) // the first input of which the uncertainty is drawn together
	var free []int         // inputs that are not exact
	for i, in := range m.Inputs {
		chi[i] = distuv.ChiSquared{K: in.DoF, Src: src}
		x[i] = in.Mean
		lead[i] = slices.IndexFunc(m.Inputs, func(o Input) bool { return in.Pool != "" && o.Pool == in.Pool })
		if lead[i] < 0 {
			lead[i] = i
		}
		if in.U > 0 {
			free = append(free, i)
		}
	}
	f := m.evaluator()
	for k := range y {
		for _, i := range free {
			if m.Inputs[i].Distribution != Rectangular {
				z[i] = r.NormFloat64()
			}
		}
		mix.mix(z, spare)
		for _, i := range free {
			switch in := &m.Inputs[i]; in.Distribution {
			case Rectangular:
				x[i] = in.Mean + in.U*math.Sqrt(3)*(2*r.Float64()-1)
			case Student:
				if lead[i] == i {
					size[i] = 1 / math.Sqrt(chi[i].Rand()/in.DoF)
				}
				x[i] = in.Mean + in.U*z[i]*size[lead[i]]
			default:
				x[i] = in.Mean + in.U*z[i]
			}
		}
		y[k] = f(x)
	}
}
