package audiotest

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"
	"time"

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

// checkCancelled: a context that is over ends Read with its error, and no
// samples are lost by it.
func checkCancelled(open func() audio.Source, c config) error {
	cancelled, cancel := context.WithCancel(context.Background())
	cancel()
	expired, cancel := context.WithDeadline(context.Background(), time.Unix(1, 0))
	defer cancel()

	var got []float64
	err := with(open, c, func(p *probe) error {
		for i := 0; p.endless == 0 || p.count < int64(p.endless); i++ {
			for _, ctx := range []context.Context{cancelled, expired} {
				late, err, violation := p.read(ctx, 64)
				switch {
				case violation != nil:
					return violation
				case len(late) > 0:
					return fmt.Errorf("Read delivered %d samples under a context that is over", len(late))
				case err != ctx.Err() && (i == 0 || p.goodEnd(err) != nil):
					return fmt.Errorf("Read returned %v under a context that is over by %v", err, ctx.Err())
				}
			}
			want := sizes[i%len(sizes)]
			if p.endless > 0 {
				want = int(min(int64(want), int64(p.endless)-p.count))
			}
			samples, err, violation := p.read(context.Background(), want)
			if violation != nil {
				return violation
			}
			if err != nil {
				return p.goodEnd(err)
			}
			got = append(got, samples...)
		}
		return nil
	})
	if err != nil || c.endless > 0 {
		return err
	}
	want, err := reads(open, c, []int{4096})
	if err != nil {
		return err
	}
	return same(got, want)
}

// checkCancelling: a context that ends while Read is at work ends it too, and
// no samples are lost by it.
func checkCancelling(open func() audio.Source, c config) error {
	var got []float64
	err := with(open, c, func(p *probe) error {
		if p.endless > 0 {
			if _, _, violation := p.all(context.Background(), sizes); violation != nil {
				return violation
			}
		}
		// A few cancellations suffice; then read on.
		for cancelled := 0; cancelled < 5; {
			ctx, cancel := context.WithTimeout(context.Background(), 5*time.Millisecond)
			defer cancel()
			for {
				over := ctx.Err()
				samples, err, violation := p.read(ctx, 64)
				switch {
				case violation != nil:
					return violation
				case over != nil && err == nil:
					return fmt.Errorf("Read delivered %d samples under a context that is over", len(samples))
				case err != nil && err != ctx.Err():
					return p.goodEnd(err)
				}
				if err != nil {
					cancelled++
					break
				}
				got = append(got, samples...)
			}
		}
		if p.endless > 0 {
			return nil
		}
		rest, _, violation := p.all(context.Background(), sizes)
		got = append(got, rest...)
		return violation
	})
	if err != nil || c.endless > 0 {
		return err
	}
	want, err := reads(open, c, []int{4096})
	if err != nil {
		return err
	}
	return same(got, want)
}

// checkClose: closing works before, amid and after reading, and twice.
func checkClose(open func() audio.Source, c config) error {
	for _, reading := range []string{"unread", "half read", "read to the end"} {
		err := with(open, c, func(p *probe) error {
			var violation error
			switch reading {
			case "half read":
				_, _, violation = p.read(context.Background(), 64)
			case "read to the end":
				_, _, violation = p.all(context.Background(), []int{4096})
			}
			if violation != nil {
				return violation
			}
			for i := range 3 {
				var err error
				if p.within(func() { err = p.Close() }) != nil {
					return fmt.Errorf("Close %d did not return in %v", i+1, p.patience)
				}
				if err != nil {
					return fmt.Errorf("Close %d returned %w", i+1, err)
				}
			}
			over := reading == "read to the end" && p.endless == 0
			for range 2 {
				got, err, violation := p.read(context.Background(), 64)
				switch {
				case violation != nil:
					return violation
				case len(got) > 0:
					return fmt.Errorf("Read delivered %d samples after Close", len(got))
				case !errors.Is(err, audio.ErrClosed) && !(over && p.goodEnd(err) == nil):
					return fmt.Errorf("Read returned %v after Close", err)
				}
			}
			return p.state()
		})
		if err != nil {
			return fmt.Errorf("%s: %w", reading, err)
		}
	}
	return nil
}

// checkClosing: Close from other goroutines ends a Read at work, while others
// ask for the rate and the flaws.
func checkClosing(open func() audio.Source, c config) error {
	return with(open, c, func(p *probe) error {
		ended := make(chan error, 1)
		ready := make(chan struct{})
		go func() {
			if p.endless > 0 {
				// Up to where Read may wait for ever.
				if _, _, violation := p.all(context.Background(), sizes); violation != nil {
					close(ready)
					ended <- violation
					return
				}
			}
			close(ready)
			dst := make([]float64, 64)
			for {
				if _, err := p.Read(context.Background(), dst); err != nil {
					ended <- err
					return
				}
			}
		}()
		<-ready
		time.Sleep(time.Millisecond) // for Read to be at work
		var others sync.WaitGroup
		for range 2 {
			others.Go(func() {
				p.Rate()
				p.Flaws()
				p.Close()
			})
		}
		select {
		case err := <-ended:
			if !errors.Is(err, audio.ErrClosed) && (p.endless > 0 || p.goodEnd(err) != nil) {
				return fmt.Errorf("Close ended Read with %w", err)
			}
		case <-time.After(p.patience):
			return fmt.Errorf("Close did not wake Read in %v", p.patience)
		}
		if p.within(others.Wait) != nil {
			return fmt.Errorf("Close did not return in %v", p.patience)
		}
		return nil
	})
}
