package main

import (
	"errors"
	"fmt"

	"pluckweigh/physics"
)

// An outlook is what a string will do: an answer to each question.
type outlook []prospect

// A prospect is the answer to one question.
type prospect struct {
	question string // its name in JSON
	title    string // for a person
	asked    asked
	rows     []row
	limits   []limit // how near the string is to breaking; empty where not known
	shown    bool    // a person sees how near, though the string holds
	notes    []string
}

// asked is what a question is about: in SI, by its name in JSON; empty where it is
// about nothing more.
type asked struct {
	key   string
	value float64
}

// A row is one number of an answer.
type row struct {
	label, key string // for a person, and in JSON with its SI unit
	value, u   float64
	expanded   string
	budget     physics.Budget
	improve    []physics.Improvement
	simulate   func() (*spread, error)
	spread     *spread // by Monte Carlo; nil where it was not asked for
}

func rowOf[Q physics.Quantity](label, key string, r physics.Result[Q]) row {
	return row{label: label, key: key, value: float64(r.Value), u: float64(r.U), expanded: r.Expanded(physics.Coverage),
		budget: r.Budget, improve: r.Improvements(), simulate: func() (*spread, error) { return spreadOf(r) }}
}

// A limit is how near the string is to one strength.
type limit struct {
	physics.Limit
	load, headroom row
}

// rows are all numbers of an outlook.
func (o outlook) rows() (all []*row) {
	for i := range o {
		for j := range o[i].rows {
			all = append(all, &o[i].rows[j])
		}
		for j := range o[i].limits {
			l := &o[i].limits[j]
			all = append(all, &l.load, &l.headroom)
		}
	}
	return all
}

// ask adds to the figure what the string will do. Questions that have no answer are
// the error.
func (w *foreseeing) ask(fig *figure, h strung) error {
	var failed []error
	add := func(flag string) func(prospect, error) {
		return func(p prospect, err error) {
			if err != nil {
				failed = append(failed, about(flag, err))
				return
			}
			fig.outlook = append(fig.outlook, p)
		}
	}
	carries := "core"
	if w.plain() {
		carries = "gauge"
	}
	if add(carries)(h.now()); len(failed) > 0 {
		return failed[0] // what cannot be strung like that has no future either
	}
	for _, to := range w.retune {
		add("retune")(w.tunedTo(h, to))
	}
	if w.given("warmer") {
		add("warmer")(h.warmed("warmer", w.warmer.Measured, w.frame))
	}
	if w.given("colder") {
		add("colder")(h.warmed("colder", w.colder.Measured, w.frame))
	}
	if w.given("bend") {
		add("bend")(h.bent(w.bend.Measured))
	}
	if w.given("push") {
		add("push")(h.pushed(w.push.Measured))
	}
	if w.given("others") {
		add("others")(w.total(h.Pull))
	}
	if w.plain() {
		fig.gauged()
	}
	return errors.Join(failed...)
}

// gauged calls the size of a plain wire, which is its own core, by what it was given
// as.
func (f *figure) gauged() {
	named := func(b physics.Budget, improve []physics.Improvement) {
		is := func(input *string) {
			if *input == string(physics.CoreSize) {
				*input = string(physics.Gauge)
			}
		}
		for i := range b {
			is(&b[i].Input)
		}
		for i := range improve {
			is(&improve[i].Input)
		}
	}
	named(f.budget, f.improve)
	for _, r := range f.outlook.rows() {
		named(r.budget, r.improve)
	}
}

// now is how the string is strung.
func (h strung) now() (prospect, error) {
	p := prospect{question: "now", title: "as it is", shown: true}
	side, err := h.SideStiffness()
	if err != nil {
		return p, err
	}
	p.rows = append(p.rows, rowOf("side stiffness", "side_newton_per_metre", side))
	if !h.cored {
		p.notes = append(p.notes, "stress, breaking, bending and temperature need --core and --material,", "or of a plain string --gauge and --material")
		return p, nil
	}
	stress, err := h.Stress()
	if err != nil {
		return p, err
	}
	p.rows = append(p.rows, rowOf("stress", "stress_pascal", stress))
	var unknown *physics.InputError
	if _, err := h.Core.Strengths(); errors.As(err, &unknown) {
		p.notes = append(p.notes, unknown.Error()+": "+unknown.Hint())
	}
	return p, h.limit(&p, h.Pull)
}

