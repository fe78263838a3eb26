package web

import (
	"net/http"
	"strings"
	"testing"

	"github.com/coder/websocket"
)

// Whoever else uses the machine reaches the address, and gets nothing of the user's.
func TestNobodyElseOnTheMachine(t *testing.T) {
	key := NewKey()
	r := newRig(t, func(o *Options) {
		o.Key, o.Most = key, 1
	}, nil)
	socket := func(protocols ...string) int {
		h := http.Header{"Origin": {"http://" + r.addr}}
		c, res, err := websocket.Dial(t.Context(), "ws://"+r.addr+earPath, &websocket.DialOptions{HTTPHeader: h, Subprotocols: protocols})
		if err == nil {
			c.CloseNow()
		}
		if res == nil {
			t.Fatal(err)
		}
		return res.StatusCode
	}
	for _, other := range []string{"", "x", key[:len(key)-1], key + "A", strings.ToLower(key), NewKey(), key + "\x00", " " + key[1:]} {
		for _, target := range []string{benchPath, keyPath, earPath, benchPath + "?key=" + other, earPath + "?key=" + key} {
			h := http.Header{keyHeader: {other}, "Origin": {"http://" + r.addr}, "Cookie": {"key=" + key}, "Authorization": {"Bearer " + key}}
			if res, body := r.ask(t, "GET", target, r.addr, h); res.StatusCode < 400 || strings.Contains(body, key) {
				t.Errorf("%s with the key %q: %s", target, other, res.Status)
			}
		}
		if strings.ContainsAny(other, " \x00") || other == "" {
			continue // no name of a protocol
		}
		for range 3 { // more than there are places, of which none is taken
			if code := socket(protocol, keyPrefix+other); code != http.StatusForbidden {
				t.Errorf("a socket with the key %q: %d", other, code)
			}
		}
	}
	if code := socket(protocol); code != http.StatusForbidden {
		t.Errorf("a socket without a key: %d", code)
	}
	if code := socket(protocol, keyPrefix+key); code != http.StatusSwitchingProtocols {
		t.Errorf("the page's own socket: %d", code)
	}
	waitFor(t, func() bool { // its place is free again, of which /key tells too
		res, _ := r.ask(t, "GET", keyPath, r.addr, http.Header{keyHeader: {key}})
		return res.StatusCode == http.StatusNoContent
	})
	for target, want := range map[string]int{keyPath: http.StatusNoContent, benchPath: http.StatusOK, "/": http.StatusOK} {
		if res, body := r.ask(t, "GET", target, r.addr, http.Header{keyHeader: {key}}); res.StatusCode != want || strings.Contains(body, key) {
			t.Errorf("%s with the key: %s", target, res.Status)
		}
	}
}

// One address does not take all seats of a class, nor all its pages.
func TestOneAddressOfAClass(t *testing.T) {
	c := openClass(t, t.TempDir()+"/class")
	r := newRig(t, func(o *Options) { o.Class, o.SeatsEach = c, 2 }, nil)
	tokens := []string{}
	for i := range 4 {
		p, _ := r.dial(t)
		p.expect("class_here")
		if i < 2 {
			tokens = append(tokens, p.join(c.Code(), "x"))
		} else {
			p.say(`{"join":{"code":"` + c.Code() + `"}}`)
			if say := p.expect("trouble").(map[string]any)["say"].(string); !strings.Contains(say, "one device") {
				t.Errorf("seat %d: %s", i+1, say)
			}
			p.say(`{"join":{"token":"` + tokens[0] + `"}}`) // whoever has a seat comes back to it
			p.expect("joined")
		}
	}
	if n := len(c.State().Seats); n != 2 {
		t.Errorf("%d seats", n)
	}
	open := 4
	for range pagesOf(2) {
		conn, res, err := websocket.Dial(t.Context(), "ws://"+r.addr+earPath, &websocket.DialOptions{HTTPHeader: http.Header{"Origin": {"http://" + r.addr}}})
		if err != nil {
			if res == nil || res.StatusCode != http.StatusServiceUnavailable {
				t.Fatal(err)
			}
			break
		}
		defer conn.CloseNow()
		open++
	}
	if open != pagesOf(2) {
		t.Errorf("%d pages from one address", open)
	}
	if who := newCrowd(1); !who.enter(from("192.0.2.1:1")) || who.enter(from("192.0.2.1:2")) || !who.enter(from("192.0.2.2:1")) || !who.enter(from("[2001:db8::1]:1")) || who.enter(from("[2001:db8::2]:1")) {
		t.Error("addresses are not told apart as they should be")
	}
}
