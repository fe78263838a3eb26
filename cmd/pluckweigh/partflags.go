package main

import (
	"strings"

	"github.com/spf13/pflag"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// Flags that say what a string is made of.

// kinds are flags that say whether a string is plain or wound.
type kinds struct{ plain, wound bool }

func (v *kinds) addTo(f *pflag.FlagSet, plain, wound string) {
	f.BoolVar(&v.plain, "plain", false, plain)
	f.BoolVar(&v.wound, "wound", false, wound)
}

// kind is the one that was said, if any.
func (v *kinds) kind() (traits.Kind, error) {
	switch {
	case v.plain && v.wound:
		return traits.EitherKind, &callError{"--plain and --wound contradict each other", "leave one of the two out"}
	case v.plain:
		return traits.Plain, nil
	case v.wound:
		return traits.Wound, nil
	}
	return traits.EitherKind, nil
}

// A material is a flag that takes a material's name.
type material struct{ physics.Material }

func (v *material) Set(s string) (err error) {
	v.Material, err = physics.ParseMaterial(s)
	return err
}
func (v *material) String() string { return v.Name }
func (v *material) Type() string   { return "material" }

// materials lists the names that a material may have, in lines of a help text.
func materials() string {
	const width = 86
	list, line := "", 0
	for i, m := range physics.Materials() {
		switch {
		case i == 0:
		case line+len(m.Name) > width:
			list += ",\n"
			line = 0
		default:
			list += ", "
		}
		list += m.Name
		line += len(m.Name) + 2
	}
	return list
}

// A shape is a flag that takes a core's cross-section.
type shape struct {
	physics.Shape
	given bool
}

func (v *shape) Set(s string) (err error) {
	v.Shape, err = physics.ParseShape(s)
	v.given = err == nil
	return err
}

func (v *shape) String() string {
	if !v.given {
		return ""
	}
	return v.Shape.String()
}
func (v *shape) Type() string { return "shape" }

// A wraps is a flag that takes a wrap each time it is given.
type wraps struct {
	all  []physics.Wrap
	text []string
}

func (v *wraps) Set(s string) error {
	w, err := physics.ParseWrap(s)
	if err == nil {
		v.all, v.text = append(v.all, w), append(v.text, s)
	}
	return err
}
func (v *wraps) String() string { return strings.Join(v.text, " ") }
func (v *wraps) Type() string   { return "wrap" }
