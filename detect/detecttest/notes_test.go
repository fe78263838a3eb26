package detecttest

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
)

func notes(tb testing.TB) []Note {
	tb.Helper()
	ns, err := Notes()
	Need(tb, err)
	return ns
}

// The counts were taken from the file with another reader.
func TestNotesCount(t *testing.T) {
	got := map[string]int{}
	clip := map[string]int{}
	law := map[string]int{}
	for _, n := range notes(t) {
		got[n.Family]++
		if n.Clipped {
			clip[n.Family]++
		}
		if n.FretLaw {
			law[n.Family]++
		}
		if n.Seconds() < MinSeconds {
			t.Errorf("%s: %.3f s", n.Name, n.Seconds())
		}
		if off := 1200 * math.Log2(n.Hz/440/math.Exp2(float64(n.Key-69)/12)); math.Abs(off) > 50 {
			t.Errorf("%s: %.2f Hz is %.0f cents from key %d", n.Name, n.Hz, off, n.Key)
		}
	}
	want := map[string]int{
		"slap bass": 9, "pop bass": 9, "picked bass": 9, "fingered bass": 9, "fretless bass": 7, "acoustic bass": 6,
		"steel guitar": 9, "nylon guitar": 5, "clean guitar": 10, "jazz guitar": 9, "banjo": 5,
	}
	for f, n := range want {
		if got[f] != n {
			t.Errorf("%s: %d notes, want %d", f, got[f], n)
		}
	}
	if len(got) != len(want) {
		t.Errorf("families %v", got)
	}
	if clip["slap bass"] != 8 || clip["pop bass"] != 6 {
		t.Errorf("clipped: %v, want 8 slapped and 6 popped", clip)
	}
	for _, f := range []string{"slap bass", "pop bass", "picked bass", "fingered bass"} {
		if law[f] != 4 {
			t.Errorf("%s: %d notes under the law of frets, want 4", f, law[f])
		}
	}
	if len(law) != 4 {
		t.Errorf("law of frets: %v", law)
	}
}

// Every note sounds at its nominal pitch, and the check that says so refuses
// every note at the pitches that a detector may mistake it for.
func TestNotesSoundAtTheirKey(t *testing.T) {
	const size = 1 << 17
	fft := fourier.NewFFT(size)
	for _, n := range notes(t) {
		s := spectrumOf(fft, size, n)
		cents, err := s.soundsAt(n.Hz)
		if err != nil {
			t.Errorf("%s: %v", n.Name, err)
		}
		t.Logf("%-13s %-18s key %2d %7.2f Hz, rate %5.0f Hz, %.2f s, peak %.3f, clipped %-5v %+5.1f cents",
			n.Family, n.Name, n.Key, n.Hz, n.Rate, n.Seconds(), peakOf(n.Samples), n.Clipped, cents)
		for _, factor := range []float64{1. / 3, 0.5, 2. / 3, 1.06, 1.5, 2, 3} {
			if _, err := s.soundsAt(factor * n.Hz); err == nil {
				t.Errorf("%s: passes for %.3g times its pitch, too", n.Name, factor)
			}
		}
	}
}

// soundsAt tells whether hz is the pitch of a spectrum: the first five partials
// lie where they should (cents is their median distance); little lies half-way
// and at thirds between them, so that the pitch is no octave or twelfth lower;
// and of the partials that a pitch an octave or a twelfth higher would not have,
// one at least is strong. Strings that ring along and hum limit the levels.
func (s spectrum) soundsAt(hz float64) (cents float64, err error) {
	near := func(h float64) (at, db float64) {
		return s.peak(h*hz*math.Exp2(-60./1200), h*hz*math.Exp2(60./1200))
	}
	_, top := s.peak(0, s.step*float64(len(s.db)))
	var off []float64
	odd, notThird := math.Inf(-1), math.Inf(-1)
	for h := 1.0; h <= 5; h++ {
		at, db := near(h)
		off = append(off, 1200*math.Log2(at/(h*hz)))
		if h != 2 && h != 4 {
			odd = max(odd, db-top)
		}
		if h != 3 {
			notThird = max(notThird, db-top)
		}
	}
	slices.Sort(off)
	cents = off[2]
	foreign := func(hs ...float64) float64 {
		level := math.Inf(-1)
		for _, h := range hs {
			_, db := near(h)
			level = max(level, db-top)
		}
		return level
	}
	halves, thirds := foreign(1./2, 3./2), foreign(1./3, 2./3)
	switch weak := min(odd, notThird); {
	case math.Abs(cents) > 10:
		return cents, fmt.Errorf("five partials lie %+.1f cents from %.2f Hz", cents, hz)
	case halves > -30 || thirds > -23:
		return cents, fmt.Errorf("%.2f Hz is too high: half-way lines at %.0f dB, thirds at %.0f", hz, halves, thirds)
	case weak < -22 || weak < halves+20:
		return cents, fmt.Errorf("%.2f Hz is too low: odd partials at %.0f dB, others than the third at %.0f, half-way lines at %.0f",
			hz, odd, notThird, halves)
	}
	return cents, nil
}

func peakOf(x []float64) (p float64) {
	for _, v := range x {
		p = max(p, math.Abs(v))
	}
	return p
}

// spectrum is a magnitude spectrum in dB, step Hz a bin.
type spectrum struct {
	db   []float64
	step float64
}

// spectrumOf looks at up to 2 s of a note after its attack, by a Hann window.
func spectrumOf(fft *fourier.FFT, size int, n Note) spectrum {
	x := n.Samples[int(0.1*n.Rate):]
	x = x[:min(len(x), int(2*n.Rate))]
	w := make([]float64, size)
	for i, v := range x {
		w[i] = v * (1 - math.Cos(2*math.Pi*(float64(i)+0.5)/float64(len(x))))
	}
	s := spectrum{step: n.Rate / float64(size)}
	for _, c := range fft.Coefficients(nil, w) {
		s.db = append(s.db, 20*math.Log10(cmplx.Abs(c)+1e-12))
	}
	return s
}

// peak is the strongest line between two frequencies, by a parabola through its
// three bins.
func (s spectrum) peak(from, to float64) (hz, db float64) {
	a, b := max(1, int(from/s.step)), min(len(s.db)-2, int(to/s.step)+1)
	if a > b {
		return from, math.Inf(-1) // beyond the Nyquist frequency
	}
	k := a
	for i := a; i <= b; i++ {
		if s.db[i] > s.db[k] {
			k = i
		}
	}
	l, m, r := s.db[k-1], s.db[k], s.db[k+1]
	d := 0.0
	if c := l - 2*m + r; c < 0 {
		d = (l - r) / (2 * c)
	}
	return (float64(k) + d) * s.step, m
}

func TestStringAndFret(t *testing.T) {
	for _, c := range []struct {
		name string
		key  int
		str  string
		fret int
	}{
		{"Slap Bass E2", 30, "E", 2},
		{"Picked Bass GO", 43, "G", 0},
		{"Clean F612", 76, "e", 12},
		{"Clean F10", 40, "E", 0},
		{"Slap Bass A1", 35, "", 0}, // the name is wrong
		{"Fretless A#1", 34, "", 0},
		{"Steel E3", 40, "", 0},
		{"Pop E99999999999999999999", 28, "", 0},
	} {
		if s, f := stringAndFret(c.name, c.key); s != c.str || f != c.fret {
			t.Errorf("%s: %q fret %d, want %q fret %d", c.name, s, f, c.str, c.fret)
		}
	}
}
