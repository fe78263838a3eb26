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
	file  stockFile
	name  string
	store *stock.Store
	ctx   context.Context // of the command
}

func (k *keeping) addTo(f *pflag.FlagSet) {
	f.StringVar(&k.name, "keep", "", "keep the result in the stock, under this `name` of a string")
	k.file.addTo(f)
}

// takes tells whether a flag is one of its own that makes sense.
func (k *keeping) takes(flag string) bool {
	return flag == "keep" || flag == "stock" && k.name != ""
}

// open makes sure beforehand that something can be kept: what took minutes to
// measure should not be lost.
func (k *keeping) open(ctx context.Context) (err error) {
	if err := (stock.String{String: traits.String{Name: k.name}}).Check(); err != nil {
		return about("keep", err)
	}
	k.ctx = context.WithoutCancel(ctx) // an interrupt ends the listening, and what was heard is kept
	k.store, err = k.file.open(ctx)
	return err
}

func (k *keeping) close() error { return stockError(k.store.Close()) }

// kept keeps what was found of the string, and says so.
func (w *weighing) kept(a *answer) error {
	now, reading := time.Now(), source(a)
	route := a.figure.route
	mu := physics.Measured[physics.UnitWeight]{Value: physics.UnitWeight(a.figure.value), U: physics.UnitWeight(a.figure.u), DoF: a.figure.dof}
	all := []stock.Measurement{stock.Measure(mu, route, now, reading)}
	for _, r := range a.figure.build {
		if r.key == outsideKey {
			all = append(all, stock.Measure(physics.Stated(physics.Length(r.value), physics.Length(r.u)), route, now, reading))
		}
	}
	if r := a.take.Reading; r != nil && r.BKnown {
		s, err := stretchOf(a.heard(), w.scale.Measured, w.held.Ends)
		if err != nil {
			return err
		}
		ei, err := s.Stiffness(mu)
		if err != nil {
			return err
		}
		if m := stock.Measure(ei.Measured, route, now, reading); m.Check() == nil { // else too uncertain
			all = append(all, m)
		}
	}
	x, fresh, err := w.keep.store.Keep(w.keep.ctx, w.keep.name, all...)
	if err != nil {
		return stockError(err)
	}
	if fresh {
		fmt.Fprintf(w.e.err, "kept in the stock as a new string, %q\n", x.Name)
		return nil
	}
	fmt.Fprintf(w.e.err, "kept in the stock with %q: %s, of %s\n", x.Name, x.UnitWeight.Expanded(physics.Coverage), x.WeightAgreement)
	return nil
}

// source is what an answer was found from, for whoever looks back: JSON in SI units,
// empty where nothing was heard.
func source(a *answer) string {
	type heardJSON struct {
		Take *string      `json:"take"`
		Load *string      `json:"load,omitempty"`
		Of   *readingJSON `json:"reading"`
	}
	of := func(a *answer) heardJSON {
		j := heardJSON{Of: newReadingJSON(*a.take.Reading, *a.note)}
		if a.name != "" {
			j.Take = &a.name
		}
		return j
	}
	var all []heardJSON
	switch {
	case a.hung != nil:
		for _, x := range a.hung.used {
			j, load := of(x.answer), x.load.String()
			j.Of.Doubts, j.Load = nil, &load
			all = append(all, j)
		}
	case a.take.Reading != nil:
		all = append(all, of(a))
	default:
		return ""
	}
	text, err := json.Marshal(all)
	if err != nil {
		return "" // of nothing that JSON can hold
	}
	return string(text)
}
