package web

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/coder/websocket"

	"pluckweigh/audio"
)

// Seats come and go, with faults: they vanish amid a message, send what is none, do not
// read, and come back. Nothing that was said to be kept is lost, and nothing is left over.
// PLUCKWEIGH_SOAK=600 for ten minutes.
func TestSoak(t *testing.T) {
	secs, err := strconv.Atoi(os.Getenv("PLUCKWEIGH_SOAK"))
	if err != nil {
		secs = 3
	}
	before := runtime.NumGoroutine()
	c := openClass(t, filepath.Join(t.TempDir(), "class"))
	ctx, cancel := context.WithTimeout(context.Background(), time.Duration(secs)*time.Second)
	defer cancel()
	r := newRig(t, func(o *Options) { o.Class = c }, func(e *fakeEars) {
		e.hear = func(ctx context.Context, src audio.Source) error {
			for buf := make([]float64, 960); ; {
				if _, err := src.Read(ctx, buf); err != nil {
					return nil
				}
				e.Sign(map[string]float64{"level": buf[0]})
			}
		}
	})
	go func() { // who connects is of no matter here
		for {
			select {
			case <-r.ears:
			case <-ctx.Done():
				return
			}
		}
	}()
	var acknowledged, visits atomic.Int64
	var all sync.WaitGroup
	for seat := range 12 {
		all.Go(func() {
			s := visitor{addr: r.addr, code: c.Code(), random: rand.New(rand.NewPCG(uint64(seat), 1))}
			for ctx.Err() == nil {
				s.visit(ctx, &acknowledged)
				visits.Add(1)
			}
		})
	}
	all.Wait()
	if got := int64(len(c.State().Entries)); got < acknowledged.Load() || acknowledged.Load() == 0 {
		t.Errorf("%d points of %d that were said to be kept", got, acknowledged.Load())
	}
	t.Logf("%d visits, %d points acknowledged", visits.Load(), acknowledged.Load())
	if err := r.stop(); err != nil {
		t.Error(err)
	}
	http.DefaultTransport.(*http.Transport).CloseIdleConnections()
	waitFor(t, func() bool { return runtime.NumGoroutine() <= before+5 })
}

// A visitor is a seat that comes again and again.
type visitor struct {
	addr, code, token string
	random            *rand.Rand
	count             int
}

// visit is one visit, with a fault or without.
func (s *visitor) visit(ctx context.Context, acknowledged *atomic.Int64) {
	c, _, err := websocket.Dial(ctx, "ws://"+s.addr+earPath, &websocket.DialOptions{HTTPHeader: http.Header{"Origin": {"http://" + s.addr}}})
	if err != nil {
		return
	}
	defer c.CloseNow()
	c.SetReadLimit(1 << 20)
	say := func(text string) { c.Write(ctx, websocket.MessageText, []byte(text)) }
	say(fmt.Sprintf(`{"join":{"code":%q,"token":%q}}`, s.code, s.token))
	say(`{"start":{"from":"browser","rate_hz":8000}}`)
	for i := range 4 {
		c.Write(ctx, websocket.MessageBinary, pieceOf(i*200, make([]float64, 200)))
	}
	s.count++
	say(fmt.Sprintf(`{"add":{"lesson":"length","key":"%s-%d","points":[%s]}}`, s.token, s.count, pointOf(400+s.random.IntN(200))))
	fault := s.random.IntN(5)
	if s.token == "" {
		fault = -1 // its seat would be nobody's
	}
	switch fault {
	case 0:
		return // gone, whether or not it was kept
	case 1:
		c.Write(ctx, websocket.MessageBinary, []byte("no sound"))
	case 2:
		say(`{"aside":{"id":1}}`)
	}
	for {
		_, b, err := c.Read(ctx)
		if err != nil {
			return
		}
		var m struct {
			Joined *joinedJSON
			Added  string
			No     *Trouble
		}
		json.Unmarshal(b, &m)
		switch {
		case m.Joined != nil:
			s.token = m.Joined.Token
		case m.Added != "":
			if m.No == nil {
				acknowledged.Add(1)
			}
			return
		}
	}
}
