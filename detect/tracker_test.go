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
		x = x[k:]
		for from, to, ok := tr.Next(); ok; from, to, ok = tr.Next() {
			spans = append(spans, heardSpan{from, to})
		}
	}
	return spans, last
}

// thrice is a string plucked at 0.5, 1.9 and 3.3 s and damped at 5 s.
func thrice(tb testing.TB, hz float64) (x []float64, rate float64) {
	tk := plain(hz, 8000, 6)
	tk.Plucks = nil
	for _, at := range []float64{0.5, 1.9, 3.3} {
		tk.Plucks = append(tk.Plucks, synth.Pluck{At: at, Height: 1e-3, Point: 0.17, Width: 2e-3})
	}
	tk.Damp = 5
	tk.String.Decay.Rise = 0 // rings on until it is damped, however high
	x, _ = rendered(tb, tk)
	return x, tk.Rate
}

func TestTrackerFindsPlucks(t *testing.T) {
	for _, c := range []struct {
		hz    float64
		piece int
	}{{30.87, 160}, {82.4, 160}, {659, 160}, {196, 1}, {196, 137}, {196, 2048}, {196, 1 << 20}} {
		x, rate := thrice(t, c.hz)
		spans, _ := track(NewTracker(rate), x, c.piece)
		name := fmt.Sprintf("%g Hz in pieces of %d", c.hz, c.piece)
		want := []heardSpan{{0.5, 1.9}, {1.9, 3.3}, {3.3, 5}}
		if len(spans) != len(want) {
			t.Errorf("%s: %d plucks %.2f, want %d", name, len(spans), spans, len(want))
			continue
		}
		for i, s := range spans {
			if w := want[i]; s.from > w.from || s.from < w.from-0.03 {
				t.Errorf("%s: pluck %d from %.3f s, plucked at %.3f", name, i+1, s.from, w.from)
			}
			if w := want[i]; s.to < w.to-0.03 || s.to > w.to+0.25 {
				t.Errorf("%s: pluck %d to %.3f s, ended at %.3f", name, i+1, s.to, w.to)
			}
		}
	}
}

// TestTrackerDone: the state tells of the latest pluck, in the call in which it
// ended and not again, however it is fetched.
func TestTrackerDone(t *testing.T) {
	x, rate := thrice(t, 196)
	tr := NewTracker(rate)
	now := tr.Push(x)
	if !now.Done || now.From < 3.2 || now.To < 4.9 || now.To > now.Seconds {
		t.Errorf("after all of it: %+v", now)
	}
	if tr.Push(nil).Done {
		t.Error("an empty push says done again")
	}
	for range 3 {
		if _, _, ok := tr.Next(); !ok {
			t.Fatal("a pluck is lost")
		}
	}
	if from, to, ok := tr.Next(); ok || from != 0 || to != 0 {
		t.Errorf("a fourth pluck from %g to %g", from, to)
	}
}

// TestTrackerPitch: while a string rings, the first pitch stands within some cents
// of the first partial nearly always, at every rate.
func TestTrackerPitch(t *testing.T) {
	for _, rate := range []float64{8000, 12000, 22050, 44100, 48000, 96000, 192000} {
		for _, hz := range []float64{23.1, 30.87, 41.2, 110, 196, 329.6, 880, 1500} {
			tk := plain(hz, rate, 1.3)
			tk.MaxPartials = 40
			x, truth := rendered(t, tk)
			tr := NewTracker(rate)
			good, all, worst := 0, 0, 0.0
			step := int(0.02 * rate)
			for i := 0; i+step <= len(x); i += step {
				now := tr.Push(x[i : i+step])
				if now.Seconds < 0.7 {
					continue
				}
				all++
				if off := math.Abs(cents(now.Hz, truth.F1)); now.Hz > 0 {
					good++
					worst = max(worst, off)
				}
			}
			// A period is sharp on a stiff string: see TestPeriods.
			if good < all*9/10 || worst > 25 {
				t.Errorf("%g Hz at %g Hz: a pitch %d times in %d, off by %.1f cents at most", hz, rate, good, all, worst)
			}
		}
	}
}

