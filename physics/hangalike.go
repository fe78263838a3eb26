package physics

import "fmt"

// unlike is by what factor B·f0², which is the same under every load, may differ from
// load to load, beyond three standard uncertainties of each. What a core, its wraps
// and a fit to few partials do to it is some tens of per cent (judgement); where the
// octave was heard for the note it is 16, the fifth above 5.
const unlike = 3

// alike tells whether what was heard under all loads can be one string's, sounding at
// its own pitch: the error says which two loads differ in stiffness.
func alike(hangs []Hang) error {
	const beyond = 3
	var supple, stiff Hang
	var most, least float64 // the stiffest is no less than most, the supplest no more than least
	for _, h := range hangs {
		if h.B.Assumed || h.B.Value == 0 {
			continue
		}
		f2 := float64(h.F0.Value * h.F0.Value)
		b, u := float64(h.B.Value), beyond*float64(h.B.U)
		if low := (b - u) * f2; low > most {
			most, stiff = low, h
		}
		if high := (b + u) * f2; least == 0 || high < least {
			least, supple = high, h
		}
	}
	if most > unlike*least {
		return &InputError{What: "loads",
			Why: fmt.Sprintf("were not heard on one string at its own pitch: that under %s is more than %s times as stiff as that under %s",
				stiff.Load, significant(most/least, 2), supple.Load),
			Fix: "check that each take is of this string, and that its note, not a harmonic, was heard under both loads"}
	}
	return nil
}
