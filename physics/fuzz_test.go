package physics

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// What is read is positive and finite, and reads the same once printed.
func roundTrip[Q Quantity](t *testing.T, s string) {
	t.Helper()
	m, err := ParseMeasured[Q](s)
	if err != nil {
		if m != (Measured[Q]{}) {
			t.Errorf("%q: an error and a number: %+v", s, m)
		}
		return
	}
	if v, u := float64(m.Value), float64(m.U); !(v > 0) || math.IsInf(v, 0) || !(u >= 0) || math.IsInf(u, 0) {
		t.Fatalf("%q: %v ± %v", s, v, u)
	}
	printed := m.String()
	again, err := ParseMeasured[Q](printed)
	if err != nil {
		t.Fatalf("%q is printed as %q: %v", s, printed, err)
	}
	if again.Value != m.Value || again.U != m.U || again.Assumed != m.Assumed {
		t.Fatalf("%q is printed as %q: %+v became %+v", s, printed, m, again)
	}
	m.Expanded(Coverage)
}

// obey wants what a hint says to write to be accepted.
func obey[Q Quantity](t *testing.T, r Role[Q], s string, err error) {
	t.Helper()
	var input *InputError
	if !errors.As(err, &input) {
		return
	}
	list, ok := strings.CutPrefix(input.Hint(), "write ")
	if !ok {
		return
	}
	if _, examples, ok := strings.Cut(list, "like "); ok {
		list = examples
	}
	for _, written := range strings.FieldsFunc(strings.ReplaceAll(list, " or ", ","), func(r rune) bool { return r == ',' }) {
		if strings.HasPrefix(written, "±") {
			head, _, _ := CutTolerance(s)
			written = head + written
		}
		if _, err := r.Parse(strings.TrimSpace(written)); err != nil {
			t.Errorf("%q: the hint is %q, but: %v", s, input.Hint(), err)
		}
	}
}

func FuzzParseQuantity(f *testing.F) {
	for _, s := range []string{
		"34in", "863.6mm±0.5mm", "863.6mm+-0.5mm", "1m±0.1%", "1.21g/m", "0.0000678lb/in", "158N", "35.6lbf", "16.1kgf",
		"1.3g", "55Hz", "7850kg/m3", "206GPa", "6e-5", "34", "-1m", "−1m", "NaN", "1e400m", "34,5in", "5e-324m",
		"1e-320in", "1.7976931348623157e308m", "1.7e308lbf", "1in±1e-320in", "12ppm/K", "1N*m2", "100cents", "2semitones±10c", "9°F", "5K±1K", "0.5N/mm", "5cents/mm", "40%", "1 e 3 m", "1e+-3m",
		"1,000mm", "34,5in", "1'000.5mm", "34 1/2in", "5'6\"", "34\"", "0x22in", "0in", "18.34", "1m±0", "1m±5", "1m±0,5mm",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		roundTrip[Length](t, s)
		roundTrip[Mass](t, s)
		roundTrip[Force](t, s)
		roundTrip[UnitWeight](t, s)
		roundTrip[Frequency](t, s)
		roundTrip[Density](t, s)
		roundTrip[Pressure](t, s)
		roundTrip[BendingStiffness](t, s)
		roundTrip[Expansion](t, s)
		roundTrip[Acceleration](t, s)
		roundTrip[Inharmonicity](t, s)
		roundTrip[PitchInterval](t, s)
		roundTrip[TemperatureStep](t, s)
		roundTrip[SideStiffness](t, s)
		roundTrip[Sharpening](t, s)
		roundTrip[Fraction](t, s)
		m, err := SpeakingLength.Parse(s)
		if err == nil && SpeakingLength.Check(m.Value) != nil {
			t.Fatalf("%q passes as a speaking length: %v", s, m)
		}
		obey(t, SpeakingLength, s, err)
		_, err = StringWeight.Parse(s)
		obey(t, StringWeight, s, err)
		_, err = Warming.Parse(s)
		obey(t, Warming, s, err)
		_, err = BendInterval.Parse(s)
		obey(t, BendInterval, s, err)
		_, err = PushDepth.Parse(s)
		obey(t, PushDepth, s, err)
	})
}

// What hangs pulls by a positive number of newtons, and reads the same once printed.
func FuzzParseLoad(f *testing.F) {
	for _, s := range []string{"2kg", "2kg±0.1%", "20N±0.1N", "4.5lbf", "4.5lb", "2", "2m", "-2kg", "0kg", "1e300kg", "52°", "9.81m/s2", "91deg", "33.9 ° S"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if g, err := ParseGravity(s); err == nil && (LocalGravity.Check(g.Value) != nil || !(g.U > 0)) {
			t.Fatalf("%q passes as gravity: %v", s, g)
		}
		l, err := ParseLoad(HungLoad, s)
		if err != nil {
			if l != (Load{}) {
				t.Errorf("%q: an error and a load: %+v", s, l)
			}
			return
		}
		p := l.Pull(StandardGravity)
		if !(p.Value >= 0.099 && p.Value <= 3001 && p.U > 0 && p.U <= p.Value) {
			t.Fatalf("%q pulls %v", s, p)
		}
		again, err := ParseLoad(HungLoad, l.String())
		if err != nil || again.Weighs() != l.Weighs() || again.Pull(StandardGravity).Value != p.Value {
			t.Fatalf("%q is printed as %q, which is %v, %v", s, l, again, err)
		}
	})
}

func FuzzParseNote(f *testing.F) {
	for _, s := range []string{"A1", "F#2", "Bb0", "E-1", "A1+12c", "A1-3.5c", "Cb-1", "B♭3", "a1", "H", "A1+1e2c", "A1+1e-300c"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		n, err := ParseNote(s)
		if err != nil {
			if n != (Note{}) {
				t.Errorf("%q: an error and a note: %+v", s, n)
			}
			return
		}
		again, err := ParseNote(n.String())
		if err != nil || again != n {
			t.Fatalf("%q is printed as %q, which is read as %+v, %v", s, n, again, err)
		}
		if hz, err := n.Frequency(ConcertPitch); err != nil || !(hz > 7.7) || !(hz < 34e3) {
			t.Fatalf("%q is %v Hz, %v", s, float64(hz), err)
		}
	})
}
