package main

import (
	"slices"
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

// Only samples that are missing or were replaced are kept from being measured.
func TestDamaged(t *testing.T) {
	rec := &recording{flaws: []audio.Flaw{
		{Kind: audio.Cancelled, At: 0, Len: 9}, {Kind: audio.Overrun, At: 2}, {Kind: audio.NotFinite, At: 3, Len: 4},
		{Kind: audio.TooLarge, At: 8, Len: 1}, {Kind: audio.Truncated, At: 9},
	}}
	want := []detect.Flaw{{At: 2}, {At: 3, Len: 4}, {At: 8, Len: 1}}
	if got := rec.damaged(); !slices.Equal(got, want) {
		t.Errorf("%v", got)
	}
}

func TestRecordIsBounded(t *testing.T) {
	for _, asked := range []seconds{0, 2 * mostSeconds, mostSeconds / 2} {
		e := &ears{seconds: asked}
		rec := &recording{rate: 8000}
		if err := e.record(t.Context(), &silence{}, rec, nil, nil, &progress{line: &statusLine{}}); err != nil {
			t.Fatal(err)
		}
		want, cut := mostSeconds*8000, true
		if asked == mostSeconds/2 {
			want, cut = want/2, false
		}
		if len(rec.samples) != want || rec.cut != cut {
			t.Errorf("--seconds %s: kept %d samples, cut %t", &asked, len(rec.samples), rec.cut)
		}
		if said := len(rec.doubts()) == 1; said != cut {
			t.Errorf("--seconds %s: doubts %v", &asked, rec.doubts())
		}
	}
}

// What channels that cancel leave of each other is measured, and it is said that
// they do.
func TestCancelledIsMeasured(t *testing.T) {
	x := twoPlucks(t)[:2*48000]
	rec := &recording{rate: 48000, samples: x, flaws: []audio.Flaw{{Kind: audio.Cancelled, Len: int64(len(x))}}}
	a, err := (&ears{reference: frequency{hz: 440}}).measure(rec)
	if err != nil || !a.trusted() {
		t.Fatalf("%+v, %v", a, err)
	}
	if len(a.doubts) != 1 || a.doubts[0].Code != cancelled || len(a.take.Reading.Doubts) > 0 {
		t.Errorf("doubts %v, of the reading %v", a.doubts, a.take.Reading.Doubts)
	}
}
