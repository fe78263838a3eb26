package main

import (
	"fmt"
	"io"
	"strings"

	"pluckweigh/physics"
)

// builds are what explains a string.
type builds struct {
	evidence physics.Evidence
	density  physics.Result[physics.Density]
	physics.Explanation
}

// Probabilities from which a form, a material, and an open question are worth
// printing.
const (
	worthListing  = 0.01
	worthNaming   = 0.05
	worthOpposing = 0.1
)

// write prints the builds for a person.
func (b *builds) write(w io.Writer) {
	e := b.evidence
	fmt.Fprintln(w, "  what is known  (± its standard uncertainty, k = 1)")
	assumed := known(w, "unit weight", e.UnitWeight)
	assumed = known(w, "gauge", e.Outside) || assumed
	known(w, "density as a whole", b.density.Measured)
	known(w, "stiffness EI", e.Stiffness)
	assumed = known(w, "core", e.Core) || assumed
	assumed = known(w, "pitch", e.Pitch) || assumed
	if assumed {
		fmt.Fprintln(w, "  assumed: nobody stated it; a usual value was taken")
	}
	fmt.Fprintln(w, "\n  what explains it")
	rest := 0
	for _, f := range b.Forms {
		if f.Probability < worthListing {
			rest++
			continue
		}
		fmt.Fprintf(w, "    %3.0f %%  %s\n", 100*f.Probability, formName(f))
		if len(f.Wraps) == 0 {
			fmt.Fprintf(w, "           wire    %s  %s\n", f.Core.Size.Range(), likely(f.Core))
			continue
		}
		across := ""
		if f.Shape == physics.Hexagonal {
			across = " across flats"
		}
		fmt.Fprintf(w, "           core    %s%s  %s\n", f.Core.Size.Range(), across, likely(f.Core))
		for i, p := range f.Wraps {
			fmt.Fprintf(w, "           %s  %s  %s\n", wrapName(i, len(f.Wraps)), p.Size.Range(), likely(p))
		}
	}
	if rest > 0 {
		fmt.Fprintf(w, "    and %d more, each below 1 %%\n", rest)
	}
	b.writeOpen(w)
	if len(b.Tests) > 0 {
		fmt.Fprintln(w, "\n  what would settle it")
		for _, t := range b.Tests {
			fmt.Fprintf(w, "    %s\n", proposal(t))
		}
	}
}

// known prints a part of the evidence, if it is there, and tells whether its
// uncertainty was assumed.
func known[Q physics.Quantity](w io.Writer, name string, m physics.Measured[Q]) bool {
	if m.Value == 0 {
		return false
	}
	mark := ""
	if m.Assumed {
		mark = "  assumed"
	}
	fmt.Fprintf(w, "    %s\t%s%s\n", name, m.Expanded(1), mark)
	return m.Assumed
}

// writeOpen prints what remains ambiguous.
func (b *builds) writeOpen(w io.Writer) {
	var open []string
	twice := false
	for _, f := range b.Forms {
		if f.Probability >= worthOpposing {
			open = append(open, inBrief(f))
			twice = twice || len(f.Wraps) > 1
		}
	}
	var lines []string
	if len(open) > 1 {
		lines = append(lines, "each of these explains it:")
		for _, o := range open {
			lines = append(lines, "  "+o)
		}
	}
	if b.evidence.Stiffness.Value == 0 && b.evidence.Core.Value == 0 && len(b.Forms[0].Wraps) > 0 {
		lines = append(lines, "nothing tells how thick the core is: a thicker one leaves room for thinner wraps,",
			"and both weigh nearly the same")
	}
	if twice && b.evidence.Pitch.Value == 0 {
		lines = append(lines, "nothing tells how two wraps share the room over the core")
	}
	if len(lines) > 0 {
		fmt.Fprintf(w, "\n  what remains open\n    %s\n", strings.Join(lines, "\n    "))
	}
}

// formName names a form.
func formName(f physics.Form) string {
	switch len(f.Wraps) {
	case 0:
		return "plain wire"
	case 1:
		return "one wrap on a " + f.Shape.String() + " core"
	}
	return "two wraps on a " + f.Shape.String() + " core"
}

// inBrief names a form with the size of its core.
func inBrief(f physics.Form) string {
	size := physics.Format(f.Core.Size.Value, f.Core.Size.Unit, 3)
	if len(f.Wraps) == 0 {
		return "plain wire of " + size
	}
	return formName(f) + " of " + size
}

func wrapName(i, of int) string {
	switch {
	case of == 1:
		return "wrap  "
	case i == 0:
		return "inner "
	}
	return "outer "
}

// likely lists the materials that a part may be of.
func likely(p physics.FormPart) string {
	var names []string
	for _, l := range p.Of {
		if l.Probability >= worthNaming {
			names = append(names, fmt.Sprintf("%s %.0f %%", l.Material.Name, 100*l.Probability))
		}
	}
	if len(p.Of) == 1 {
		return p.Of[0].Material.Name
	}
	return strings.Join(names, ", ")
}

// proposal says how to make a test and how to tell what it showed.
func proposal(t physics.Test) string {
	switch t.Of {
	case physics.TellWound:
		return "look whether it is wound, and say --wraps 0 if it is plain, 1 or 2 if not"
	case physics.TellCore:
		return "measure the core where it is bare (--core): " + t.Shows + " is possible"
	case physics.TellShape:
		return "see whether the core is round or hexagonal where it is bare (--shape)"
	case physics.TellStiffness:
		return "hear it (--scale and a take): its stiffness EI is " + t.Shows
	case physics.TellPitch:
		return "count turns of the outer wrap along a rule (--pitch): " + t.Shows + " from turn to turn is possible"
	}
	return "see what the outer wrap is made of, by its colour or with a magnet (--wrap-material)"
}
