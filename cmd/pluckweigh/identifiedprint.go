package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"pluckweigh/physics"
	"pluckweigh/stock/identify"
)

// mostListed is how many strings are worth printing.
const mostListed = 8

// write prints which string it may be, for a person.
func (is *isOne) write(w io.Writer) {
	e := is.evidence
	fmt.Fprintln(w, "  what is known  (± its standard uncertainty, k = 1)")
	assumed := known(w, "unit weight", e.UnitWeight)
	assumed = known(w, "gauge", e.Outside) || assumed
	known(w, "stiffness EI", e.Stiffness)
	if r := is.rough; r.U > 0 {
		fmt.Fprintf(w, "    stiffness EI\tbelow %s\n", physics.Format(r.Value+physics.Coverage*r.U, 0, 2))
	}
	if k := is.kind.String(); k != "" {
		fmt.Fprintf(w, "    kind\t%s\n", k)
	}
	if assumed {
		fmt.Fprintln(w, "  assumed: nobody stated it; a usual value was taken")
	}
	fmt.Fprintf(w, "\n  %s\n", is.verdict())
	is.writeCandidates(w)
	is.writeDoubt(w)
	is.writeNext(w)
	is.writeWires(w)
}

// brief names the likeliest answer.
func (is *isOne) brief() string {
	if len(is.Candidates) == 0 || is.None > is.Candidates[0].Probability {
		return "none in stock, " + strings.TrimSpace(chance(is.None))
	}
	c := is.Candidates[0]
	return fmt.Sprintf("%q, %s", is.strings[c.String].Name, strings.TrimSpace(chance(c.Probability)))
}

// verdict says in a line what it is, if that can be told.
func (is *isOne) verdict() string {
	switch at, settled := is.Settled(); {
	case len(is.strings) == 0 && is.unknown > 0:
		return "of no string in stock was anything measured that it could be told by"
	case len(is.strings) == 0:
		return "nothing is in stock that it could be"
	case !settled:
		return "it cannot be told yet which string it is"
	case at < 0:
		return "it is none of those in stock"
	default:
		return fmt.Sprintf("it is %q", is.strings[at].Name)
	}
}

// writeCandidates lists the likeliest strings, and where none of them comes.
func (is *isOne) writeCandidates(w io.Writer) {
	if len(is.strings) == 0 {
		return
	}
	none := func() {
		fmt.Fprintf(w, "    %s\tnone of the %d in stock\n", chance(is.None), len(is.strings))
	}
	listed, rest, odd, said := 0, 1-is.None, false, false
	for _, c := range is.Candidates {
		if c.Probability < worthListing && listed > 0 || listed == mostListed {
			break
		}
		if is.None > c.Probability && !said {
			none()
			said = true
		}
		s := is.strings[c.String]
		mark := ""
		if is.odd[c.String] {
			mark, odd = "\t!", true
		}
		fmt.Fprintf(w, "    %s\t%s\t%s\t%s\t%s%s\n", chance(c.Probability), s.Name, s.Kind, orNone(s.UnitWeight), orNone(s.Outside), mark)
		listed++
		rest -= c.Probability
	}
	if !said {
		none()
	}
	if rest > worthListing/2 {
		fmt.Fprintf(w, "    %s\tany other in stock\n", chance(rest))
	}
	if odd {
		fmt.Fprintln(w, "  ! its measurements disagree: see pluckweigh stock show")
	}
	if is.unknown > 0 {
		fmt.Fprintf(w, "  of %d more in stock nothing was measured\n", is.unknown)
	}
}

// writeDoubt says that what was measured is hardly of the likeliest string.
func (is *isOne) writeDoubt(w io.Writer) {
	if len(is.Candidates) == 0 {
		return
	}
	c := is.Candidates[0]
	if !c.Doubtful() || is.None > c.Probability {
		return
	}
	times := 1 / max(c.Agrees, 1e-6)
	places := math.Pow(10, math.Floor(math.Log10(times))-1) // two digits
	fmt.Fprintf(w, "  but by errors alone what was measured is as far off %q no oftener than once in %.0f times:\n  it may be a string like it that is not in stock\n",
		is.strings[c.String].Name, math.Floor(times/places)*places)
}

// orNone prints what stock has of a string, if it has.
func orNone[Q physics.Quantity](m physics.Measured[Q]) string {
	if m.Value == 0 {
		return "-"
	}
	return m.Expanded(physics.Coverage)
}

// chance prints a probability, none of which is certain.
func chance(p float64) string {
	switch percent := 100 * p; {
	case percent > 99.95:
		return " >99.9 %"
	case percent < 0.05:
		return "  <0.1 %"
	default:
		return fmt.Sprintf("%6.1f %%", percent)
	}
}

// mostProposed is how many tests are worth printing.
const mostProposed = 3

// writeNext says what to measure next where that is needed.
func (is *isOne) writeNext(w io.Writer) {
	if _, settled := is.Settled(); !settled {
		writeTests(w, "what to measure next", is.Next)
	}
}

// writeTests lists the most telling tests, under a heading.
func writeTests(w io.Writer, heading string, tests []identify.Test) {
	for i, t := range tests[:min(mostProposed, len(tests))] {
		if i == 0 {
			fmt.Fprintf(w, "\n  %s\n", heading)
		}
		fmt.Fprintf(w, "    %s\n      %s\n", proposalOf(t), worth(t))
	}
}

// proposalOf says how to make a test.
func proposalOf(t identify.Test) string {
	switch t.Of {
	case identify.Look:
		return "look whether it is wound, and say --plain or --wound"
	case identify.Micrometer:
		return "measure its diameter with a micrometer, and say --gauge"
	case identify.Clip:
		return "clip a small known mass on and pluck it: --clip and --scale"
	}
	return "weigh it closer, by several heavier loads: pluckweigh weigh --hang, then --unit-weight here"
}

// worth says what a test is expected to tell.
func worth(t identify.Test) string {
	return fmt.Sprintf("settles it in about %.0f of 100 cases; %.1f of the %.1f bits that are open", 100*t.Settles, math.Max(t.Gain, 0), t.Open)
}

// writeWires says which wire it is if it is plain and none of those in stock, where that may
// be so and something tells it, and what would tell it.
func (is *isOne) writeWires(w io.Writer) {
	if !is.wire() {
		return
	}
	of := "it is a plain wire"
	if len(is.strings) > 0 {
		of += " of none of those"
	}
	if is.wired() {
		fmt.Fprintf(w, "\n  if %s  (k = 2)\n", of)
		for _, x := range is.Wires {
			if x.Probability >= worthListing {
				fmt.Fprintf(w, "    %s\t%s\t%s\n", chance(x.Probability), x.Of.Name, x.Gauge.Expanded(physics.Coverage))
			}
		}
	}
	if _, settled := is.Settled(); settled && is.Wires[0].Probability < identify.Surely {
		writeTests(w, "what to measure to know its wire, if "+of, is.OfWire)
	}
}

// wire tells whether it may well be a plain wire and none of those in stock.
func (is *isOne) wire() bool { return len(is.Wires) > 0 && is.None*is.Plain >= worthNaming }

// wired tells whether it is worth saying what wire it is.
func (is *isOne) wired() bool {
	e := &is.evidence
	return is.wire() && e.UnitWeight.Value > 0 && (e.Outside.Value > 0 || e.Stiffness.Value > 0)
}
