package detect

import (
	"math"
	"testing"
)

// TestTrackerSurvives: samples that are none pass, and a string after them is heard.
func TestTrackerSurvives(t *testing.T) {
	tk := plain(110, 48000, 1.5)
	x, truth := rendered(t, tk)
	for name, bad := range map[string][]float64{
		"NaN": {math.NaN()}, "infinite": {math.Inf(1)}, "both": {math.Inf(1), math.Inf(-1), math.NaN()},
		"huge": {1e300, -1e300}, "a step": repeat(0.7, 9600), "a click": {1},
	} {
		for _, at := range []int{0, 9601, 30000} {
			y := append(append(append([]float64{}, x[:at]...), bad...), x[at:]...)
			tr := NewTracker(tk.Rate)
			tr.Push(y[:len(y)-4800])
			now := tr.Push(y[len(y)-4800:])
			if !(math.Abs(cents(now.Hz, truth.F1)) < 15) || !(now.LevelDB > -60 && now.LevelDB < 0) {
				t.Errorf("%s at %d: %+v, want %g Hz", name, at, now, truth.F1)
			}
		}
	}
}

func TestTrackerRates(t *testing.T) {
	x := whiteNoise(4800, 0.1, 1)
	for _, rate := range []float64{0, -48000, math.NaN(), math.Inf(1), math.Inf(-1), 1e-300, 40, 7999, 768001, 1e12} {
		now := NewTracker(rate).Push(x)
		want := Now{LevelDB: silentDB}
		if rate > 0 && rate < math.Inf(1) {
			want.Seconds = 4800 / rate
		}
		if now != want {
			t.Errorf("at %g Hz: %+v, want %+v", rate, now, want)
		}
	}
	for _, rate := range []float64{8000, 11025, 15999, 23999, 47999, 48000.5, 88200, 352800, 768000} {
		tr := NewTracker(rate)
		tr.Push(x)
		now := tr.Push(x)
		near(t, "seconds", now.Seconds, 9600/rate, 1e-9)
		if math.Abs(now.LevelDB+20) > 1 {
			t.Errorf("at %g Hz: %g dB, want -20", rate, now.LevelDB)
		}
		if low := tr.ear.tapes[0].rate; low < trackRate || low >= 2*trackRate {
			t.Errorf("at %g Hz: pitch is looked for at %g Hz", rate, low)
		}
	}
}

func TestTrackerAllocatesNothing(t *testing.T) {
	x, rate := thrice(t, 110)
	tr := NewTracker(rate)
	const piece = 160
	i := 0
	plucks := 0
	n := testing.AllocsPerRun(len(x)/piece-1, func() {
		tr.Push(x[i : i+piece])
		for _, _, ok := tr.Next(); ok; _, _, ok = tr.Next() {
			plucks++
		}
		i += piece
	})
	if n != 0 || plucks != 3 {
		t.Errorf("%g allocations a push over %d plucks, want 0 over 3", n, plucks)
	}
}

// FuzzTracker: the pieces that samples come in change nothing, and no sample,
// finite or not, yields a number that is none.
func FuzzTracker(f *testing.F) {
	f.Add([]byte{1, 2, 50, 246, 100, 20, 3, 0, 206, 1, 0}, 8000.0, uint16(7), uint16(100))
	f.Add([]byte{1, 2, 50, 246, 110, 20, 2, 150, 246, 135, 20, 3, 0, 200, 1, 0}, 8000.0, uint16(1), uint16(4001))
	f.Add([]byte{1, 0, 80, 0, 0, 0, 1, 120, 5, 0, 0}, 11025.0, uint16(137), uint16(2))
	f.Add([]byte{2, 0, 0, 0, 0, 0, 0, 240, 127, 0, 0, 0, 0, 0, 0, 240, 191}, 48000.0, uint16(960), uint16(961))
	f.Add([]byte{1, 2, 90, 0, 80, 1}, math.Inf(1), uint16(1), uint16(1))
	f.Fuzz(func(t *testing.T, data []byte, rate float64, one, other uint16) {
		x := samplesFrom(data, 12000)
		if len(data) > 2 && len(x) > 0 { // which samplesFrom keeps out
			x[int(data[2])*len(x)/256] = math.Inf(1)
		}
		whole, parts := NewTracker(rate), NewTracker(rate)
		want, last := track(whole, x, max(1, len(x)))
		var got []heardSpan
		now := parts.Push(nil)
		rest := x
		for k, n := 0, 0; len(rest) > 0; k++ {
			n = int(one)
			if k%2 == 1 {
				n = int(other)
			}
			n = min(1+n, len(rest))
			more, state := track(parts, rest[:n], n)
			got, now, rest = append(got, more...), state, rest[n:]
			if math.IsNaN(now.Hz) || now.Hz < 0 || now.Hz > 1.02*highestF0 || now.Hz > 0 && now.Hz < 0.9*lowestF0 ||
				!(now.LevelDB >= silentDB && now.LevelDB < 200) || !(now.Seconds >= 0) || now.Done && !(now.To >= now.From) {
				t.Fatalf("%+v", now)
			}
		}
		if len(got) != len(want) {
			t.Fatalf("%d plucks in pieces, %d in one", len(got), len(want))
		}
		for i := range got {
			if got[i] != want[i] {
				t.Fatalf("pluck %d: %v in pieces, %v in one", i, got[i], want[i])
			}
		}
		last.Done, last.From, last.To, now.Done, now.From, now.To = false, 0, 0, false, 0, 0
		if len(x) > 0 && now != last {
			t.Fatalf("%+v in pieces, %+v in one", now, last)
		}
	})
}
