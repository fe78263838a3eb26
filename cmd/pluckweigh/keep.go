package main

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"github.com/spf13/pflag"

	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/stock/traits"
)

// A keeping is where in the stock a weight is kept, if it is.
type keeping struct {
	file stockFile
	name string
	also stock.String    // what else the flags say of the string
	ctx  context.Context // of the command
}

func (k *keeping) addTo(f *pflag.FlagSet) {
	f.StringVar(&k.name, "keep", "", "keep the result in the stock, under this `name` of a string")
	k.file.addTo(f)
}

// takes tells whether a flag is one of its own that makes sense.
func (k *keeping) takes(flag string) bool {
	return flag == "keep" || flag == "stock" && k.name != ""
}

// check makes sure beforehand that something can be kept: what took minutes to measure
// should not be lost.
func (k *keeping) check(ctx context.Context) error {
	if err := (stock.String{String: traits.String{Name: k.name}}).Check(); err != nil {
		return about("keep", err)
	}
	k.ctx = context.WithoutCancel(ctx) // an interrupt ends the listening, and what was heard is kept
	return k.file.change(k.ctx, func(*stock.Store) error { return nil })
}

// kept keeps what was found of the string, and says so.
func (w *weighing) kept(a *answer) error {
	x := w.keep.also
	x.Name, x.Left = w.keep.name, traits.Uncounted
	mu := physics.Measured[physics.UnitWeight]{Value: physics.UnitWeight(a.figure.value), U: physics.UnitWeight(a.figure.u), DoF: a.figure.dof}
	if mu.Value > 0 {
		x.Measurements = append([]stock.Measurement{stock.Measure(mu, a.figure.route, time.Time{}, "")}, x.Measurements...)
	}
	if r := a.take.Reading; r != nil && r.BKnown && r.B.V > 0 {
		s, err := stretchOf(a.heard(), w.scale.Measured, w.held.Ends)
		if err != nil {
			return err
		}
		ei, err := s.Stiffness(mu)
		if err != nil {
			return err
		}
		if m := stock.Measure(ei.Measured, a.figure.route, time.Time{}, ""); m.Check() == nil { // else too uncertain
			x.Measurements = append(x.Measurements, m)
		}
	}
	now, reading := time.Now().UTC().Truncate(time.Second), source(a)
	for i := range x.Measurements {
		x.Measurements[i].Made, x.Measurements[i].Reading = now, reading
	}
	var is stock.String
	var fresh bool
	err := w.keep.file.change(w.keep.ctx, func(st *stock.Store) (err error) {
		is, fresh, err = st.Keep(w.keep.ctx, x)
		return err
	})
	if err != nil {
		return err
	}
	to := fmt.Sprintf("with %q", is.Name)
	if fresh {
		to = fmt.Sprintf("as a new string, %q", is.Name)
	}
	for _, m := range x.Measurements {
		fmt.Fprintf(w.e.err, "kept in the stock %s: %s %s\n", to, m.Property, bestOf(is, m.Property))
	}
	return nil
}

// A sourceJSON is what a measurement was found from.
type sourceJSON struct {
	Take   *string           `json:"take,omitempty"`
	Load   *string           `json:"load,omitempty"`
	Of     *readingJSON      `json:"reading,omitempty"`
	Inputs map[string]string `json:"inputs,omitempty"` // with standard uncertainties (k = 1)
	More   int               `json:"more,omitempty"`   // that are left out
}

// source is what an answer was found from, for whoever looks back: JSON in SI units.
func source(a *answer) string {
	of := func(a *answer) sourceJSON {
		j := sourceJSON{Of: newReadingJSON(*a.take.Reading, *a.note)}
		if a.name != "" {
			j.Take = &a.name
		}
		return j
	}
	inputs := sourceJSON{Inputs: map[string]string{}}
	for _, t := range a.figure.budget {
		if t.Said != "" {
			inputs.Inputs[t.Input] = t.Said
		}
	}
	all := []sourceJSON{inputs}
	if a.hung != nil {
		for _, x := range a.hung.used {
			j, load := of(x.answer), x.load.String()
			j.Of.Doubts, j.Load = nil, &load
			all = append(all, j)
		}
	} else if a.take.Reading != nil {
		all = append(all, of(a))
	}
	for whole := len(all); ; {
		text, err := json.Marshal(all)
		if err != nil {
			return "" // of nothing that JSON can hold
		}
		if len(text) <= stock.LongestReading {
			return string(text)
		}
		if all = all[:len(all)-1]; len(all) == 0 {
			return ""
		}
		all[0].More = whole - len(all)
	}
}