// TestTrackerFirstPitch: three periods and a buffer of 20 ms after the onset there
// is a pitch, and it is the right one.
func TestTrackerFirstPitch(t *testing.T) {
	for _, hz := range []float64{27.5, 41.2, 61.7, 82.4, 110, 196, 329.6, 659.3, 1318} {
		for _, point := range []float64{0.09, 0.17, 0.5} {
			tk := plain(hz, 48000, 1)
			tk.Plucks[0].Point = point
			x, truth := rendered(t, tk)
			tr := NewTracker(tk.Rate)
			const step = 48
			for i := 0; i+step <= len(x); i += step {
				now := tr.Push(x[i : i+step])
				if now.Hz == 0 {
					continue
				}
				after := now.Seconds - tk.Plucks[0].At
				t.Logf("%6.1f Hz plucked at %.2f: %5.1f Hz after %3.0f ms, %4.1f periods", hz, point, now.Hz, 1000*after, after*hz)
				if off := cents(now.Hz, truth.F1); math.Abs(off) > 40 {
					t.Errorf("%g Hz plucked at %g: at first %g Hz, %.0f cents off", hz, point, now.Hz, off)
				}
				if after > 3/hz+0.02 {
					t.Errorf("%g Hz plucked at %g: first pitch after %.0f ms, %.1f periods", hz, point, 1000*after, after*hz)
				}
				break
			}
		}
	}
}

