package detect

import (
	"fmt"
	"math"
	"testing"

	"pluckweigh/audio/synth"
)

// A heardSpan is a pluck as a Tracker reports it.
type heardSpan struct{ from, to float64 }

// track pushes x in pieces and returns the spans and the last state.
func track(tr *Tracker, x []float64, piece int) (spans []heardSpan, last Now) {
	for len(x) > 0 {
		k := min(piece, len(x))
		last = tr.Push(x[:k])
		if last.Done {
			spans = append(spans, heardSpan{last.From, last.Seconds})
		}
		x = x[k:]
	}
	return spans, last
}

func TestTrackerFindsPlucks(t *testing.T) {
	for _, c := range []struct {
		hz    float64
		piece int
	}{{30.87, 160}, {82.4, 160}, {659, 160}, {196, 1}, {196, 137}, {196, 2048}} {
		tk := plain(c.hz, 8000, 6)
		at := []float64{0.5, 1.9, 3.3}
		tk.Plucks = nil
		for _, s := range at {
			tk.Plucks = append(tk.Plucks, synth.Pluck{At: s, Height: 1e-3, Point: 0.17, Width: 2e-3})
		}
		tk.Damp = 5
		x, _ := rendered(t, tk)
		spans, _ := track(NewTracker(tk.Rate), x, c.piece)
		name := fmt.Sprintf("%g Hz in pieces of %d", c.hz, c.piece)
		if len(spans) != len(at) {
			t.Errorf("%s: %d plucks %.2f, want %d", name, len(spans), spans, len(at))
			continue
		}
		ends := []float64{1.9, 3.3, 5}
		for i, s := range spans {
			if s.from > at[i] || s.from < at[i]-3*trackHop {
				t.Errorf("%s: pluck %d from %.3f s, plucked at %.3f", name, i+1, s.from, at[i])
			}
			if s.to < ends[i] || s.to > ends[i]+0.25 {
				t.Errorf("%s: pluck %d to %.3f s, ended at %.3f", name, i+1, s.to, ends[i])
			}
		}
	}
}

// TestTrackerPitch: while a string rings, the first pitch stands within some cents
// of the first partial nearly always.
func TestTrackerPitch(t *testing.T) {
	for _, hz := range []float64{30.87, 110, 329.6, 880} {
		tk := plain(hz, 12000, 1.6)
		x, truth := rendered(t, tk)
		tr := NewTracker(tk.Rate)
		good, all, worst := 0, 0, 0.0
		for i := 0; i+240 <= len(x); i += 240 {
			now := tr.Push(x[i : i+240])
			if now.Seconds < 0.8 || now.Seconds > 1.6 {
				continue
			}
			all++
			if now.Hz > 0 && math.Abs(cents(now.Hz, truth.F1)) < 30 {
				good++
				worst = max(worst, math.Abs(cents(now.Hz, truth.F1)))
			}
		}
		t.Logf("%g Hz: %d of %d, those within %.1f cents", hz, good, all, worst)
		if good < all*9/10 {
			t.Errorf("%g Hz: %d of %d hops near it", hz, good, all)
		}
	}
}

// TestTrackerStrongSecond: a second partial ten times the power of the first makes
// half the period correlate to (1 - 0.1)/1.1 = 0.82, which is no period.
func TestTrackerStrongSecond(t *testing.T) {
	const rate, hz = 16000.0, 110.0
	n := int(rate)
	ring := plus(damped(n, rate, hz, 1, 0.1, 0), damped(n, rate, 2*hz, 1, 0.1*math.Sqrt(10), 1))
	x := append(whiteNoise(n/2, 1e-5, 1), ring...)
	tr := NewTracker(rate)
	track(tr, x[:n], 320)
	if now := tr.Push(x[n : n+320]); math.Abs(cents(now.Hz, hz)) > 10 {
		t.Errorf("%g Hz, want %g", now.Hz, hz)
	}
}

func TestTrackerHearsNothingInNoise(t *testing.T) {
	const rate = 48000.0
	hum := whiteNoise(4*int(rate), 1e-4, 2)
	hum = plus(hum, damped(len(hum), rate, 50, 0, 0.05, 0))
	for name, x := range map[string][]float64{
		"silence": make([]float64, 4*int(rate)), "noise": whiteNoise(4*int(rate), 1e-3, 1), "hum": hum,
	} {
		tr := NewTracker(rate)
		for i := 0; i+960 <= len(x); i += 960 {
			now := tr.Push(x[i : i+960])
			if (now.Ringing || now.Done || now.Hz != 0) && now.Seconds > 1 {
				t.Errorf("%s: at %.2f s %+v", name, now.Seconds, now)
				break
			}
		}
	}
}

func TestTrackerLevel(t *testing.T) {
	const rate = 22050.0
	x := damped(int(rate), rate, 500, 0, 0.2, 0) // ten periods to a hop
	_, now := track(NewTracker(rate), x, 441)
	near(t, "level, dB", now.LevelDB, 20*math.Log10(0.2/math.Sqrt2), 0.02)
	near(t, "seconds", now.Seconds, 1, 1e-12)
	if now := NewTracker(rate).Push(nil); now.LevelDB != -200 || now.Seconds != 0 || now.Done || now.Ringing {
		t.Errorf("before anything: %+v", now)
	}
}

// TestTrackerDoneOnce: Done is set for the call in which a pluck ended and not again.
func TestTrackerDoneOnce(t *testing.T) {
	tk := plain(110, 48000, 3)
	tk.Damp = 1.5
	x, _ := rendered(t, tk)
	tr := NewTracker(tk.Rate)
	done := 0
	for i := 0; i+100 <= len(x); i += 100 {
		if tr.Push(x[i : i+100]).Done {
			done++
			if tr.Push(nil).Done {
				t.Error("an empty push says done again")
			}
		}
	}
	if done != 1 {
		t.Errorf("done %d times, want once", done)
	}
}

// TestTrackerLetsGo: a string that rings on is done after what suffices for a reading.
func TestTrackerLetsGo(t *testing.T) {
	tk := plain(55, 8000, 6)
	tk.String.Decay = synth.Decay{Base: 0.2}
	x, _ := rendered(t, tk)
	spans, _ := track(NewTracker(tk.Rate), x, 960)
	if len(spans) != 1 || spans[0].to < 0.5+longest || spans[0].to > 0.5+enough+0.1 {
		t.Errorf("spans %.2f, want one up to %.1f s", spans, 0.5+enough)
	}
}

func TestTrackerAllocatesNothing(t *testing.T) {
	tk := plain(110, 48000, 1.5)
	x, _ := rendered(t, tk)
	tr := NewTracker(tk.Rate)
	track(tr, x[:48000], 960) // ringing by now
	i := 48000
	n := testing.AllocsPerRun(20, func() {
		if now := tr.Push(x[i : i+960]); !now.Ringing {
			t.Fatal("the string has stopped ringing: nothing was asked of the pitch")
		}
		i += 960
	})
	if n != 0 {
		t.Errorf("%g allocations a push", n)
	}
}