// limit adds how near the core is to breaking under a pull, where a strength is
// known.
func (h strung) limit(p *prospect, pull physics.Result[physics.Force]) error {
	if !h.cored {
		return nil
	}
	if _, unknown := h.Core.Strengths(); unknown != nil {
		return nil
	}
	s := h.Strung
	s.Pull = pull
	limits, err := s.Limits()
	for _, l := range limits {
		p.limits = append(p.limits, limit{l, rowOf("load, "+l.Standard, "load", l.Load), rowOf("breaks, "+l.Standard, "headroom_cents", l.Headroom)})
	}
	return err
}

// tunedTo is the string at another note.
func (w *foreseeing) tunedTo(h strung, to pitch) (prospect, error) {
	hz, err := to.at(w.e.reference.hz)
	p := prospect{question: "retune", title: "tuned to " + to.text, asked: asked{"asked_hz", float64(hz)}, shown: true}
	if err != nil {
		return p, err
	}
	pull, err := h.retuned(hz)
	if err == nil {
		err = physics.Pull.Check(pull.Value)
	}
	if err != nil {
		return p, err
	}
	p.rows = append(p.rows, rowOf("pull", "newton", pull))
	if len(w.others) > 0 {
		all, err := w.total(pull)
		if err != nil {
			return p, err
		}
		sum := all.rows[0]
		sum.key = "total_newton"
		p.rows = append(p.rows, sum)
	}
	if !h.cored {
		p.notes = append(p.notes, "the unit weight is taken to stay as it is, though the string stretches")
	}
	return p, h.limit(&p, pull)
}

// warmed is the string at another temperature; question says which way.
func (h strung) warmed(question string, by physics.Measured[physics.TemperatureStep], of frame) (prospect, error) {
	p := prospect{question: question, title: question + " by " + by.Expanded(1) + ", " + of.said()}
	if question == "colder" {
		by.Value = -by.Value
	}
	p.asked = asked{"asked_kelvin", float64(by.Value)}
	w, err := h.Warmed(by, of.Measured)
	if err != nil {
		return p, err
	}
	p.rows = []row{
		rowOf("pitch moves by", "cents", w.Shift),
		rowOf("pull", "newton", w.Pull),
		rowOf("pull moves by", "change_newton", w.Change),
	}
	return p, h.limit(&p, w.Pull)
}

// bent is the string bent by an interval.
func (h strung) bent(by physics.Measured[physics.PitchInterval]) (prospect, error) {
	p := prospect{question: "bend", title: "bent by " + by.Expanded(1) + " at mid-length", asked: asked{"asked_cents", float64(by.Value)}, shown: true}
	d, err := h.Bent(by)
	if err != nil {
		return p, err
	}
	p.rows = append([]row{rowOf("pushed aside by", "deflection_metre", d.Depth)}, aside(d)...)
	return p, h.limit(&p, d.Pull)
}

// pushed is the string pushed aside by a depth.
func (h strung) pushed(by physics.Measured[physics.Length]) (prospect, error) {
	p := prospect{question: "push", title: "pushed aside by " + by.Expanded(1) + " at mid-length", asked: asked{"asked_metre", float64(by.Value)}}
	d, err := h.Pushed(by)
	if err != nil {
		return p, err
	}
	p.rows = append([]row{rowOf("pitch rises by", "cents", d.Raise)}, aside(d)...)
	return p, h.limit(&p, d.Pull)
}

// aside are the rows that both ways of asking after a deflection have.
func aside(d physics.Deflection) []row {
	return []row{
		rowOf("side force", "side_newton", d.Side),
		rowOf("from there pitch rises by", "cents_per_metre", d.Sharpness),
		rowOf("string is longer by", "stretch", d.Stretch),
		rowOf("pull", "newton", d.Pull),
	}
}

// total is what all strings pull together, this one pulling so hard.
func (w *foreseeing) total(pull physics.Result[physics.Force]) (prospect, error) {
	p := prospect{question: "others", title: fmt.Sprintf("all %d strings", len(w.others)+1)}
	all := []physics.Result[physics.Force]{pull}
	for _, o := range w.others {
		other, err := o.pull()
		if err != nil {
			return p, err
		}
		all = append(all, other)
	}
	sum, err := physics.Total(all, physics.OneBench)
	if err != nil {
		return p, err
	}
	p.rows = append(p.rows, rowOf("all strings together", "newton", sum))
	p.notes = append(p.notes, "ask the instrument's maker before raising it")
	return p, nil
}