// TestTrackerOctave: what is said is the fundamental, or nothing, whatever hides it.
func TestTrackerOctave(t *testing.T) {
	for _, hz := range []float64{27.5, 41.2, 55, 82.4, 147, 196, 330} {
		for name, change := range map[string]func(*synth.Take){
			"plain":                 func(*synth.Take) {},
			"fundamental filtered":  func(tk *synth.Take) { tk.HighPass = synth.HighPass{Corner: 2.5 * hz, Order: 2} },
			"fundamental absent":    func(tk *synth.Take) { tk.Omit = []int{1} },
			"first two absent":      func(tk *synth.Take) { tk.Omit = []int{1, 2} },
			"only odd":              func(tk *synth.Take) { tk.Plucks[0].Point = 0.5 },
			"only odd, first gone":  func(tk *synth.Take) { tk.Plucks[0].Point, tk.Omit = 0.5, []int{1} },
			"plucked at the bridge": func(tk *synth.Take) { tk.Plucks[0].Point = 0.03 },
			"hum below":             func(tk *synth.Take) { tk.Hum = synth.Hum{Freq: 50, Level: -26, Harmonics: 4} },
			"stiff":                 func(tk *synth.Take) { tk.String = synth.FromPitch(hz, 3e-4) },
			"noise":                 func(tk *synth.Take) { tk.Noise[0].DB = 20 },
			"beating":               func(tk *synth.Take) { tk.String.Second = synth.Polarization{Share: 0.7, Cents: 2} },
		} {
			if name == "only odd, first gone" && hz > 150 {
				continue // no chain takes so high a fundamental; when 5 has died, 3 alone is any string's
			}
			tk := plain(hz, 16000, 2)
			change(&tk)
			x, truth := rendered(t, tk)
			tr := NewTracker(tk.Rate)
			said, all := 0, 0
			for i := 0; i+160 <= len(x); i += 160 {
				now := tr.Push(x[i : i+160])
				if now.Hz > 0 && math.Abs(cents(now.Hz, truth.F1)) > 50 {
					t.Errorf("%g Hz, %s: %.1f Hz at %.2f s", hz, name, now.Hz, now.Seconds)
					break
				}
				if now.Seconds > 0.8 && now.Ringing {
					all++
					if now.Hz > 0 {
						said++
					}
				}
			}
			if said < all*3/4 || all < 60 {
				t.Errorf("%g Hz, %s: a pitch %d times in %d", hz, name, said, all)
			}
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
	n := 8 * int(rate)
	hum := plus(whiteNoise(n, 1e-4, 2), damped(n, rate, 50, 0, 0.05, 0))
	late := whiteNoise(n, 1e-3, 3) // behind zeros, as some devices start
	clear(late[:int(rate)/2])
	gap := whiteNoise(n, 1e-2, 4)
	clear(gap[n/2 : n/2+4800])
	for name, x := range map[string][]float64{
		"silence": make([]float64, n), "noise": whiteNoise(n, 1e-3, 1), "hum": hum, "constant": repeat(0.5, n),
		"constant and noise": plus(repeat(-0.9, n), whiteNoise(n, 1e-4, 5)), "late noise": late, "drop-out": gap,
	} {
		tr := NewTracker(rate)
		for i := 0; i+960 <= len(x); i += 960 {
			if now := tr.Push(x[i : i+960]); now.Ringing || now.Done || now.Hz != 0 {
				t.Errorf("%s: at %.2f s %+v", name, now.Seconds, now)
				break
			}
		}
	}
}

// TestTrackerBackground: what starts and does not die away is no pluck, and a
// string is heard over it.
func TestTrackerBackground(t *testing.T) {
	tk := plain(196, 16000, 9)
	tk.Plucks[0].At = 7
	tk.Noise = []synth.Noise{{DB: -70, Reference: synth.FullScale}}
	x, truth := rendered(t, tk)
	for i, v := range damped(len(x)-16000, tk.Rate, 120, 0, 0.01, 0) {
		x[16000+i] += v
	}
	tr := NewTracker(tk.Rate)
	spans, now := track(tr, x, 320)
	if len(spans) != 0 || !now.Ringing || math.Abs(cents(now.Hz, truth.F1)) > 20 {
		t.Errorf("%d plucks %.2f, then %+v; want none yet and %g Hz", len(spans), spans, now, truth.F1)
	}
}

func TestTrackerLevel(t *testing.T) {
	const rate = 22400.0
	x := plus(damped(int(rate), rate, 500, 0, 0.2, 0), repeat(0.3, int(rate))) // ten periods to 20 ms
	tr := NewTracker(rate)
	_, now := track(tr, x, 441)
	near(t, "level, dB", now.LevelDB, 20*math.Log10(0.2/math.Sqrt2), 0.02)
	near(t, "seconds", now.Seconds, 1, 1e-12)
	if now := NewTracker(rate).Push(nil); now != (Now{LevelDB: -200}) {
		t.Errorf("before anything: %+v", now)
	}
}

// TestTrackerLetsGo: a string that rings on is done after what suffices for a
// reading, one that dies away sooner is done sooner, and both go on ringing.
func TestTrackerLetsGo(t *testing.T) {
	for _, c := range []struct{ hz, decay, least, most float64 }{
		{55, 0.2, longest, enough + 0.1},
		{55, 1, math.Ln10/20*enoughDrop - 0.1, 0.2 + math.Ln10/20*enoughDrop},
		{659, 5, enoughLeast, 0.1 + math.Ln10/20*enoughDrop/5 + 0.1},
		{659, 20, 0.2, 0.5}, // falls below what ends a pluck first
	} {
		tk := plain(c.hz, 8000, 6)
		tk.String.Decay = synth.Decay{Base: c.decay}
		tk.Noise = []synth.Noise{{DB: -80, Reference: synth.FullScale}}
		x, _ := rendered(t, tk)
		tr := NewTracker(tk.Rate)
		rang := 0.0
		var done []Now
		for i := 0; i+80 <= len(x); i += 80 {
			now := tr.Push(x[i : i+80])
			if now.Done {
				done = append(done, now)
			}
			if now.Ringing {
				rang = now.Seconds
			}
		}
		if len(done) != 1 || done[0].To < 0.5+c.least || done[0].To > 0.5+c.most {
			t.Errorf("%g Hz, decay %g/s: done %+v, want once from %.2f to %.2f s", c.hz, c.decay, done, 0.5+c.least, 0.5+c.most)
			continue
		}
		if c.decay < 10 && rang < done[0].To+0.2 {
			t.Errorf("%g Hz, decay %g/s: done at %.2f s, rang until %.2f", c.hz, c.decay, done[0].To, rang)
		}
	}
}
