package audiotest

import (
	"context"
	"fmt"
	"time"

	"pluckweigh/audio"
)

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
