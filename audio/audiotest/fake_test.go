package audiotest

import (
	"context"
	"errors"
	"math"
	"slices"
	"sync"

	"pluckweigh/audio"
)

// A fake is a source of total samples that keeps the contract, unless one of
// its hooks makes it break it.
type fake struct {
	total  int
	end    error // after total samples; nil waits for ever
	next   int
	closed chan struct{}
	once   sync.Once
	flaws  []audio.Flaw

	read  func(f *fake, ctx context.Context, dst []float64) (int, error)
	rate  func(f *fake) float64
	list  func(f *fake) []audio.Flaw
	close func(f *fake) error
}

func (f *fake) Rate() float64 {
	if f.rate != nil {
		return f.rate(f)
	}
	return 48000
}

func (f *fake) Flaws() []audio.Flaw {
	if f.list != nil {
		return f.list(f)
	}
	return slices.Clone(f.flaws)
}

func (f *fake) Close() error {
	if f.close != nil {
		return f.close(f)
	}
	f.once.Do(func() { close(f.closed) })
	return nil
}

func (f *fake) Read(ctx context.Context, dst []float64) (int, error) {
	if f.read != nil {
		return f.read(f, ctx, dst)
	}
	return f.good(ctx, dst)
}

func (f *fake) isClosed() bool {
	select {
	case <-f.closed:
		return true
	default:
		return false
	}
}

// good is Read as it should be.
func (f *fake) good(ctx context.Context, dst []float64) (int, error) {
	if f.isClosed() {
		return 0, audio.ErrClosed
	}
	if len(dst) == 0 {
		return 0, nil
	}
	if f.next == f.total && f.end != nil {
		return 0, f.end
	}
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	if f.next == f.total {
		select {
		case <-ctx.Done():
			return 0, ctx.Err()
		case <-f.closed:
			return 0, audio.ErrClosed
		}
	}
	n := min(len(dst), f.total-f.next)
	for i := range dst[:n] {
		dst[i] = f.sample(f.next + i)
	}
	f.next += n
	return n, nil
}

func (f *fake) sample(i int) float64 { return math.Sin(float64(i)) }

const total = 10_000

var errBroken = errors.New("device died")

// opener returns an open function for fakes that break as the hook says.
func opener(end error, hook func(f *fake)) func() audio.Source {
	return func() audio.Source {
		f := &fake{total: total, end: end, closed: make(chan struct{})}
		if hook != nil {
			hook(f)
		}
		return f
	}
}
