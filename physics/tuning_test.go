package physics

import (
	"errors"
	"math"
	"testing"
)

func TestTuning(t *testing.T) {
	for _, c := range []struct {
		division, note string
		a4, hz         float64
	}{
		{"", "A1", 440, 55},
		{"", "A1+12c", 440, 55 * math.Exp2(0.01)},
		{"", "55Hz", 440, 55},
		{"", "55Hz", 415, 55},
		{"", "A1*3/2", 440, 82.5},
		{"", "A1*3:2", 415, 415. / 8 * 1.5},
		{"", "A4*2/3", 440, 440 * 2. / 3},
		{"", "A1*702c", 440, 55 * math.Exp2(0.585)},
		{"", "A1*-702c", 440, 55 / math.Exp2(0.585)},
		{"", "E1+1c*9/8", 440, 41.20344461410875 * math.Exp2(1./1200) * 1.125},
		{"", "A4-12steps", 440, 220},
		{"19", "A4-19steps", 440, 220},
		{"19", "A4+1step", 440, 440 * math.Exp2(1./19)},
		{"24of2/1", "A4-1step", 440, 440 / math.Exp2(1./24)},
		// Thirteen steps to the twelfth, of 146.3 cents each (Bohlen, Acustica 39 (1978) 76,
		// from memory).
		{"13of3/1", "A1+13steps", 440, 165},
		{"13of3/1", "A1+1step", 440, 55 * math.Exp2(146.304/1200)},
		{"9of700c", "A1+9steps", 440, 55 * math.Exp2(7./12)},
		{"88c", "A1+2steps", 440, 55 * math.Exp2(176./1200)},
		{"88c", "E-1+0steps", 440, 10.300861153527183},
	} {
		tuning := Tuning{A4: Frequency(c.a4)}
		if c.division != "" {
			d, err := ParseDivision(c.division)
			if err != nil {
				t.Fatal(err)
			}
			again, err := ParseDivision(d.String())
			if err != nil || again != d {
				t.Errorf("%s is written %s", c.division, d)
			}
			tuning.Division = d
		}
		n, err := tuning.ParseNote(c.note)
		if err != nil {
			t.Errorf("%+v: %v", c, err)
			continue
		}
		f := must(n.Frequency(tuning.A4))
		if math.Abs(CentsBetween(Frequency(c.hz), f)) > 1e-3 {
			t.Errorf("%+v: %v, %v", c, n, f)
		}
		if again := must(tuning.ParseNote(n.String())); again != n {
			t.Errorf("%v comes back as %v", n, again)
		}
	}
}

func TestTuningRefused(t *testing.T) {
	tuning := Tuning{A4: 440}
	for _, s := range []string{"", "A1*", "A1*3", "A1*0/1", "A1*1/0", "A1*-3/2", "A1*3/2/1", "A1*--5c", "A1*-0c", "C0*-1300c", "A1*9999999/1", "A1*nanc", "A1*0c", "A1*12001c", "*3/2", "a1*3/2",
		"41steps", "A4-steps", "A4-1.5steps", "A4-99999999steps", "A-41steps", "A4+100000steps", "55", "55mm", "B10*2/1", "C-1-1steps", "\xff*3/2"} {
		n, err := tuning.ParseNote(s)
		var input *InputError
		if !errors.As(err, &input) {
			t.Errorf("%q: %v, %v", s, n, err)
		}
	}
	for _, s := range []string{"", "0", "-19", "19.5", "20000", "of3/1", "13of", "13of1/3", "13ofx", "13of1/1", "c", "0c", "0.05c", "19of", "1e3", "13of3/1of2"} {
		d, err := ParseDivision(s)
		var input *InputError
		if !errors.As(err, &input) {
			t.Errorf("%q: %v, %v", s, d, err)
		}
	}
}

// An interval is the same however it is written; a fifth is 701.955 cents by the ratio's
// logarithm (common knowledge: 1200 log2(3/2)).
func TestInterval(t *testing.T) {
	tuning := Tuning{A4: 440, Division: must(ParseDivision("19"))}
	for s, want := range map[string]float64{"3/2": 701.9550008653874, "3:2": 701.9550008653874, "702c": 702, "50cents": 50, "2semitones": 200, "1step": 1200. / 19, "11steps": 11 * 1200. / 19} {
		if got := must(tuning.ParseInterval(s)); math.Abs(got.In(Cent)-want) > 1e-9 {
			t.Errorf("%q is %v, not %v cents", s, got, want)
		}
	}
	for _, s := range []string{"", "2", "-2semitones", "2/3", "1/1", "0steps", "-1steps", "1.5steps", "steps", "3/", "3/0", "0c", "99999999c", "9999999/1", "2mm", "nan", "1e9semitones", "50cents±1cents"} {
		got, err := tuning.ParseInterval(s)
		var input *InputError
		if !errors.As(err, &input) || got != 0 {
			t.Errorf("%q is %v, %v", s, got, err)
		}
	}
}

// Whatever is typed is refused, or a note that is read back to the same.
func FuzzTuning(f *testing.F) {
	f.Add("19", "A4-41steps")
	f.Add("13of3/1", "A1*3/2")
	f.Add("88c", "E-1+3step")
	f.Add("", "55Hz")
	f.Fuzz(func(t *testing.T, division, note string) {
		var input *InputError
		tuning := Tuning{A4: ConcertPitch}
		if d, err := ParseDivision(division); err == nil {
			if again, err := ParseDivision(d.String()); err != nil || again != d {
				t.Errorf("%q is %v, and then %v, %v", division, d, again, err)
			}
			tuning.Division = d
		} else if !errors.As(err, &input) {
			t.Error(err)
		}
		if by, err := tuning.ParseInterval(note); err == nil && !(by > 0 && by <= mostRatioCents) || err != nil && !errors.As(err, &input) {
			t.Errorf("%q is %v, %v", note, by, err)
		}
		n, err := tuning.ParseNote(note)
		if err != nil {
			if !errors.As(err, &input) {
				t.Error(err)
			}
			return
		}
		if again, err := tuning.ParseNote(n.String()); err != nil || again != n {
			t.Errorf("%q is %v, and then %v, %v", note, n, again, err)
		}
		if hz, err := n.Frequency(ConcertPitch); err != nil || hz < 5 || hz > 50000 {
			t.Errorf("%q is %v, %v", note, hz, err)
		}
	})
}
