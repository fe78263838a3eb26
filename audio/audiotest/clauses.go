package audiotest

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"pluckweigh/audio"
)

// with opens a source, runs f on it and closes it.
func with(open func() audio.Source, c config, f func(p *probe) error) error {
	s := open()
	defer c.within(func() { s.Close() })
	p, err := c.probe(s)
	if err != nil {
		return err
	}
	return f(p)
}

// reads returns what a source delivers by pieces of the given sizes.
func reads(open func() audio.Source, c config, sizes []int) (samples []float64, err error) {
	err = with(open, c, func(p *probe) (err error) {
		samples, _, err = p.all(context.Background(), sizes)
		return err
	})
	return samples, err
}

// checkReads: every Read returns as it may, and some deliver samples.
func checkReads(open func() audio.Source, c config) error {
	samples, err := reads(open, c, sizes)
	if err == nil && len(samples) == 0 {
		err = errors.New("source delivered no samples")
	}
	return err
}

// checkEmpty: a Read for no samples returns nothing and takes nothing.
func checkEmpty(open func() audio.Source, c config) error {
	return with(open, c, func(p *probe) error {
		for range 2 {
			_, err, violation := p.read(context.Background(), 0)
			if violation != nil {
				return violation
			}
			if err != nil {
				return fmt.Errorf("Read for no samples returned %w", err)
			}
			if err := p.readNil(); err != nil {
				return err
			}
		}
		_, err, violation := p.read(context.Background(), 1)
		return errors.Join(violation, err)
	})
}

func (p *probe) readNil() error {
	var n int
	var err error
	if p.within(func() { n, err = p.Read(context.Background(), nil) }) != nil {
		return fmt.Errorf("Read into nil did not return in %v", p.patience)
	}
	if n != 0 || err != nil {
		return fmt.Errorf("Read into nil returned %d, %v", n, err)
	}
	return nil
}

// checkSame: the samples do not depend on how they are asked for.
func checkSame(open func() audio.Source, c config) error {
	if c.endless > 0 {
		return nil // need not repeat itself
	}
	want, err := reads(open, c, []int{4096})
	if err != nil {
		return err
	}
	got, err := reads(open, c, sizes)
	if err != nil {
		return err
	}
	return same(got, want)
}

// same compares what two sources of one sound delivered.
func same(got, want []float64) error {
	for i := range min(len(got), len(want)) {
		if math.Float64bits(got[i]) != math.Float64bits(want[i]) {
			return fmt.Errorf("sample %d is %v read in one way and %v in another", i, got[i], want[i])
		}
	}
	if len(got) != len(want) {
		return fmt.Errorf("%d samples read in one way and %d in another", len(got), len(want))
	}
	return nil
}

// checkEnd: what ended the sound is said again, and flaws stay.
func checkEnd(open func() audio.Source, c config) error {
	if c.endless > 0 {
		return nil
	}
	return with(open, c, func(p *probe) error {
		_, end, violation := p.all(context.Background(), []int{4096})
		if violation != nil {
			return violation
		}
		flaws := p.Flaws()
		over, cancel := context.WithCancel(context.Background())
		cancel()
		for i, ctx := range []context.Context{context.Background(), over, context.Background(), context.Background()} {
			got, err, violation := p.read(ctx, 64)
			switch {
			case violation != nil:
				return violation
			case len(got) > 0:
				return fmt.Errorf("%d samples came after the end", len(got))
			case ctx == over && err == ctx.Err():
			case err != end:
				return fmt.Errorf("Read %d after the end returned %v, before that %v", i+1, err, end)
			}
		}
		if !slices.Equal(p.Flaws(), flaws) {
			return fmt.Errorf("flaws changed after the end from %v to %v", flaws, p.Flaws())
		}
		return nil
	})
}
