package mic

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sync"
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
	rate    float64
	in      *intake
	channel int // index of the channel to take, or −1 for the mean of all
	release func() error

	closed chan struct{}
	once   sync.Once

	// Of Read alone.
	chunk     []float32
	delivered int64
	calls     uint64        // callbacks seen
	quiet     time.Duration // time watched since the last one
	failed    error

	mu    sync.Mutex
	flaws []audio.Flaw
}

var _ audio.Source = (*source)(nil)

// newSource reads from in; channel as in Options; release frees the device.
func newSource(in *intake, rate float64, channel int, release func() error) *source {
	return &source{
		rate:    rate,
		in:      in,
		channel: channel - 1,
		release: release,
		closed:  make(chan struct{}),
		chunk:   make([]float32, chunkFrames*in.channels),
	}
}

// Rate is the device's sample rate in hertz.
func (s *source) Rate() float64 { return s.rate }

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
		s.gaps(s.delivered + int64(frames))
		s.mix(dst[n:n+frames], s.chunk)
		s.delivered += int64(frames)
		n += frames
	}
	return n
}

// gaps turns the gaps before the frame end into flaws.
func (s *source) gaps(end int64) {
	for {
		g, ok := s.in.gaps.peek()
		if !ok || g.at >= end {
			return
		}
		s.in.gaps.skip()
		s.flaw(audio.Flaw{Kind: audio.Overrun, At: g.at, Len: g.lost})
	}
}

// mix fills dst from interleaved frames.
func (s *source) mix(dst []float64, frames []float32) {
	c := s.in.channels
	for i := range dst {
		frame := frames[i*c : (i+1)*c]
		var x float64
		if s.channel >= 0 {
			x = float64(frame[s.channel])
		} else {
			for _, v := range frame {
				x += float64(v)
			}
			x /= float64(c)
		}
		if math.IsNaN(x) || math.IsInf(x, 0) {
			s.notFinite(s.delivered + int64(i))
			x = 0
		}
		dst[i] = x
	}
}

// notFinite notes the sample at, joining it to the flaw that ends before it.
func (s *source) notFinite(at int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if n := len(s.flaws); n > 0 {
		if f := &s.flaws[n-1]; f.Kind == audio.NotFinite && f.At+f.Len == at {
			f.Len++
			return
		}
	}
	s.flaws = append(s.flaws, audio.Flaw{Kind: audio.NotFinite, At: at, Len: 1})
}

func (s *source) flaw(f audio.Flaw) {
	s.mu.Lock()
	s.flaws = append(s.flaws, f)
	s.mu.Unlock()
}

// Flaws lists lost frames and samples that were no numbers, by position.
func (s *source) Flaws() []audio.Flaw {
	s.mu.Lock()
	flaws := slices.Clone(s.flaws)
	s.mu.Unlock()
	slices.SortStableFunc(flaws, func(a, b audio.Flaw) int { return cmp.Compare(a.At, b.At) })
	return flaws
}

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
