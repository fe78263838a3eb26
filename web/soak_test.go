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
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/coder/websocket"

	"pluckweigh/audio"
)

const (
	soakSeats = 40
	soakParts = 4 // between which the server is begun anew on what is kept
)

// Seats come and go, with faults: they vanish amid a message, send what is none, do not
// read, and come back, also to a server that was begun anew. Each point that was said to be
// kept is there once, and nothing is left over, in memory nor at work.
// PLUCKWEIGH_SOAK=600 for ten minutes.
func TestSoak(t *testing.T) {
	secs, err := strconv.Atoi(os.Getenv("PLUCKWEIGH_SOAK"))
	if err != nil {
		secs = 3
	}
	file := filepath.Join(t.TempDir(), "class")
	goroutines := runtime.NumGoroutine()
	v := &visits{kept: map[string]bool{}}
	ctx, cancel := context.WithTimeout(context.Background(), time.Duration(secs)*time.Second)
	defer cancel()
	var all sync.WaitGroup
	for seat := range soakSeats {
		// A seat adds so many points as it may, spread over the time.
		s := visitor{visits: v, name: seat, random: rand.New(rand.NewPCG(uint64(seat), 1)), rest: time.Duration(secs) * time.Second / 500}
		all.Go(func() {
			for ctx.Err() == nil {
				s.visit(ctx)
				v.count.Add(1)
				time.Sleep(time.Duration(2 * s.random.Float64() * float64(s.rest)))
			}
		})
	}
	var heap [soakParts]float64 // MB, once it has ended
	for part := range soakParts {
		t.Run("", func(t *testing.T) { soakPart(t, file, v, time.Duration(secs)*time.Second/soakParts) })
		runtime.GC()
		runtime.GC() // what the first one finalized
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		heap[part] = float64(m.HeapAlloc) / 1e6
		t.Logf("part %d: %d visits, %d points said to be kept, %.1f MB in memory, %d goroutines", part+1, v.count.Load(), len(v.acknowledged()), heap[part], runtime.NumGoroutine())
	}
	all.Wait()
	http.DefaultTransport.(*http.Transport).CloseIdleConnections()
	waitFor(t, func() bool { return runtime.NumGoroutine() <= goroutines+5 })
	// What the test itself remembers is a key of some 40 bytes for each point.
	if grown := heap[soakParts-1] - heap[0] - 300e-6*float64(len(v.acknowledged())); grown > 4 {
		t.Errorf("%.1f MB more in memory at the end", grown)
	}
}

// soakPart serves the class for a while, and then looks whether all of it is kept.
func soakPart(t *testing.T, file string, v *visits, long time.Duration) {
	c := openClass(t, file)
	r := newRig(t, func(o *Options) { o.Class, o.SeatsEach = c, soakSeats }, func(e *fakeEars) {
		e.hear = func(ctx context.Context, src audio.Source) error {
			for buf := make([]float64, 960); ; {
				if _, err := src.Read(ctx, buf); err != nil {
					return nil
				}
				e.Sign(map[string]float64{"level": buf[0]})
			}
		}
	})
	ended := make(chan struct{})
	go func() { // who connects is of no matter here
		for {
			select {
			case <-r.ears:
			case <-ended:
				return
			}
		}
	}()
	v.at.Store(&place{r.addr, c.Code()})
	time.Sleep(long)
	v.at.Store(nil)
	if err := r.stop(); err != nil {
		t.Error(err)
	}
	close(ended)
	if err := c.Close(); err != nil {
		t.Error(err)
	}
	again := openClass(t, file)
	defer again.Close()
	there := map[string]int{}
	for _, e := range again.State().Entries {
		there[e.Point.Note]++
	}
	all := v.acknowledged()
	if len(all) == 0 {
		t.Error("nothing was said to be kept")
	}
	for _, key := range all {
		if there[key] != 1 {
			t.Errorf("a point that was said to be kept is there %d times", there[key])
		}
	}
}

// visits is what came of all visits.
type visits struct {
	at    atomic.Pointer[place] // nil while nothing is served
	count atomic.Int64
	mu    sync.Mutex
	kept  map[string]bool // keys of points that were said to be
}

type place struct{ addr, code string }

func (v *visits) acknowledge(key string) {
	v.mu.Lock()
	defer v.mu.Unlock()
	v.kept[key] = true
}

func (v *visits) acknowledged() (all []string) {
	v.mu.Lock()
	defer v.mu.Unlock()
	for k := range v.kept {
		all = append(all, k)
	}
	return all
}

// A visitor is a seat that comes again and again.
type visitor struct {
	*visits
	name   int
	token  string
	random *rand.Rand
	rest   time.Duration
	count  int
}

// visit is one visit, with a fault or without.
func (s *visitor) visit(ctx context.Context) {
	at := s.at.Load()
	if at == nil {
		return
	}
	c, _, err := websocket.Dial(ctx, "ws://"+at.addr+earPath, &websocket.DialOptions{HTTPHeader: http.Header{"Origin": {"http://" + at.addr}}})
	if err != nil {
		return
	}
	defer c.CloseNow()
	c.SetReadLimit(1 << 20)
	say := func(text string) { c.Write(ctx, websocket.MessageText, []byte(text)) }
	say(fmt.Sprintf(`{"join":{"code":%q,"token":%q}}`, at.code, s.token))
	say(`{"start":{"from":"browser","rate_hz":8000}}`)
	for i := range 4 {
		c.Write(ctx, websocket.MessageBinary, pieceOf(i*200, make([]float64, 200)))
	}
	s.count++
	key := fmt.Sprintf("%d-%d", s.name, s.count)
	point := strings.TrimSuffix(pointOf(400+s.random.IntN(200)), "}")
	say(fmt.Sprintf(`{"add":{"lesson":"length","key":%q,"points":[%s,"note":%q}]}}`, key, point, key))
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
			if m.No == nil && m.Added == key {
				s.acknowledge(key)
			}
			return
		}
	}
}
