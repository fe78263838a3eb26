package audiotest

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"

	"pluckweigh/audio"
)

// A probe reads a source and checks, at every call, what holds for every call.
type probe struct {
	audio.Source
	config
	rate  float64
	count int64     // samples delivered
	room  []float64 // what Read is given, and more
}

func (c config) probe(s audio.Source) (*probe, error) {
	p := &probe{Source: s, config: c, rate: s.Rate()}
	if !(p.rate > 0) || math.IsInf(p.rate, 0) {
		return nil, fmt.Errorf("Rate is %v, want positive and finite", p.rate)
	}
	return p, p.state()
}

// mark fills what Read has to leave alone.
var mark = math.Float64frombits(0x7FF8_DEAD_BEEF_0001)

// read calls Read for up to want samples and returns them with Read's error,
// or a violation of the contract. The samples hold until the next read.
func (p *probe) read(ctx context.Context, want int) (got []float64, err, violation error) {
	const margin = 3
	if len(p.room) < want+margin {
		p.room = make([]float64, want+margin)
	}
	room := p.room[:want+margin]
	for i := range room {
		room[i] = mark
	}
	n := 0
	if p.within(func() { n, err = p.Read(ctx, room[:want]) }) != nil {
		return nil, nil, fmt.Errorf("Read did not return in %v", p.patience)
	}
	switch {
	case n < 0 || n > want:
		violation = fmt.Errorf("Read returned %d for %d samples", n, want)
	case n > 0 && err != nil:
		violation = fmt.Errorf("Read returned %d samples and an error: %w", n, err)
	case n == 0 && err == nil && want > 0:
		violation = errors.New("Read returned neither samples nor an error")
	}
	if violation != nil {
		return nil, nil, violation
	}
	for i, x := range room[n:] {
		if math.Float64bits(x) != math.Float64bits(mark) {
			return nil, nil, fmt.Errorf("Read returned %d samples of %d and changed sample %d", n, want, n+i)
		}
	}
	for i, x := range room[:n] {
		if !(math.Abs(x) <= audio.MaxSample) {
			return nil, nil, fmt.Errorf("sample %d is %v", p.count+int64(i), x)
		}
	}
	p.count += int64(n)
	return room[:n], err, p.state()
}

// state checks what holds between two calls of Read.
func (p *probe) state() error {
	if r := p.Rate(); r != p.rate {
		return fmt.Errorf("Rate changed from %v to %v", p.rate, r)
	}
	flaws := p.Flaws()
	for i, f := range flaws {
		switch {
		case f.At < 0 || f.Len < 0:
			return fmt.Errorf("flaw %d is at %d, %d long", i, f.At, f.Len)
		case i > 0 && f.At < flaws[i-1].At:
			return fmt.Errorf("flaw %d is at %d, after one at %d", i, f.At, flaws[i-1].At)
		case f.At > p.count, stretch(f) && f.At+f.Len > p.count:
			return fmt.Errorf("flaw %d is at %d, %d long, but %d samples were delivered", i, f.At, f.Len, p.count)
		}
	}
	// The slice is the caller's.
	for i := range flaws {
		flaws[i].At = math.MinInt64
	}
	for i, f := range p.Flaws() {
		if f.At == math.MinInt64 {
			return fmt.Errorf("flaw %d changed with the slice returned before", i)
		}
	}
	return nil
}

// stretch tells whether a flaw is Len delivered samples long.
func stretch(f audio.Flaw) bool { return f.Kind != audio.Overrun && f.Kind != audio.Truncated }

// sizes of dst that are asked for in turn.
var sizes = []int{1, 1000, 7, 64, 4096, 2, 333}

// all reads the sound to its end, or as far as an endless source is read, by
// pieces of the given sizes in turn. It returns the samples and what the sound
// ended with.
func (p *probe) all(ctx context.Context, sizes []int) (samples []float64, end, violation error) {
	for i := 0; p.endless == 0 || p.count < int64(p.endless); i++ {
		want := sizes[i%len(sizes)]
		if p.endless > 0 {
			want = int(min(int64(want), int64(p.endless)-p.count))
		}
		got, err, violation := p.read(ctx, want)
		if violation != nil {
			return samples, nil, violation
		}
		if err != nil {
			return samples, err, p.goodEnd(err)
		}
		samples = append(samples, got...)
	}
	return samples, nil, nil
}

// goodEnd checks the error that a sound ended with.
func (p *probe) goodEnd(err error) error {
	switch {
	case p.endless > 0:
		return fmt.Errorf("an endless source ended after %d samples: %w", p.count, err)
	case p.fails != nil && !errors.Is(err, p.fails):
		return fmt.Errorf("sound ended with %v, want %v", err, p.fails)
	case p.fails == nil && err != io.EOF:
		return fmt.Errorf("sound ended with %v, want io.EOF", err)
	}
	return nil
}
