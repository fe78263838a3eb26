package web

import (
	"context"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"sync"
	"sync/atomic"

	"pluckweigh/audio"
)

// A feed is sound that a browser sends. It implements audio.Source.
//
// A piece of it, one message of the socket, is eight bytes with the number of its first
// sample, big-endian, counted from 0 by the browser's own clock, and then samples of 32-bit
// floating point, little-endian. A number that is ahead of the samples so far tells that
// some were lost on the way.
type feed struct {
	rate   float64
	pieces chan piece
	ended  error // what it ends with, once pieces is closed

	closed chan struct{}
	once   sync.Once

	mixer     *audio.Mixer
	delivered atomic.Int64

	// Of the side that sends alone.
	sent int64 // number of the sample to come
	over bool

	// Of Read alone.
	left   []float32
	failed error
}

type piece struct {
	lost    int64 // samples before these
	samples []float32
}

var _ audio.Source = (*feed)(nil)

const (
	mostPieces  = 64      // that may wait to be read
	mostBytes   = 1 << 16 // in one piece
	headOfPiece = 8
	mostSamples = int64(1) << 52 // numbers beyond are no count of samples
)

var (
	errPiece    = errors.New("sound came in a form that is none of the page's")
	errBackward = errors.New("sound came out of order")
)

func newFeed(rate float64) *feed {
	return &feed{rate: rate, pieces: make(chan piece, mostPieces), closed: make(chan struct{}), mixer: audio.NewMixer(rate, 1)}
}

// send takes in one message, and waits where the reader is behind. It is called by one
// goroutine, as end is.
func (f *feed) send(ctx context.Context, b []byte) error {
	n := len(b) - headOfPiece
	if f.over || n <= 0 || n%4 != 0 || len(b) > mostBytes {
		return errPiece
	}
	first := binary.BigEndian.Uint64(b)
	if first > uint64(mostSamples) {
		return errPiece
	}
	lost := int64(first) - f.sent
	if lost < 0 {
		return errBackward
	}
	p := piece{lost: lost, samples: make([]float32, n/4)}
	for i := range p.samples {
		p.samples[i] = math.Float32frombits(binary.LittleEndian.Uint32(b[headOfPiece+4*i:]))
	}
	f.sent = int64(first) + int64(len(p.samples))
	select {
	case f.pieces <- p:
		return nil
	case <-f.closed:
		return nil // whoever read has had enough
	case <-ctx.Done():
		return ctx.Err()
	}
}

// end says that no more will come, and why: nil for a sound that is over.
func (f *feed) end(err error) {
	if f.over {
		return
	}
	f.over = true
	if f.ended = err; err == nil {
		f.ended = io.EOF
	}
	close(f.pieces)
}

// Rate is the browser's sample rate in hertz.
func (f *feed) Rate() float64 { return f.rate }

// Read waits for the browser and delivers what it sent.
func (f *feed) Read(ctx context.Context, dst []float64) (int, error) {
	if len(dst) == 0 {
		return 0, nil
	}
	select {
	case <-f.closed:
		return 0, audio.ErrClosed
	default:
	}
	if f.failed != nil {
		return 0, f.failed
	}
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	lost := int64(0)
	if len(f.left) == 0 {
		select {
		case p, ok := <-f.pieces:
			if !ok {
				f.failed = f.ended
				return 0, f.failed
			}
			f.left, lost = p.samples, p.lost
		case <-f.closed:
			return 0, audio.ErrClosed
		case <-ctx.Done():
			return 0, ctx.Err()
		}
	}
	n := min(len(dst), len(f.left))
	for i, x := range f.left[:n] {
		dst[i] = float64(x)
	}
	f.left = f.left[n:]
	f.mixer.Mix([][]float64{dst}, n)
	at := f.delivered.Add(int64(n)) - int64(n)
	if lost > 0 {
		f.mixer.Add(audio.Flaw{Kind: audio.Overrun, At: at, Len: lost})
	}
	return n, nil
}

// Flaws lists what is wrong with the samples delivered, by position.
func (f *feed) Flaws() []audio.Flaw { return f.mixer.Flaws(f.delivered.Load()) }

// Close ends the reading; what the browser sends on is dropped.
func (f *feed) Close() error {
	f.once.Do(func() { close(f.closed) })
	return nil
}
