package synth

import (
	"context"
	"io"
	"sync"
	"time"

	"pluckweigh/audio"
)

// A Source plays a rendered take. It implements audio.Source.
type Source struct {
	rate    float64
	samples []float64
	truth   Truth
	paced   bool

	next    int       // next sample to deliver, Read's own
	started time.Time // when a paced source was first read

	closed    chan struct{}
	closeOnce sync.Once
}

var _ audio.Source = (*Source)(nil)

// Source renders the take and returns it as a source that delivers as fast as
// it is read.
func (t Take) Source() (*Source, error) {
	x, truth, err := t.Render()
	if err != nil {
		return nil, err
	}
	return &Source{rate: t.Rate, samples: x, truth: truth, closed: make(chan struct{})}, nil
}

// PacedSource is Source in real time, as a microphone would deliver: no sample
// before its time, counted from the first Read.
func (t Take) PacedSource() (*Source, error) {
	s, err := t.Source()
	if err != nil {
		return nil, err
	}
	s.paced = true
	return s, nil
}

// Truth returns what a detector should find.
func (s *Source) Truth() Truth { return s.truth }

// Rate implements audio.Source.
func (s *Source) Rate() float64 { return s.rate }

// Flaws implements audio.Source; a synthetic string has none.
func (s *Source) Flaws() []audio.Flaw { return nil }

// Close implements audio.Source.
func (s *Source) Close() error {
	s.closeOnce.Do(func() { close(s.closed) })
	return nil
}

// Read implements audio.Source.
func (s *Source) Read(ctx context.Context, dst []float64) (int, error) {
	select {
	case <-s.closed:
		return 0, audio.ErrClosed
	default:
	}
	if len(dst) == 0 {
		return 0, nil
	}
	if s.next == len(s.samples) {
		return 0, io.EOF
	}
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	n := min(len(dst), len(s.samples)-s.next)
	if s.paced {
		n = min(n, max(1, int(hop*s.rate)))
		if err := s.wait(ctx, s.next+n); err != nil {
			return 0, err
		}
	}
	copy(dst, s.samples[s.next:s.next+n])
	s.next += n
	return n, nil
}

// hop is the most a paced source delivers at a time, in seconds: like the
// buffer of a sound device, it keeps a live display moving.
const hop = 0.01

// wait returns when the first count samples are due.
func (s *Source) wait(ctx context.Context, count int) error {
	if s.started.IsZero() {
		s.started = time.Now()
	}
	at := time.Duration(float64(count) / s.rate * float64(time.Second))
	timer := time.NewTimer(time.Until(s.started.Add(at)))
	defer timer.Stop()
	select {
	case <-timer.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	case <-s.closed:
		return audio.ErrClosed
	}
}
