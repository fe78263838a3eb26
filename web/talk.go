package web

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"net/netip"
	"sync/atomic"
	"time"

	"github.com/coder/websocket"

	"pluckweigh/lesson"
)

// earPath is where the page's socket is.
const earPath = "/ear"

// Limits of one page's socket.
const (
	sendTime   = 5 * time.Second  // for one message to be taken by the page
	pingEvery  = 15 * time.Second // to notice a page that is gone
	pongTime   = 10 * time.Second
	ahead      = 10 * time.Second // of sound that may come sooner than it can have been recorded
	textEvery  = 50 * time.Millisecond
	joinTime   = 5 * time.Minute // to type a code
	textBurst  = 40              // messages that may come at once
	textLimit  = 256 << 10       // for a lesson's points
	closeBytes = 120             // what a socket's last word may have
)

// A said is a message of the page's: one of these.
type said struct {
	Ask   *Ask        `json:"ask"`
	Start *start      `json:"start"`
	Stop  *stop       `json:"stop"`
	Judge *judgeAsk   `json:"judge"`
	Point *typedPoint `json:"point"`

	Join  *joinAsk  `json:"join"`
	Teach *teachAsk `json:"teach"`
	Add   *addAsk   `json:"add"`
	Set   *setAsk   `json:"set"`
	Aside *asideAsk `json:"aside"`
	Look  *lookAsk  `json:"look"`
}

// A start is the wish to listen.
type start struct {
	From string  `json:"from"`    // "browser" or "machine"
	Rate float64 `json:"rate_hz"` // of the browser's microphone
	Name string  `json:"name"`    // part of the name of the machine's
}

type stop struct{}

// What the page is told beside what the ears hear.
type (
	troubled struct {
		Trouble Trouble `json:"trouble"`
	}
	listening struct {
		Listening bool    `json:"listening"`
		From      string  `json:"from,omitempty"`
		Rate      float64 `json:"sample_rate_hz,omitempty"`
		Device    string  `json:"device,omitempty"`
	}
)

type judgement struct {
	Judged judged `json:"judged"`
}

// A pointTold is a point that was typed, or what is wrong with it.
type pointTold struct {
	Point    *lesson.Point      `json:"point"`
	Troubles map[string]Trouble `json:"point_troubles"`
}

func pointed(p lesson.Point, troubles map[string]Trouble) pointTold {
	if len(troubles) > 0 {
		return pointTold{Troubles: troubles}
	}
	return pointTold{Point: &p}
}

// A problem is a Trouble that is an error.
type problem struct{ Trouble }

func (p problem) Error() string { return p.Say }
func (p problem) Hint() string  { return p.Trouble.Hint }

func hinted(err error) (interface{ Hint() string }, bool) {
	var h interface{ Hint() string }
	ok := errors.As(err, &h)
	return h, ok
}

// A talk is the connection of one page.
type talk struct {
	s       *Server
	c       *websocket.Conn
	out     *outbox
	ears    Ears
	texts   pace
	role    role        // of the goroutine that reads
	outside atomic.Bool // the class was not joined
	from    netip.Prefix

	seat  int           // of a seat
	look  atomic.Int64  // whose points a teacher looks at, 0 for all
	again chan struct{} // the teacher is to be told once more

	feed   *feed // what the browser sends, nil where it does not
	began  time.Time
	cancel context.CancelFunc // ends the hearing; nil where there is none
	done   chan struct{}      // closed once it has ended
}

