package detect

import (
	"math"
	"math/cmplx"
	"testing"
)

// TestPull: what hum of any phase does to a line's frequency is what one step of the
// fit makes of its spectrum, by root mean square over the phase; also where the hum
// lies in the middle of a bin, and on the line itself.
func TestPull(t *testing.T) {
	const rate, secs = 22050.0, 2.0
	f := &fit{law: law{120, 0}}
	f.secs = secs
	f.sound = excerpt{make([]float64, int(secs*rate)), 0, rate}
	f.load()
	for _, at := range []float64{119, 119.7, 120, 120.2, 120.5, 123} {
		l := &line{n: 1, hz: 120, alpha: 1.5, amp: 0.2}
		f.fr.place([]*line{l}, 120)
		hum := mode{at, steadyDecay / 10, 0.004}
		sum := 0.0
		const phases = 16
		for i := range phases {
			m := hum
			m.amp *= cmplx.Rect(1, 2*math.Pi*float64(i)/phases)
			v := f.fr.wave(m)
			for k := l.lo; k < l.hi; k++ {
				f.fr.rest[k] = v.at(f.fr.tw[k])
			}
			f.fr.step(l, 1.5, 1e3)
			sum += sq(complex(l.grad[0]/l.info[0][0], 0)) / phases
		}
		got := f.fr.pull(l, hum)
		// A step takes a straight line out of the band, which pull does not.
		if want := math.Sqrt(sum); !(math.Abs(got/want-1) < 0.2) {
			t.Errorf("hum at %g Hz draws by %.4g Hz, want %.4g", at, got, want)
		}
	}
}

// TestHumAt: hum is what stood out at a harmonic of the mains before the pluck, and
// nothing is known of it where nothing was heard then.
func TestHumAt(t *testing.T) {
	const rate = 22050.0
	quiet := whiteNoise(int(0.6*rate), 1e-4, 9)
	l := &listener{hush: newBackground(plus(quiet, damped(len(quiet), rate, 180, 0, 0.02, 1)), rate)}
	at, db, ok := l.humAt(181.3)
	if !ok || at != 180 {
		t.Errorf("hum at 181.3 Hz: %g Hz, %v", at, ok)
	}
	near(t, "its level, dB", db, 20*math.Log10(0.02), 1)
	for _, hz := range []float64{120, 240, 1500, 5} {
		if at, _, ok := l.humAt(hz); ok {
			t.Errorf("no hum at %g Hz, and yet at %g", hz, at)
		}
	}
	if _, _, ok := (&listener{}).humAt(180); ok {
		t.Error("hum where nothing was heard before")
	}
}
