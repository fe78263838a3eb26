package web

import (
	"bufio"
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

// ask sends a request as it stands and returns the answer.
func (r *rig) ask(t *testing.T, method, target, host string, header http.Header) (*http.Response, string) {
	t.Helper()
	c, err := net.Dial("tcp", r.addr)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	c.SetDeadline(time.Now().Add(10 * time.Second))
	fmt.Fprintf(c, "%s %s HTTP/1.1\r\nHost: %s\r\n", method, target, host)
	header.Write(c)
	io.WriteString(c, "Connection: close\r\n\r\n")
	res, err := http.ReadResponse(bufio.NewReader(c), &http.Request{Method: method})
	if err != nil {
		t.Fatalf("%s %s for %s: %v", method, target, host, err)
	}
	defer res.Body.Close()
	body, _ := io.ReadAll(res.Body)
	return res, string(body)
}

// A name that somebody points at this machine is not served under, whatever the page.
func TestOtherHosts(t *testing.T) {
	r := newRig(t, nil, nil)
	_, port, _ := net.SplitHostPort(r.addr)
	for _, own := range []string{r.addr, "localhost:" + port, "LOCALHOST:" + port, "[::1]:" + port} {
		if res, _ := r.ask(t, "GET", "/", own, nil); res.StatusCode != http.StatusOK {
			t.Errorf("%s: %s", own, res.Status)
		}
	}
	for _, other := range []string{"evil.example", "evil.example:" + port, "127.0.0.1", "localhost", "127.0.0.1:1", "127.0.0.1.evil.example:" + port, "localhost.:" + port, "", "127.1:" + port} {
		for target := range files {
			if res, body := r.ask(t, "GET", target, other, nil); res.StatusCode < 400 || strings.Contains(body, "<html") {
				t.Errorf("%s for %q: %s", target, other, res.Status)
			}
		}
	}
}

// No other site's page gets a socket, nor anything but the way to the page.
func TestOtherOrigins(t *testing.T) {
	r := newRig(t, nil, nil)
	_, port, _ := net.SplitHostPort(r.addr)
	socket := func(origins ...string) int {
		h := http.Header{"Upgrade": {"websocket"}, "Sec-WebSocket-Version": {"13"}, "Sec-WebSocket-Key": {"AAAAAAAAAAAAAAAAAAAAAA=="}}
		h["Origin"] = origins
		c, err := net.Dial("tcp", r.addr)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		c.SetDeadline(time.Now().Add(10 * time.Second))
		fmt.Fprintf(c, "GET %s HTTP/1.1\r\nHost: %s\r\nConnection: Upgrade\r\n", earPath, r.addr)
		h.Write(c)
		io.WriteString(c, "\r\n")
		res, err := http.ReadResponse(bufio.NewReader(c), nil)
		if err != nil {
			t.Fatal(err)
		}
		return res.StatusCode
	}
	if code := socket("http://" + r.addr); code != http.StatusSwitchingProtocols {
		t.Errorf("the page itself: %d", code)
	}
	for _, o := range [][]string{
		nil, {"null"}, {""}, {"http://evil.example"}, {"http://evil.example:" + port}, {"https://" + r.addr}, {"http://127.0.0.1"},
		{"http://localhost:" + port}, // another origin to the browser
		{"http://" + r.addr + ".evil.example"}, {"http://" + r.addr + "@evil.example"}, {"http://evil.example/" + r.addr},
		{"http://" + r.addr, "http://evil.example"}, {"http://" + r.addr + " http://evil.example"}, {"//" + r.addr}, {"http://%zz"},
	} {
		if code := socket(o...); code != http.StatusForbidden {
			t.Errorf("origin %q: %d", o, code)
		}
	}
	for _, c := range []struct {
		target, site, mode string
		code               int
	}{
		{"/", "cross-site", "navigate", 200}, // a link
		{"/", "cross-site", "no-cors", 403},
		{"/main.js", "cross-site", "no-cors", 403},
		{"/main.js", "same-site", "no-cors", 403}, // another port of this machine
		{"/main.js", "same-origin", "cors", 200},
		{"/", "none", "navigate", 200},
	} {
		res, _ := r.ask(t, "GET", c.target, r.addr, http.Header{"Sec-Fetch-Site": {c.site}, "Sec-Fetch-Mode": {c.mode}})
		if res.StatusCode != c.code {
			t.Errorf("%s %s %s: %s", c.target, c.site, c.mode, res.Status)
		}
	}
}

// No path names a file.
func TestPathTricks(t *testing.T) {
	r := newRig(t, nil, nil)
	for _, target := range []string{
		"/..", "/../", "/../../etc/passwd", "//etc/passwd", "/./", "/page/index.html", "/index.html", "/page/", "/page",
		"/%2e%2e/%2e%2e/etc/passwd", "/..%2f..%2fetc/passwd", "/..%5c..%5cwindows", "/main.js/", "/main.js%00.html", "/main.js/..%2fmain.js",
		"/files.go", "/.git/config", "/MAIN.JS", "/main.js;x", "/\\main.js", "/C:/", "/con", "/ear/..", "/ear/",
	} {
		res, body := r.ask(t, "GET", target, r.addr, nil)
		if res.StatusCode != http.StatusNotFound && res.StatusCode != http.StatusBadRequest {
			t.Errorf("%s: %s %q", target, res.Status, body)
		}
		if res.StatusCode == http.StatusNotFound && res.Header.Get("Content-Security-Policy") != policy {
			t.Errorf("%s: no policy", target)
		}
		if strings.Contains(body, target) {
			t.Errorf("%s is said back", target)
		}
	}
	for _, method := range []string{"POST", "PUT", "DELETE", "OPTIONS", "TRACE", "PATCH", "CONNECT"} {
		if res, _ := r.ask(t, method, "/", r.addr, nil); res.StatusCode < 400 {
			t.Errorf("%s: %s", method, res.Status)
		}
	}
}

func TestHeaders(t *testing.T) {
	r := newRig(t, nil, nil)
	for at := range files {
		res, _ := r.ask(t, "GET", at, r.addr, nil)
		for _, name := range []string{"Content-Security-Policy", "X-Content-Type-Options", "Referrer-Policy", "Cross-Origin-Opener-Policy", "Cross-Origin-Resource-Policy", "Permissions-Policy"} {
			if res.Header.Get(name) == "" {
				t.Errorf("%s: no %s", at, name)
			}
		}
		if res.Header.Get("Access-Control-Allow-Origin") != "" {
			t.Errorf("%s is shared with other sites", at)
		}
	}
	for _, bad := range []string{"unsafe", "*", "http"} {
		if strings.Contains(policy, bad) {
			t.Errorf("the policy has %q", bad)
		}
	}
}

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
