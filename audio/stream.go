package audio

import (
	"context"
	"errors"
	"io"
	"sync"
	"sync/atomic"
)

// A stream is a decoder at work in a goroutine of its own, so that a pipe that
// blocks, or a slow disk, keeps nobody waiting beyond a context or Close.
type stream struct {
	rate   float64
	name   string
	closer io.Closer // what Close frees beside the goroutine; may be nil

	chunks chan chunk     // decoded and mixed, in order
	spare  chan []float64 // buffers to decode into
	done   chan struct{}  // closed by Close
	once   sync.Once

	mixer *Mixer
	at    atomic.Int64 // samples delivered

	// Read's own.
	rest []float64 // decoded, not yet delivered: the end of buf
	buf  []float64
	err  error // how the sound ended
}

var _ Source = (*stream)(nil)

// A chunk is what one call of decode returned.
type chunk struct {
	samples []float64
	err     error
}

const (
	chunkLen   = 4096  // samples decoded at a time at most
	chunkRoom  = 16384 // samples of all channels decoded at a time at most
	chunkCount = 3     // one being decoded, one waiting, one being read
)

// start returns a source of r once its header has been read, or fails when ctx
// ends first.
func start(ctx context.Context, name string, r io.Reader, closer io.Closer, o Options) (*stream, error) {
	s := &stream{
		name:   name,
		closer: closer,
		chunks: make(chan chunk, chunkCount),
		spare:  make(chan []float64, chunkCount),
		done:   make(chan struct{}),
	}
	type opened struct {
		d   decoder
		err error
	}
	result := make(chan opened, 1)
	go func() {
		d, err := newDecoder(r, o)
		if err == nil {
			s.mixer = NewMixer(d.rate(), d.channels())
		}
		result <- opened{d, err}
		if err == nil {
			s.run(d)
		}
	}()
	select {
	case got := <-result:
		if got.err != nil {
			s.Close()
			return nil, named(got.err, name)
		}
		s.rate = got.d.rate()
		return s, nil
	case <-ctx.Done():
		s.Close()
		return nil, ctx.Err()
	}
}

// run decodes until the sound ends or the stream is closed.
func (s *stream) run(d decoder) {
	channels := make([][]float64, d.channels())
	n := min(chunkLen, chunkRoom/len(channels))
	for c := range channels[1:] {
		channels[1+c] = make([]float64, n)
	}
	for range chunkCount {
		s.spare <- make([]float64, n)
	}
	for {
		select {
		case channels[0] = <-s.spare:
		case <-s.done:
			return
		}
		n, err := d.decode(channels)
		if err != nil {
			s.mixer.End()
		}
		s.mixer.Mix(channels, n)
		select {
		case s.chunks <- chunk{channels[0][:n], err}:
		case <-s.done:
			return
		}
		if err != nil {
			return
		}
	}
}

// Rate implements Source.
func (s *stream) Rate() float64 { return s.rate }

// Flaws implements Source.
func (s *stream) Flaws() []Flaw { return s.mixer.Flaws(s.at.Load()) }

// Close implements Source.
func (s *stream) Close() error {
	var err error
	s.once.Do(func() {
		close(s.done)
		if s.closer != nil {
			err = s.closer.Close()
		}
	})
	return err
}

// Read implements Source.
func (s *stream) Read(ctx context.Context, dst []float64) (int, error) {
	select {
	case <-s.done:
		return 0, ErrClosed
	default:
	}
	if len(dst) == 0 {
		return 0, nil
	}
	if s.err != nil {
		return 0, s.err
	}
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	if len(s.rest) == 0 {
		if err := s.fetch(ctx); err != nil {
			return 0, err
		}
	}
	n := copy(dst, s.rest)
	s.rest = s.rest[n:]
	s.at.Add(int64(n))
	return n, nil
}

// fetch waits for the next chunk.
func (s *stream) fetch(ctx context.Context) error {
	if s.buf != nil {
		s.spare <- s.buf
		s.buf = nil
	}
	select {
	case c := <-s.chunks:
		if c.err != nil {
			s.err = s.end(c.err)
			return s.err
		}
		s.rest = c.samples
		s.buf = c.samples[:cap(c.samples)]
		return nil
	case <-ctx.Done():
		return ctx.Err()
	case <-s.done:
		return ErrClosed
	}
}

// end is what Read says from now on when decode ended with err.
func (s *stream) end(err error) error {
	var cut errTruncated
	switch {
	case err == io.EOF:
		return io.EOF
	case errors.As(err, &cut):
		s.mixer.Add(Flaw{Truncated, s.at.Load(), cut.missing})
		return io.EOF
	}
	return named(err, s.name)
}
