package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"pluckweigh/lines"
	"pluckweigh/physics"
	"pluckweigh/settle"
	"pluckweigh/settle/diary"
	"pluckweigh/stock"
)

// A warming is what flags say of what warmth does to a string: that itself, or what the
// string is.
type warming struct {
	foreseeing
	per perKelvin
}

func (v *warming) addTo(f *pflag.FlagSet) {
	w := &v.foreseeing
	w.weight.role, w.pull.role = physics.StringWeight, physics.Pull
	w.core.role, w.gauge.role = physics.CoreSize, physics.Gauge
	f.Var(&v.per, "warmth", "what warmth does to the pitch, like -2.1cents/K±0.3cents/K")
	w.scale = addScale(f, &w.held)
	f.Var(&w.gauge, "gauge", "diameter of a plain wire, like 0.012in")
	f.Var(&w.core, "core", "diameter of a wound string's core, or across the flats of a hexagonal one, like 0.4mm")
	f.Var(&w.across, "shape", "cross-section of the core: round or hexagonal (default round)")
	f.Var(&w.of, "material", "what the core or the plain wire is made of, like steel")
	f.Var(&w.weight, "unit-weight", "mass per length, like 18.4g/m or 0.00103lb/in")
	f.Var(&w.pull, "pull", "known pull, like 163N or 36.6lbf, where the unit weight is not known")
	f.Var(&w.frame, "frame", "what warmth does to the instrument: rigid, wood, or like 4ppm/K (default rigid)")
}

// described tells whether the flags say what the string is.
func (v *warming) described() bool {
	for _, flag := range []string{"scale", "gauge", "core", "shape", "material", "unit-weight", "pull", "frame", "ends"} {
		if v.given(flag) {
			return true
		}
	}
	return false
}

// check refuses a description of the string that is not whole.
func (v *warming) check() error {
	switch {
	case v.given("warmth") && v.described():
		return &callError{"--warmth says what warmth does, and the string is described too", "leave one of the two out"}
	case !v.described():
		return nil
	case !v.given("scale"):
		return &callError{"what warmth does takes the speaking length", "add it, as in --scale 34in, or say --warmth"}
	case !v.cored():
		return &callError{"what warmth does takes what carries the pull", "add --core and --material for a wound string, --gauge and --material for a plain one"}
	case !v.given("material"):
		return &callError{"what carries the pull needs --material too", "add it, as in --material steel"}
	case v.across.given && !v.given("core"):
		return &callError{"--shape needs --core too", "add it, as in --core 0.4mm"}
	case !v.plain() && !v.given("pull") && !v.given("unit-weight"):
		return &callError{"what warmth does takes the pull of the string", "add --pull or --unit-weight"}
	case v.given("pull") && v.given("unit-weight"):
		return &callError{"--pull and --unit-weight say one thing twice", "leave one of the two out"}
	}
	return nil
}

// at is what warmth does to the string where it is tuned to a pitch; nil where that is
// not known.
func (v *warming) at(hz physics.Frequency) (*settle.Warmth, error) {
	if v.given("warmth") {
		return &settle.Warmth{Cents: v.per.cents, U: v.per.u}, nil
	}
	if !v.described() {
		return nil, nil
	}
	pull, err := v.pulls(hz)
	if err != nil {
		return nil, err
	}
	w, err := v.strung(pull).Warmed(physics.Stated(physics.Kelvin, 0), v.frame.Measured)
	if err != nil {
		return nil, err
	}
	return &settle.Warmth{Cents: float64(w.Shift.Value), U: float64(w.Shift.U)}, nil
}

// pulls is how hard the string pulls there.
func (v *warming) pulls(hz physics.Frequency) (physics.Result[physics.Force], error) {
	if v.given("pull") {
		pull, err := v.pull.pull()
		return pull, err
	}
	mu, err := v.unitWeight()
	if err != nil {
		return physics.Result[physics.Force]{}, err
	}
	s, err := v.tuned(mu.Value, hz)
	if err != nil {
		return physics.Result[physics.Force]{}, err
	}
	pull, err := tensionTraced(s, mu)
	if err == nil {
		err = physics.Pull.Check(pull.Value)
	}
	return pull, err
}

// A perKelvin is a flag that takes cents per kelvin, of either sign.
type perKelvin struct {
	cents, u float64
	text     string
}

func (v *perKelvin) Set(s string) (err error) {
	v.cents, v.u, err = diary.ParseWarmth(s)
	v.text = s
	return err
}

func (v *perKelvin) String() string { return v.text }
func (v *perKelvin) Type() string   { return "warmth" }

// readTemperature reads --temperature: a temperature, or a list of them.
func (w *settling) readTemperature() error {
	if !w.given("temperature") {
		return nil
	}
	if !strings.EqualFold(filepath.Ext(w.temperature), ".csv") {
		c, err := diary.ParseTemperature(w.temperature)
		if err != nil {
			return about("temperature", err)
		}
		w.typed = &c
		return nil
	}
	list, err := w.readList(w.temperature)
	if err != nil {
		return about("temperature", err)
	}
	if !list.Temperatures || list.Takes || list.Pitches {
		return about("temperature", &physics.InputError{What: "list", Text: w.temperature, Why: "is none of temperatures", Fix: "begin it with a line like: time,temperature (°C)"})
	}
	if !list.Entries[0].When.Dated() {
		return about("temperature", &physics.InputError{What: "list", Text: w.temperature, Why: "has no dates", Fix: "write times like 2026-11-28 14:02"})
	}
	for _, x := range list.Entries {
		w.thermo = append(w.thermo, diary.Shown{At: x.When.Time, Is: *x.Warm})
	}
	return nil
}

// readList reads a list from a file.
func (w *settling) readList(name string) (diary.List, error) {
	f, err := os.Open(name)
	var cannot *os.PathError
	if errors.As(err, &cannot) {
		return diary.List{}, &callError{name + ": " + cannot.Err.Error(), "name a CSV file that can be read"}
	}
	if err != nil {
		return diary.List{}, err
	}
	defer f.Close()
	r, err := stock.NewLineReader(f)
	if err != nil {
		return diary.List{}, err
	}
	list, err := diary.Read(r, w.zone)
	var line *lines.Error
	if errors.As(err, &line) {
		return list, &callError{name + ", " + line.Error(), line.Hint()}
	}
	return list, err
}
