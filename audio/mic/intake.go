package mic

import (
	"math"
	"sync/atomic"
	"time"

	"pluckweigh/audio"
)

const (
	ringSeconds = 4   // how long the reader may be away before samples are lost
	ringGaps    = 256 // how many gaps may wait in the ring

	ringArrivals = 8192 // how many arrivals may wait; further ones are left out
)

// A gap is a place where the recording chain lost frames.
type gap struct {
	at   int64 // index of the first frame after it
	lost int64 // frames, 0 where unknown
}

// An intake is where PortAudio's callback leaves what it got. take runs on
// PortAudio's thread; the ring's reader is the goroutine in Source.Read.
type intake struct {
	channels int
	samples  *ring[float32] // interleaved, whole frames only
	gaps     *ring[gap]     // written before the frame that follows the gap
	arrivals *ring[audio.Arrival]
	began    time.Time

	calls atomic.Uint64 // callbacks so far: the device is alive while it grows

	// Of the callback alone.
	frames int64 // frames written to samples
	lost   int64 // frames dropped since then because the ring was full
	came   int64 // frames that came, dropped or not
	broken bool  // frames were lost since the last arrival noted, it is unknown how many
}

func newIntake(channels int, rate float64) *intake {
	return &intake{
		channels: channels,
		samples:  newRing[float32](int(math.Ceil(ringSeconds*rate)) * channels),
		gaps:     newRing[gap](ringGaps),
		arrivals: newRing[audio.Arrival](ringArrivals),
		began:    time.Now(),
	}
}

// take is the callback's whole work: it copies in, interleaved, into the ring.
// It neither locks nor allocates. overflowed is PortAudio's word that frames
// before the first of these were lost, it cannot say how many.
func (k *intake) take(in []float32, overflowed bool) {
	k.calls.Add(1)
	frames := len(in) / k.channels
	if frames == 0 {
		return
	}
	k.arrive(frames, overflowed)
	if k.lost > 0 || overflowed {
		// After a loss the ring is taken up again only when all of this fits:
		// one gap, not a comb of them. So it is when no gap can be noted.
		need := 0
		if k.lost > 0 {
			need++
		}
		if overflowed {
			need++
		}
		if k.samples.free() < frames*k.channels || k.gaps.free() < need {
			k.lost += int64(frames)
			return
		}
		if k.lost > 0 {
			k.note(gap{at: k.frames, lost: k.lost})
			k.lost = 0
		}
		if overflowed {
			k.note(gap{at: k.frames})
		}
	}
	fits := min(frames, k.samples.free()/k.channels)
	k.samples.write(in[:fits*k.channels])
	k.frames += int64(fits)
	k.lost += int64(frames - fits)
}

func (k *intake) note(g gap) {
	one := [1]gap{g}
	k.gaps.write(one[:])
}

// arrive notes when frames came, where there is room.
func (k *intake) arrive(frames int, overflowed bool) {
	k.came += int64(frames)
	k.broken = k.broken || overflowed
	one := [1]audio.Arrival{{Samples: k.came, At: time.Since(k.began), Gap: k.broken}}
	if k.arrivals.write(one[:]) > 0 {
		k.broken = false
	}
}
