package web

import (
	"context"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"testing"
	"time"

	"github.com/coder/websocket"

	"pluckweigh/audio"
	"pluckweigh/audio/audiotest"
	"pluckweigh/audio/synth"
)

// pieceOf is a message with samples, as the page sends it.
func pieceOf(first int, x []float64) []byte {
	b := binary.BigEndian.AppendUint64(nil, uint64(first))
	for _, v := range x {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(v)))
	}
	return b
}

// play sends samples by pieces, from the first on, and says that they are over.
func (p *page) play(x []float64) {
	for at := 0; at < len(x); at += 1024 {
		if p.c.Write(context.Background(), websocket.MessageBinary, pieceOf(at, x[at:min(at+1024, len(x))])) != nil {
			return // the test is over
		}
	}
	p.c.Write(context.Background(), websocket.MessageText, []byte(`{"stop":{}}`))
}

func aTake(t *testing.T) []float64 {
	t.Helper()
	x, _, err := synth.Take{String: synth.FromPitch(110, 1e-4), Plucks: []synth.Pluck{{At: 0.1, Height: 1e-3, Point: 0.2}},
		Pickup: synth.Pickup{At: 0.1}, Rate: 8000, Seconds: 0.7, Level: -6}.Render()
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// What a browser sends through the server keeps the contract of a source.
func TestFeedConforms(t *testing.T) {
	x := aTake(t)
	r := newRig(t, nil, nil)
	audiotest.Conform(t, func(t *testing.T) audio.Source {
		p, ears := r.dial(t)
		p.say(`{"start":{"from":"browser","rate_hz":8000}}`)
		go p.play(x)
		return <-ears.heard
	})
}

// One whose page is gone fails within the time that the contract allows.
func TestFeedOfAPageThatIsGone(t *testing.T) {
	ended := make(chan error, 1)
	r := newRig(t, nil, func(e *fakeEars) {
		e.hear = func(ctx context.Context, src audio.Source) error {
			for {
				if _, err := src.Read(ctx, make([]float64, 512)); err != nil {
					ended <- err
					return nil
				}
			}
		}
	})
	p, _ := r.dial(t)
	p.say(`{"start":{"from":"browser","rate_hz":8000}}`)
	p.c.Write(context.Background(), websocket.MessageBinary, pieceOf(0, make([]float64, 512)))
	p.c.CloseNow()
	select {
	case err := <-ended:
		if !errors.Is(err, context.Canceled) {
			t.Errorf("it ended with %v", err)
		}
	case <-time.After(2 * time.Second):
		t.Error("it waits on")
	}
}

func TestFeedTellsWhatWasLost(t *testing.T) {
	f := newFeed(8000)
	ctx := context.Background()
	for _, p := range []struct{ first, n int }{{0, 100}, {100, 50}, {200, 10}} {
		if err := f.send(ctx, pieceOf(p.first, make([]float64, p.n))); err != nil {
			t.Fatal(err)
		}
	}
	f.end(nil)
	n, dst := 0, make([]float64, 64)
	for {
		k, err := f.Read(ctx, dst)
		n += k
		if err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	flaws := f.Flaws()
	if n != 160 || len(flaws) != 1 || flaws[0] != (audio.Flaw{Kind: audio.Overrun, At: 150, Len: 50}) {
		t.Errorf("%d samples, %v", n, flaws)
	}
}

func TestFeedRefuses(t *testing.T) {
	some := make([]float64, 8)
	for name, b := range map[string][]byte{
		"empty":           {},
		"a number alone":  pieceOf(0, nil),
		"half a sample":   pieceOf(0, some)[:headOfPiece+6],
		"too long":        pieceOf(0, make([]float64, mostBytes/4)),
		"backward":        pieceOf(4, some),
		"beyond counting": pieceOf(math.MaxInt64, some),
		"negative":        pieceOf(-1, some),
	} {
		f := newFeed(8000)
		if err := f.send(context.Background(), pieceOf(0, some)); err != nil {
			t.Fatal(err)
		}
		if f.send(context.Background(), b) == nil {
			t.Errorf("%s was taken", name)
		}
	}
}

// Whatever comes, it is refused or delivered as a source may.
func FuzzFeed(f *testing.F) {
	f.Add(pieceOf(0, []float64{0.5, math.NaN(), math.Inf(-1), 1e30}), pieceOf(9, []float64{0}))
	f.Add([]byte{}, pieceOf(3, []float64{1}))
	f.Fuzz(func(t *testing.T, a, b []byte) {
		audiotest.Conform(t, func(t *testing.T) audio.Source {
			s := newFeed(44100)
			s.send(context.Background(), pieceOf(0, []float64{0.25}))
			s.send(context.Background(), a)
			s.send(context.Background(), b)
			s.end(nil)
			return s
		})
	})
}
