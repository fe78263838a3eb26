package physics

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// Everything that is foreseen of a string is drawn from what was measured of it, and
// comes out as its budget says: what several things rest on is drawn once.
func TestOutlookIsDrawnAsItsBudgetSays(t *testing.T) {
	s, w := bass()
	s.B.U, s.Corr, s.Clock, s.Ends = 1e-6, -0.8, Relative{U: 58e-6, Assumed: true}, EndsUnknown
	of := of(t, "steel")
	pull := must(s.Tension(w))
	str := Strung{Length: s.Length, Pull: pull, Core: Core{Round, mm(0.53, 0.003), of}}
	retuned := must(must(s.Retuned(s.F0.Value * 1.3)).Tension(w))
	bent := must(str.Bent(Stated[PitchInterval](100, 2)))
	warm := must(str.Warmed(Stated[TemperatureStep](5, 0.5), Stated[Expansion](4e-6, 1e-6)))
	limit := must(str.Limits())[0]
	other := Load{Mass: Stated[Mass](16.6, 0.05)}
	all := must(Total([]Result[Force]{pull, must(other.Under(AnyGravity())), {Measured: Stated[Force](70, 1)}}, OneBench))
	build := bassBuild(t)
	fretted := Fretted{Low: 0, High: 12, AtLow: Stated[Frequency](55, 1e-3), AtHigh: Stated[Frequency](109.9, 1e-3), Scale: Stated[Length](0.864, 0.5e-3), Uneven: UnevenAssumed()}
	loaded := Loaded{UnitWeight: w, Pull: pull.Measured, F0: s.F0, Clock: s.Clock}
	plain := Core{Round, mm(0.3, 0.002), of}
	weighs := must(Build{Core: plain}.UnitWeight())
	traced := must(Traced(must(s.Tension(weighs.Measured)), string(StringWeight), weighs))

	agrees(t, "side stiffness", must(str.SideStiffness()))
	agrees(t, "stress", must(str.Stress()))
	agrees(t, "thinned", must(str.Thinned(retuned)))
	agrees(t, "retuned by the ratio", must(str.Retuned(55, 65)))
	agrees(t, "depth", bent.Depth)
	agrees(t, "side force", bent.Side)
	agrees(t, "raise", bent.Raise)
	agrees(t, "sharpness", bent.Sharpness)
	agrees(t, "shift", warm.Shift)
	agrees(t, "pull when warm", warm.Pull)
	agrees(t, "change of the pull", warm.Change)
	agrees(t, "load", limit.Load)
	agrees(t, "headroom", limit.Headroom)
	agrees(t, "all strings", all)
	agrees(t, "outside", must(build.Outside()))
	agrees(t, "bending", must(build.Core.Stiffness()))
	agrees(t, "axial", must(build.Core.Axial()))
	agrees(t, "length by frets", must(fretted.Length()))
	agrees(t, "length by a pull", must(loaded.Length()))
	agrees(t, "traced", traced)
}

// agrees wants random draws to have the mean and the spread that the budget says.
func agrees[Q Quantity](t *testing.T, what string, r Result[Q]) {
	t.Helper()
	p, err := r.Model.Propagate(100_000, 0.95, 3)
	if err != nil {
		t.Errorf("%s: %v", what, err)
		return
	}
	if u := float64(r.U); math.Abs(p.U/u-1) > 0.02 || math.Abs(p.Mean-float64(r.Value)) > 0.04*u {
		t.Errorf("%s: %v ± %v by draws, %v ± %v by the budget", what, p.Mean, p.U, float64(r.Value), u)
	}
}

// One input that two parts have at two values is off in both by as many of its
// standard uncertainties, and one that is exact in one part moves the other only.
func TestComposeLinksInputs(t *testing.T) {
	at := func(mean, u float64) Model { return Input{Name: "a", Mean: mean, U: u}.itself() }
	for _, c := range []struct {
		parts   []Model
		mean, u float64
	}{
		{[]Model{at(1, 2), at(1, 2)}, 2, 4},
		{[]Model{at(1, 2), at(5, 6)}, 6, 8},
		{[]Model{at(1, 0), at(5, 6)}, 6, 6},
		{[]Model{at(5, 6), at(1, 0)}, 6, 6},
		{[]Model{at(5, 6), exactly(3)}, 8, 6},
		{[]Model{at(1, 2), Input{Name: "b", Mean: 4, U: 3, Correlations: []Correlation{{"a", 0.5}}}.itself()}, 5, math.Sqrt(4 + 9 + 6)},
		{[]Model{at(1, 2), at(1, 2).renamed(func(string) string { return "c" })}, 2, math.Sqrt(8)},
	} {
		m := compose(func(x ...float64) float64 { return x[0] + x[1] }, c.parts...)
		p, err := m.Propagate(100_000, 0.95, 5)
		if err != nil || math.Abs(p.Mean-c.mean) > 0.02*c.u || math.Abs(p.U/c.u-1) > 0.01 {
			t.Errorf("%v: %v ± %v, want %v ± %v; %v", c.parts, p.Mean, p.U, c.mean, c.u, err)
		}
	}
	if m := compose(func(x ...float64) float64 { return x[0] }, at(1, 1), Model{}); m.F != nil {
		t.Error("a part without a model has one as a whole")
	}
	if m := (Model{}).replaced("a", at(1, 1)); m.F != nil {
		t.Error("what has no model has one when an input is replaced")
	}
}

// Inputs of which the uncertainty was estimated together follow one multivariate t
// distribution: any sum of theirs, over its own spread, is Student's.
func TestPoolIsDrawnTogether(t *testing.T) {
	var m Model
	const k, dof = 4, 3
	for range k {
		m.Inputs = append(m.Inputs, Input{Distribution: Student, U: 1 / math.Sqrt(k), DoF: dof, Pool: "scatter"})
	}
	m.F = sum
	want := distuv.StudentsT{Sigma: 1, Nu: dof}.Quantile(0.975)
	if p := must(m.Propagate(Draws, 0.95, 7)); math.Abs(p.Symmetric.High/want-1) > 0.02 || math.Abs(p.Symmetric.Low/want+1) > 0.02 {
		t.Errorf("95 %% within %v, want ± %v", p.Symmetric, want)
	}
	// Apart they come nearer a normal distribution of the same standard deviation, √3.
	for i := range m.Inputs {
		m.Inputs[i].Pool = ""
	}
	if p := must(m.Propagate(Draws, 0.95, 7)); p.Symmetric.High < 1.01*want {
		t.Errorf("apart: 95 %% within %v, together ± %v", p.Symmetric, want)
	}
}
