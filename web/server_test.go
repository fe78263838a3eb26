package web

import (
	"context"
	"encoding/json"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/coder/websocket"

	"pluckweigh/audio"
)

// A fakeEars hands over what it is to hear, and keeps what was asked.
type fakeEars struct {
	Teller
	asked chan Ask
	heard chan audio.Source
	hear  func(ctx context.Context, src audio.Source) error // nil to wait until ctx ends
}

func (e *fakeEars) Ask(a Ask) { e.asked <- a }

func (e *fakeEars) Hear(ctx context.Context, src audio.Source) error {
	select {
	case e.heard <- src:
	default:
	}
	if e.hear != nil {
		return e.hear(ctx, src)
	}
	<-ctx.Done()
	return nil
}

// A rig is a server on a port of its own.
type rig struct {
	addr string
	ears chan *fakeEars // of each page that connects
	stop func() error   // ends it and waits
}

// newRig serves until the test ends. set may change what is served, hear what ears do.
func newRig(t *testing.T, set func(*Options), hear func(*fakeEars)) *rig {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	r := &rig{addr: l.Addr().String(), ears: make(chan *fakeEars, 100)}
	o := Options{
		Hosts: LocalHosts(l.Addr()),
		NewEars: func(to Teller) Ears {
			e := &fakeEars{Teller: to, asked: make(chan Ask, 100), heard: make(chan audio.Source, 1)}
			if hear != nil {
				hear(e)
			}
			r.ears <- e
			return e
		},
	}
	if set != nil {
		set(&o)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- New(o).Serve(ctx, l) }()
	r.stop = func() error {
		cancel()
		select {
		case err := <-done:
			done <- err
			return err
		case <-time.After(10 * time.Second):
			t.Fatal("the server does not end")
			return nil
		}
	}
	t.Cleanup(func() {
		if err := r.stop(); err != nil {
			t.Error(err)
		}
	})
	return r
}

// A page is the other end of a socket.
type page struct {
	t *testing.T
	c *websocket.Conn
}

func (r *rig) dial(t *testing.T) (*page, *fakeEars) {
	t.Helper()
	c, _, err := websocket.Dial(t.Context(), "ws://"+r.addr+earPath, &websocket.DialOptions{HTTPHeader: http.Header{"Origin": {"http://" + r.addr}}})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.CloseNow() })
	return &page{t, c}, <-r.ears
}

func (p *page) say(text string) {
	p.t.Helper()
	if err := p.c.Write(context.Background(), websocket.MessageText, []byte(text)); err != nil {
		p.t.Fatal(err)
	}
}

// next is the next message, or the error that the socket ended with.
func (p *page) next() (m map[string]any, err error) {
	p.t.Helper()
	late, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	_, b, err := p.c.Read(late)
	if err != nil {
		return nil, err
	}
	if err := json.Unmarshal(b, &m); err != nil {
		p.t.Fatalf("%v in %s", err, b)
	}
	return m, nil
}

// expect reads on to a message with the key.
func (p *page) expect(key string) any {
	p.t.Helper()
	for {
		m, err := p.next()
		if err != nil {
			p.t.Fatalf("the socket ended without %q: %v", key, err)
		}
		if v, ok := m[key]; ok {
			return v
		}
	}
}

// refused reads on to the end of the socket, which is to be a refusal that says why.
func (p *page) refused(why string) {
	p.t.Helper()
	for {
		_, err := p.next()
		if err == nil {
			continue
		}
		if websocket.CloseStatus(err) != websocket.StatusPolicyViolation || !strings.Contains(err.Error(), why) {
			p.t.Errorf("the socket ended with %v, not for %q", err, why)
		}
		return
	}
}

func TestServesThePage(t *testing.T) {
	r := newRig(t, nil, nil)
	for at, f := range files {
		res, err := http.Get("http://" + r.addr + at)
		if err != nil {
			t.Fatal(err)
		}
		res.Body.Close()
		if res.StatusCode != http.StatusOK || res.ContentLength != int64(len(f.content)) || res.Header.Get("Content-Type") != f.kind {
			t.Errorf("%s: %s, %d bytes of %s", at, res.Status, res.ContentLength, res.Header.Get("Content-Type"))
		}
	}
	if _, ok := files["/"]; !ok {
		t.Error("there is no page")
	}
}

// The whole page, with all it could load, is light.
func TestPageWeight(t *testing.T) {
	const most = 150 << 10
	sum := len(lessonsFile.content)
	for _, f := range files {
		sum += len(f.content)
	}
	t.Logf("%d bytes in %d files", sum, len(files))
	if sum > most {
		t.Errorf("%d bytes, at most %d", sum, most)
	}
}

// The page names no other place that anything could be loaded from.
func TestPageLoadsNothingFromElsewhere(t *testing.T) {
	for at, f := range files {
		text := strings.ReplaceAll(string(f.content), "http://www.w3.org/2000/svg", "")
		for _, bad := range []string{"http:", "https:", "url(//", "src=\"//", "href=\"//", "@import", "innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval(", " style=", "<script>", "<style"} {
			if strings.Contains(text, bad) {
				t.Errorf("%s has %q in it", at, bad)
			}
		}
	}
}

func TestEndsWithPagesOpen(t *testing.T) {
	r := newRig(t, nil, nil)
	p, _ := r.dial(t)
	p.say(`{"start":{"from":"browser","rate_hz":48000}}`)
	p.expect("listening")
	begun := time.Now()
	go p.next() // a page that answers, as browsers do
	if err := r.stop(); err != nil {
		t.Error(err)
	}
	if took := time.Since(begun); took > 2*endingTime {
		t.Errorf("it took %v to end", took)
	}
}
