package audio

import (
	"context"
	"errors"
	"io"
	"sync"
)

// A stream is a decoder at work in a goroutine of its own, so that a pipe that
// blocks, or a slow disk, keeps nobody waiting beyond a context or Close.
type stream struct {
	rate   float64
	name   string
	closer io.Closer // what Close frees beside the goroutine; may be nil

	chunks chan chunk     // decoded, in order
	spare  chan []float64 // buffers to decode into
	done   chan struct{}  // closed by Close
	once   sync.Once

	// Read's own.
	rest []float64 // decoded, not yet delivered: the end of buf
	buf  []float64
	at   int64 // samples delivered
	err  error // how the sound ended

	flaws flawLog
}

var _ Source = (*stream)(nil)

// A chunk is what one call of decode returned.
type chunk struct {
	samples []float64
	err     error
}

const (
	chunkLen   = 4096 // samples decoded at a time at most
	chunkCount = 3    // one being decoded, one waiting, one being read
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
	for range chunkCount {
		s.spare <- make([]float64, chunkLen)
	}
	for {
		var buf []float64
		select {
		case buf = <-s.spare:
		case <-s.done:
			return
		}
		n, err := d.decode(buf)
		select {
		case s.chunks <- chunk{buf[:n], err}:
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
func (s *stream) Flaws() []Flaw { return s.flaws.list() }

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
	for i, x := range dst[:n] {
		if x-x != 0 { // NaN and the infinities
			dst[i] = 0
			s.flaws.add(Flaw{NotFinite, s.at + int64(i), 1})
		}
	}
	s.at += int64(n)
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
		s.flaws.add(Flaw{Truncated, s.at, cut.missing})
		return io.EOF
	}
	return named(err, s.name)
}