// listen makes a socket of a request and keeps it until the page goes.
func (s *Server) listen(w http.ResponseWriter, r *http.Request) {
	select {
	case s.places <- struct{}{}:
		defer func() { <-s.places }()
	default:
		http.Error(w, tooMany, http.StatusServiceUnavailable)
		return
	}
	who := from(r.RemoteAddr)
	if s.pages != nil {
		if !s.pages.enter(who) {
			http.Error(w, tooManyHere, http.StatusServiceUnavailable)
			return
		}
		defer s.pages.leave(who)
	}
	c, err := websocket.Accept(w, r, &websocket.AcceptOptions{Subprotocols: []string{protocol}}) // which looks at the origin once more
	if err != nil {
		return
	}
	defer c.CloseNow()
	c.SetReadLimit(textLimit)
	ctx, cancel := context.WithCancel(s.ctx)
	defer cancel()
	t := &talk{s: s, c: c, texts: newPace(textEvery, textBurst), from: who, again: make(chan struct{}, 1)}
	t.out = newOutbox(func() { t.bye(websocket.StatusPolicyViolation, "the page does not keep up"); cancel() })
	if s.room != nil {
		t.role = stranger
		t.outside.Store(true)
		t.out.Result(hello{true})
		defer time.AfterFunc(joinTime, func() {
			if t.outside.Load() {
				t.bye(websocket.StatusPolicyViolation, "nobody joined")
			}
		}).Stop()
	}
	t.ears = s.o.NewEars(t.out)
	go t.write(ctx, cancel)
	go t.ping(ctx, cancel)
	// The socket's own reading has no context: one that ends takes the connection down
	// before a last word can be said.
	gone := context.AfterFunc(s.ctx, func() { t.bye(websocket.StatusGoingAway, "pluckweigh was ended") })
	defer gone()
	err = t.read(ctx)
	t.leave()
	if t.role == seat {
		s.room.come(t.seat, -1)
	}
	var p problem
	if errors.As(err, &p) {
		t.bye(websocket.StatusPolicyViolation, p.Say)
	}
}

// bye closes the socket with a last word.
func (t *talk) bye(code websocket.StatusCode, say string) {
	t.c.Close(code, say[:min(len(say), closeBytes)])
}

// write sends what is to be told. A page that does not take it is let go, so that
// nothing waits for it.
func (t *talk) write(ctx context.Context, cancel context.CancelFunc) {
	defer cancel()
	for {
		b, err := t.out.next(ctx)
		if err != nil {
			return
		}
		late, done := context.WithTimeout(ctx, sendTime)
		err = t.c.Write(late, websocket.MessageText, b)
		done()
		if err != nil {
			t.c.CloseNow()
			return
		}
	}
}

// ping notices a page that is gone without a word.
func (t *talk) ping(ctx context.Context, cancel context.CancelFunc) {
	tick := time.NewTicker(pingEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		late, done := context.WithTimeout(ctx, pongTime)
		err := t.c.Ping(late)
		done()
		if err != nil {
			t.c.CloseNow()
			cancel()
			return
		}
	}
}

// read does what the page says until it goes. The error is a problem where the page did
// what no page of ours does.
func (t *talk) read(ctx context.Context) error {
	for {
		kind, b, err := t.c.Read(context.Background())
		if err != nil {
			return err
		}
		if kind == websocket.MessageBinary {
			if err := t.sound(ctx, b); err != nil {
				return err
			}
			continue
		}
		if !t.texts.take(time.Now()) {
			return problem{Trouble{Say: "too many messages"}}
		}
		var m said
		d := json.NewDecoder(bytes.NewReader(b))
		d.DisallowUnknownFields()
		if err := d.Decode(&m); err != nil {
			return problem{Trouble{Say: "a message was not understood"}}
		}
		if _, err := d.Token(); err != io.EOF {
			return problem{Trouble{Say: "a message was not understood"}}
		}
		if done, err := t.classSays(ctx, m); err != nil {
			return err
		} else if done {
			continue
		}
		switch {
		case m.Ask != nil && !m.Ask.fits():
			t.out.Result(troubled{Trouble{Say: "what was typed is too long", Hint: "write it like 34in or 863.6mm±0.5mm"}})
		case m.Ask != nil:
			t.ears.Ask(*m.Ask)
		case m.Judge != nil && !m.Judge.fits(), m.Point != nil && !m.Point.fits():
			t.out.Result(troubled{Trouble{Say: "what was typed is too much"}})
		case m.Judge != nil:
			if j, err := m.Judge.judge(); err != nil {
				t.out.Result(troubled{TroubleOf(err)})
			} else {
				t.out.Result(judgement{j})
			}
		case m.Point != nil:
			t.out.Result(pointed(m.Point.point()))
		case m.Start != nil:
			if err := t.start(ctx, *m.Start); err != nil {
				t.out.Result(troubled{TroubleOf(err)})
				t.out.Result(listening{})
			}
		case m.Stop != nil:
			t.stop()
		default:
			return problem{Trouble{Say: "a message was not understood"}}
		}
	}
}
