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
	asked    string // in JSON, as it was typed; may be empty
	rows     []row
	limits   []physics.Limit   // how near the string is to breaking; empty where not known
	at       physics.Frequency // what it sounds at then; 0 where not known
	notes    []string
}

// A row is one number of an answer.
type row struct {
	label, key string // for a person, and in JSON with its SI unit
	value, u   float64
	expanded   string
	budget     physics.Budget
}

func rowOf[Q physics.Quantity](label, key string, r physics.Result[Q]) row {
	return row{label, key, float64(r.Value), float64(r.U), r.Expanded(physics.Coverage), r.Budget}
}

// ask adds to the figure what the string will do. Questions that have no answer are
// the error.
func (w *foreseeing) ask(fig *figure, h hung) error {
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
	add("core")(h.now())
	for _, to := range w.retune {
		add("retune")(w.tunedTo(h, to))
	}
	if w.given("warmer") {
		add("warmer")(h.warmed("warmer", w.warmer.text, w.warmer.Measured, w.frame.Measured))
	}
	if w.given("colder") {
		by := w.colder.Measured
		by.Value = -by.Value
		add("colder")(h.warmed("colder", w.colder.text, by, w.frame.Measured))
	}
	if w.given("bend") {
		d, err := h.Bent(w.bend.Measured)
		add("bend")(h.aside("bend", w.bend.text, d, err))
	}
	if w.given("push") {
		d, err := h.Pushed(w.push.Measured)
		add("push")(h.aside("push", w.push.text, d, err))
	}
	if w.given("others") {
		add("others")(w.total(h))
	}
	return errors.Join(failed...)
}

// now is how the string is strung.
func (h hung) now() (prospect, error) {
	p := prospect{question: "now", title: "as it is", at: h.at}
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
	return p, h.limit(&p, h.Pull)
}

// limit adds how near the core is to breaking under a pull.
func (h hung) limit(p *prospect, pull physics.Result[physics.Force]) (err error) {
	if !h.cored {
		return nil
	}
	s := h.Strung
	s.Pull = pull
	p.limits, err = s.Limits()
	var unknown *physics.InputError
	if errors.As(err, &unknown) {
		p.notes = append(p.notes, unknown.Error()+": "+unknown.Hint())
		return nil
	}
	return err
}

// tunedTo is the string at another note.
func (w *foreseeing) tunedTo(h hung, to pitch) (prospect, error) {
	hz, err := to.at(w.e.reference.hz)
	p := prospect{question: "retune", title: "tuned to " + to.text, asked: to.text, at: hz}
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
	if !h.cored {
		p.notes = append(p.notes, "the unit weight is taken to stay as it is")
	}
	return p, h.limit(&p, pull)
}

// warmed is the string at another temperature.
func (h hung) warmed(question, text string, by physics.Measured[physics.TemperatureStep], frame physics.Measured[physics.Expansion]) (prospect, error) {
	p := prospect{question: question, title: question + " by " + text, asked: text}
	w, err := h.Warmed(by, frame)
	if err != nil {
		return p, err
	}
	p.rows = append(p.rows, rowOf("pitch moves by", "cents", w.Shift), rowOf("pull", "newton", w.Pull),
		rowOf("which is a change of", "change_newton", w.Change))
	return p, h.limit(&p, w.Pull)
}

// aside is the string pushed aside.
func (h hung) aside(question, text string, d physics.Deflection, err error) (prospect, error) {
	p := prospect{question: question, title: question + " of " + text + " at mid-length", asked: text}
	if err != nil {
		return p, err
	}
	if question == "bend" {
		p.rows = append(p.rows, rowOf("pushed aside by", "deflection_metre", d.Depth))
	} else {
		p.rows = append(p.rows, rowOf("pitch rises by", "cents", d.Raise))
	}
	p.rows = append(p.rows, rowOf("side force", "side_newton", d.Side), rowOf("pitch goes on rising", "cents_per_metre", d.Sharpness),
		rowOf("string is stretched by", "stretch", d.Stretch), rowOf("pull", "newton", d.Pull))
	return p, h.limit(&p, d.Pull)
}

// total is what all strings pull together.
func (w *foreseeing) total(h hung) (prospect, error) {
	p := prospect{question: "others", title: fmt.Sprintf("all %d strings", len(w.others)+1), asked: w.others.String()}
	all := []physics.Result[physics.Force]{h.Pull}
	for _, o := range w.others {
		all = append(all, physics.Result[physics.Force]{Measured: o.Measured})
	}
	sum, err := physics.Total(all, physics.OneBench)
	if err != nil {
		return p, err
	}
	p.rows = append(p.rows, rowOf("pull together", "newton", sum))
	p.notes = append(p.notes, "ask the instrument's maker before raising it")
	return p, nil
}
