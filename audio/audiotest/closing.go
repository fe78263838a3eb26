package audiotest

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"pluckweigh/audio"
)

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
