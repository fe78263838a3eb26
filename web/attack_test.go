package web

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"
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
