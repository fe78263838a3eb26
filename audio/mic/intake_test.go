package mic

import (
	"slices"
	"testing"
)

// ramp is frames in which each sample tells its place.
func ramp(from, frames, channels int) []float32 {
	x := make([]float32, frames*channels)
	for i := range x {
		x[i] = float32(from*channels + i)
	}
	return x
}

// drain takes everything out, samples and gaps.
func drain(k *intake) (samples []float32, gaps []gap) {
	samples = make([]float32, k.samples.waiting())
	k.samples.take(samples)
	for {
		g, ok := k.gaps.peek()
		if !ok {
			return samples, gaps
		}
		k.gaps.skip()
		gaps = append(gaps, g)
	}
}

func TestIntakeHoldsFourSeconds(t *testing.T) {
	for _, rate := range []float64{8000, 44100, 47999.7, 384000} {
		for _, channels := range []int{1, 2, 3} {
			k := newIntake(channels, rate)
			k.take(make([]float32, int(4*rate)*channels), false)
			if k.lost > 0 {
				t.Errorf("%g Hz, %d channels: %d frames of 4 s lost", rate, channels, k.lost)
			}
		}
	}
}

func TestIntakeGaps(t *testing.T) {
	const channels = 3 // does not divide the ring: 1024 values, 341 frames
	k := newIntake(channels, 80)
	hold := len(k.samples.buf) / channels

	k.take(ramp(0, 100, channels), false)
	k.take(ramp(100, 50, channels), true) // frames lost before frame 100
	k.take(ramp(150, hold-140, channels), false)
	lost := 10 // of which 10 did not fit
	k.take(ramp(hold+10, 20, channels), false)
	lost += 20
	first, gaps := drain(k)
	if !slices.Equal(first, ramp(0, hold, channels)) || !slices.Equal(gaps, []gap{{at: 100}}) {
		t.Fatalf("%d values, gaps %v", len(first), gaps)
	}
	k.take(ramp(hold+30, 5, channels), false)
	second, gaps := drain(k)
	if !slices.Equal(second, ramp(hold+30, 5, channels)) || !slices.Equal(gaps, []gap{{int64(hold), int64(lost)}}) {
		t.Fatalf("%v, gaps %v", second, gaps)
	}
}

// A nearly full ring takes nothing after a loss until a whole callback fits.
func TestIntakeResumesOnce(t *testing.T) {
	k := newIntake(1, 64) // 256
	k.take(ramp(0, 300, 1), false)
	k.samples.take(make([]float32, 10))
	k.take(ramp(300, 11, 1), false)
	k.take(ramp(311, 10, 1), false)
	samples, gaps := drain(k)
	if len(samples) != 256 || samples[246] != 311 || !slices.Equal(gaps, []gap{{256, 44 + 11}}) {
		t.Errorf("%d samples, the one after the gap is %g, gaps %v", len(samples), samples[246], gaps)
	}
}

// More gaps than can be noted lose samples, not the truth about them.
func TestIntakeManyGaps(t *testing.T) {
	k := newIntake(1, 1000)
	for i := range ringGaps + 50 {
		k.take(ramp(i, 1, 1), true)
	}
	samples, gaps := drain(k)
	if len(samples) != ringGaps || len(gaps) != ringGaps {
		t.Fatalf("%d samples, %d gaps", len(samples), len(gaps))
	}
	k.take(ramp(1000, 1, 1), false)
	if _, gaps = drain(k); !slices.Equal(gaps, []gap{{ringGaps, 50}}) {
		t.Errorf("then gaps %v", gaps)
	}
}

func TestIntakeAllocatesNothing(t *testing.T) {
	k := newIntake(2, 48000)
	in := make([]float32, 2*1200)
	if n := testing.AllocsPerRun(1000, func() { k.take(in, true) }); n != 0 {
		t.Errorf("%g allocations a callback", n)
	}
}

func BenchmarkIntake(b *testing.B) {
	k := newIntake(2, 48000)
	in, out := make([]float32, 2*1200), make([]float32, 2*1200)
	b.ReportAllocs()
	b.SetBytes(int64(4 * len(in)))
	for b.Loop() {
		k.take(in, false)
		k.samples.take(out)
	}
}

// Arrivals count what came, also what there was no room for, and a loss is told by
// the next arrival that is noted.
func TestIntakeArrivals(t *testing.T) {
	k := newIntake(2, 100)
	s := newSource(k, 100, 0, nothing)
	k.take(ramp(0, 30, 2), false)
	k.take(nil, true)
	k.take(ramp(30, 5000, 2), false) // more than fits
	k.take(ramp(0, 10, 2), true)
	got := s.Arrivals()
	if len(got) != 3 || got[0].Samples != 30 || got[1].Samples != 5030 || got[2].Samples != 5040 ||
		got[0].Gap || got[1].Gap || !got[2].Gap || got[2].At < got[0].At || got[0].At <= 0 {
		t.Errorf("%+v", got)
	}
	for range ringArrivals {
		k.take(ramp(0, 1, 2), false)
	}
	k.take(ramp(0, 1, 2), true) // no room to note it
	if n := len(s.Arrivals()); n != ringArrivals {
		t.Errorf("%d arrivals waited", n)
	}
	k.take(ramp(0, 1, 2), false)
	if got := s.Arrivals(); len(got) != 1 || !got[0].Gap || got[0].Samples != 5040+ringArrivals+2 {
		t.Errorf("after arrivals were left out: %+v", got)
	}
}
