package main

import (
	"testing"

	"pluckweigh/audio"
	"pluckweigh/detect"
)

// Every kind of flaw is said, and a take in which nothing could be measured for it
// comes with what to do.
func TestFlawsAreDoubts(t *testing.T) {
	for _, c := range []struct {
		flaws []audio.Flaw
		code  detect.Code
		say   string
		do    string
	}{
		{[]audio.Flaw{{Kind: audio.Overrun, At: 10}}, detect.Overrun, "samples were lost in one place of the take", remedies[detect.Overrun]},
		{[]audio.Flaw{{Kind: audio.NotFinite, At: 1, Len: 2}, {Kind: audio.NotFinite, At: 9, Len: 1}}, notFinite,
			"samples are NaN or infinite in 2 places of the take", remedies[notFinite]},
		{[]audio.Flaw{{Kind: audio.TooLarge, At: 1, Len: 2}}, tooLarge, "samples are too large to be sound in one place of the take", remedies[tooLarge]},
		{[]audio.Flaw{{Kind: audio.Cancelled, Len: 4000}, {Kind: audio.Cancelled, At: 5000, Len: 8000}}, cancelled,
			"the channels cancel each other for 1.5 s of the take", "take one of the channels alone, as in --channel 1"},
		// A file cut short is no reason to hear nothing.
		{[]audio.Flaw{{Kind: audio.Truncated, At: 10}}, truncated,
			"the file ends before its header says: it is damaged or was not finished", remedies[detect.NothingHeard]},
	} {
		rec := &recording{name: "take.wav", rate: 8000, samples: make([]float64, 16000), flaws: c.flaws}
		a, err := (&ears{reference: frequency{hz: 440}}).measure(rec)
		if err != nil {
			t.Fatal(err)
		}
		if d := a.doubts[0]; d.Code != c.code || d.Say != c.say {
			t.Errorf("%s: first doubt %q, %q", c.code, d.Code, d.Say)
		}
		no, ok := a.untrusted().(*untrusted)
		if !ok || no.do == "" || no.do != c.do {
			t.Errorf("%s: %+v", c.code, no)
		}
	}
}
