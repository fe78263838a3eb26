package mic

import (
	"context"
	"sync"
	"sync/atomic"
	"time"

	"pluckweigh/audio"
)

const (
	// stall is how long a device may be silent before it counts as dead. Devices
	// call every 5 to 100 ms; audio.Source allows 2 s to say so.
	stall = 1200 * time.Millisecond

	// poll is how often a waiting Read looks for samples. The callback must not
	// lock, so it cannot wake the reader.
	poll = 10 * time.Millisecond

	chunkFrames = 2048 // frames mixed at a time
)

// A source reads what an intake took in. It implements audio.Source.
type source struct {
	device  string
	rate    float64
	in      *intake
	first   int // index of the first channel to take
	mixer   *audio.Mixer
	release func() error

	closed chan struct{}
	once   sync.Once

	delivered atomic.Int64

	// Of Read alone.
	chunk    []float32     // as they come
	channels [][]float64   // those to take; the first is where Read delivers
	calls    uint64        // callbacks seen
	quiet    time.Duration // time watched since the last one
	failed   error
}

var _ audio.Recorder = (*source)(nil)

// newSource reads from in; channel as in Options; release frees the device.
func newSource(in *intake, rate float64, channel int, release func() error) *source {
	channels := make([][]float64, in.channels)
	if channel > 0 {
		channels = channels[:1]
	}
	for c := range channels[1:] {
		channels[1+c] = make([]float64, chunkFrames)
	}
	return &source{
		rate:     rate,
		in:       in,
		first:    max(0, channel-1),
		mixer:    audio.NewMixer(rate, len(channels)),
		release:  release,
		closed:   make(chan struct{}),
		chunk:    make([]float32, chunkFrames*in.channels),
		channels: channels,
	}
}

// Rate is the device's sample rate in hertz.
func (s *source) Rate() float64 { return s.rate }

// Device names the device.
func (s *source) Device() string { return s.device }

// Arrivals lists when samples came since it was last called.
func (s *source) Arrivals() []audio.Arrival {
	new := make([]audio.Arrival, s.in.arrivals.waiting())
	return new[:s.in.arrivals.take(new)]
}

// Read waits for the device and delivers what it sent.
func (s *source) Read(ctx context.Context, dst []float64) (int, error) {
	if len(dst) == 0 {
		return 0, nil
	}
	var tick *time.Ticker
	last := time.Now()
	for {
		select {
		case <-s.closed:
			return 0, audio.ErrClosed
		default:
		}
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		if n := s.deliver(dst); n > 0 {
			return n, nil
		}
		if s.failed != nil {
			return 0, s.failed
		}
		now := time.Now()
		if s.watch(now.Sub(last)); s.quiet >= stall {
			s.failed = ErrDied
			continue // the last samples may have come since
		}
		last = now
		if tick == nil {
			tick = time.NewTicker(poll)
			defer tick.Stop()
		}
		select {
		case <-tick.C:
		case <-ctx.Done():
		case <-s.closed:
		}
	}
}

// watch counts how long the device has been silent. A pause much longer than
// poll is this process's own, stopped or starved, in which the device's thread
// stood still too: it counts for little.
func (s *source) watch(passed time.Duration) {
	if calls := s.in.calls.Load(); calls != s.calls {
		s.calls, s.quiet = calls, 0
		return
	}
	s.quiet += min(passed, 10*poll)
}

// deliver moves what is there to dst and notes its flaws.
func (s *source) deliver(dst []float64) int {
	n := 0
	for n < len(dst) {
		want := min(len(dst)-n, chunkFrames) * s.in.channels
		frames := s.in.samples.take(s.chunk[:want]) / s.in.channels
		if frames == 0 {
			break
		}
		s.channels[0] = dst[n:]
		for c, to := range s.channels {
			for i := range to[:frames] {
				to[i] = float64(s.chunk[i*s.in.channels+s.first+c])
			}
		}
		s.mixer.Mix(s.channels, frames)
		s.gaps(s.delivered.Add(int64(frames)))
		n += frames
	}
	return n
}

// gaps turns the gaps within what was delivered into flaws.
func (s *source) gaps(delivered int64) {
	for {
		g, ok := s.in.gaps.peek()
		if !ok || g.at >= delivered {
			return
		}
		s.in.gaps.skip()
		s.mixer.Add(audio.Flaw{Kind: audio.Overrun, At: g.at, Len: g.lost})
	}
}

// Flaws lists what is wrong with the samples delivered, by position.
func (s *source) Flaws() []audio.Flaw { return s.mixer.Flaws(s.delivered.Load()) }

// Close stops the device. It returns [ErrStuck] when the sound library does not
// let go of it in time.
func (s *source) Close() error {
	var err error
	s.once.Do(func() {
		close(s.closed)
		err = s.release()
	})
	return err
}
