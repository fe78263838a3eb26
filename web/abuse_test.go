package web

import (
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/coder/websocket"
)

// Messages that no page of ours sends end its socket, and the reason is said.
func TestMalformedMessages(t *testing.T) {
	r := newRig(t, nil, nil)
	for text, why := range map[string]string{
		``:                               "not understood",
		`{`:                              "not understood",
		`{}`:                             "not understood",
		`[]`:                             "not understood",
		`null`:                           "not understood",
		`{"ask":{"length":3}}`:           "not understood",
		`{"judge":{"lesson":1}}`:         "not understood",
		`{"order":{}}`:                   "not understood",
		`{"ask":{}} {"ask":{}}`:          "not understood",
		`{"ask":{"length":"1","x":"2"}}`: "not understood",
		"\xff\xfe":                       "not understood",
		strings.Repeat("[", textLimit):   "not understood",
	} {
		p, _ := r.dial(t)
		p.say(text)
		p.refused(why)
	}
	for name, b := range map[string][]byte{"short": {1, 2, 3}, "odd": pieceOf(0, make([]float64, 3))[:15], "ahead": pieceOf(1<<60, make([]float64, 3))} {
		t.Run(name, func(t *testing.T) {
			p, _ := r.dial(t)
			p.say(`{"start":{"from":"browser","rate_hz":48000}}`)
			p.expect("listening")
			p.c.Write(t.Context(), websocket.MessageBinary, b)
			p.refused("form")
		})
	}
}

// A message too large is not even read.
func TestOversizedMessage(t *testing.T) {
	r := newRig(t, nil, nil)
	p, _ := r.dial(t)
	p.c.Write(context.Background(), websocket.MessageBinary, make([]byte, textLimit+1))
	if _, err := p.next(); websocket.CloseStatus(err) != websocket.StatusMessageTooBig {
		t.Errorf("%v", err)
	}
}

func TestTooMuchOfAllKinds(t *testing.T) {
	r := newRig(t, nil, nil)
	t.Run("messages", func(t *testing.T) {
		p, _ := r.dial(t)
		for range 50 * textBurst {
			if p.c.Write(context.Background(), websocket.MessageText, []byte(`{"stop":{}}`)) != nil {
				break
			}
		}
		p.refused("too many")
	})
	t.Run("sound", func(t *testing.T) {
		p, e := r.dial(t)
		p.say(`{"start":{"from":"browser","rate_hz":8000}}`)
		src := <-e.heard
		go func() {
			for {
				if _, err := src.Read(context.Background(), make([]float64, 4096)); err != nil {
					return
				}
			}
		}()
		go func() {
			for at := 0; ; at += 4096 {
				if p.c.Write(context.Background(), websocket.MessageBinary, pieceOf(at, make([]float64, 4096))) != nil {
					return
				}
			}
		}()
		p.refused("more sound")
		src.Close()
	})
	t.Run("typed", func(t *testing.T) {
		p, e := r.dial(t)
		p.say(`{"ask":{"length":"` + strings.Repeat("9", longestTyped+1) + `"}}`)
		p.expect("trouble")
		select {
		case a := <-e.asked:
			t.Errorf("asked %v", a)
		default:
		}
	})
	t.Run("rates", func(t *testing.T) {
		p, _ := r.dial(t)
		for _, rate := range []string{"0", "-1", "7999", "384001", "1e300"} {
			p.say(`{"start":{"from":"browser","rate_hz":` + rate + `}}`)
			p.expect("trouble")
		}
		for _, from := range []string{"", "machine", "file:///etc/passwd"} {
			p.say(`{"start":{"from":"` + from + `","rate_hz":48000}}`)
			p.expect("trouble")
		}
	})
	t.Run("pages", func(t *testing.T) {
		r := newRig(t, func(o *Options) { o.Most = 3 }, nil)
		var open []*page
		for range 3 {
			p, _ := r.dial(t)
			open = append(open, p)
		}
		_, res, err := websocket.Dial(t.Context(), "ws://"+r.addr+earPath, &websocket.DialOptions{HTTPHeader: http.Header{"Origin": {"http://" + r.addr}}})
		if err == nil || res == nil || res.StatusCode != http.StatusServiceUnavailable {
			t.Errorf("a page too many: %v", err)
		}
		if res, why := r.ask(t, "GET", keyPath, r.addr, nil); res.StatusCode != http.StatusServiceUnavailable || !strings.Contains(why, "close one") {
			t.Errorf("it is told %q", why)
		}
		open[0].c.CloseNow()
		waitFor(t, func() bool {
			c, _, err := websocket.Dial(t.Context(), "ws://"+r.addr+earPath, &websocket.DialOptions{HTTPHeader: http.Header{"Origin": {"http://" + r.addr}}})
			if err == nil {
				c.CloseNow()
			}
			return err == nil
		})
	})
}

// waitFor waits until something holds, which it must soon.
func waitFor(t *testing.T, holds func() bool) {
	t.Helper()
	for end := time.Now().Add(10 * time.Second); !holds(); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("it does not come to that")
		}
	}
}

// A page that does not read is let go, and another's signs and results come meanwhile.
func TestSlowPageIsShed(t *testing.T) {
	r := newRig(t, nil, nil)
	slow, ears := r.dial(t)
	other, others := r.dial(t)
	slow.say(`{"start":{"from":"browser","rate_hz":48000}}`)
	<-ears.heard
	large := strings.Repeat("x", 1<<16)
	begun := time.Now()
	for range 2 * mostResults {
		ears.Result(large)
		ears.Sign(large)
	}
	if took := time.Since(begun); took > sendTime {
		t.Errorf("telling it took %v", took)
	}
	others.Result(map[string]int{"mine": 1})
	other.expect("mine")
	waitFor(t, func() bool { // it is gone
		return slow.c.Write(context.Background(), websocket.MessageText, []byte(`{"stop":{}}`)) != nil
	})
}

// Signs of life may be left out, results may not, and keep their order.
func TestResultsArriveInOrder(t *testing.T) {
	o := newOutbox(func() { t.Error("it is shed") })
	for i := range 100 {
		o.Sign(map[string]int{"sign": i})
		o.Result(map[string]int{"result": i})
	}
	for i := range 100 {
		b, _ := o.next(t.Context())
		if string(b) != fmt.Sprintf(`{"result":%d}`, i) {
			t.Fatalf("%d: %s", i, b)
		}
	}
	if b, _ := o.next(t.Context()); string(b) != `{"sign":99}` {
		t.Errorf("%s", b)
	}
}

// A request that does not come to its end does not hold the server.
func TestSlowRequest(t *testing.T) {
	if testing.Short() {
		t.Skip("waits for a timeout")
	}
	r := newRig(t, nil, nil)
	c, err := net.Dial("tcp", r.addr)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	io.WriteString(c, "GET / HTTP/1.1\r\nHost: ")
	c.SetReadDeadline(time.Now().Add(headTime + 5*time.Second))
	if _, err := io.ReadAll(c); err != nil {
		t.Errorf("it waits on: %v", err)
	}
}
