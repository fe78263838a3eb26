package mic

import (
	"math"
	"testing"
	"time"

	"pluckweigh/audio"
	"pluckweigh/audio/audiotest"
)

// A device that delivers without pause, losing some and sending what is no
// number at times.
func TestConformFeeding(t *testing.T) {
	audiotest.Conform(t, func(t *testing.T) audio.Source {
		k := newIntake(2, 48000)
		end, ended := make(chan struct{}), make(chan struct{})
		go func() {
			defer close(ended)
			in := make([]float32, 2*480)
			in[77] = float32(math.NaN())
			for i := 0; ; i++ {
				select {
				case <-end:
					return
				case <-time.After(time.Millisecond):
					k.take(in, i%10 == 3)
				}
			}
		}()
		return newSource(k, 48000, 0, func() error {
			close(end)
			<-ended
			return nil
		})
	}, audiotest.Endless(10000))
}

// A device that delivered and is dead.
func TestConformDead(t *testing.T) {
	audiotest.Conform(t, func(t *testing.T) audio.Source {
		k := newIntake(1, 48000)
		k.take(ramp(0, 5000, 1), false)
		k.take(ramp(5000, 1000, 1), true)
		s := newSource(k, 48000, 0, nothing)
		s.calls, s.quiet = k.calls.Load(), stall // watched for long enough
		return s
	}, audiotest.FailsWith(ErrDied))
}
