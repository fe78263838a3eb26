package web

import (
	"net"
	"net/http"
	"net/url"
	"slices"
	"strings"
)

// A guard admits requests from the page and from nowhere else. A name that somebody
// else's address server points at this machine is not among the hosts, and another
// site's page has another origin.
type guard struct {
	hosts []string // in small letters, with the port
}

func newGuard(hosts []string) guard {
	var g guard
	for _, h := range hosts {
		g.hosts = append(g.hosts, strings.ToLower(h))
	}
	return g
}

// LocalHosts are the names by which browsers on the same machine call what listens on a
// loopback address.
func LocalHosts(a net.Addr) []string {
	_, port, err := net.SplitHostPort(a.String())
	if err != nil {
		return nil
	}
	var hosts []string
	for _, name := range []string{"127.0.0.1", "localhost", "::1"} {
		hosts = append(hosts, net.JoinHostPort(name, port))
		if port == "80" && name != "::1" {
			hosts = append(hosts, name)
		}
	}
	return hosts
}

// policy lets the page run and load what comes from here, and nothing else: no script
// in its text, no frame around it, no strings made into markup.
const policy = "default-src 'none'; script-src 'self'; worker-src 'self'; style-src 'self'; " +
	"img-src 'self' data: blob:; connect-src 'self'; base-uri 'none'; form-action 'none'; " +
	"frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types 'none'"

// admit tells whether a request is answered at all, and says no where it is not.
func (g guard) admit(w http.ResponseWriter, r *http.Request) bool {
	h := w.Header()
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "microphone=(self), camera=(), geolocation=(), display-capture=(), usb=(), serial=(), midi=()")
	refuse := func(say string, code int) bool {
		h.Set("Connection", "close")
		http.Error(w, say, code)
		return false
	}
	switch {
	case !slices.Contains(g.hosts, strings.ToLower(r.Host)):
		return refuse("this is not served under that name: use the address that was printed", http.StatusMisdirectedRequest)
	case r.Method != http.MethodGet && r.Method != http.MethodHead:
		h.Set("Allow", "GET, HEAD")
		return refuse("only GET and HEAD", http.StatusMethodNotAllowed)
	case !g.own(r):
		return refuse("only the page itself may ask that", http.StatusForbidden)
	}
	return true
}

// own tells whether a request comes from the page, or from somebody who goes to it. A
// browser names the origin of a socket always.
func (g guard) own(r *http.Request) bool {
	if origins := r.Header.Values("Origin"); len(origins) > 0 || r.URL.Path == earPath {
		if len(origins) != 1 {
			return false
		}
		o, err := url.Parse(origins[0])
		scheme := "http"
		if r.TLS != nil {
			scheme = "https"
		}
		if err != nil || o.Scheme != scheme || !strings.EqualFold(o.Host, r.Host) {
			return false
		}
	}
	switch r.Header.Get("Sec-Fetch-Site") {
	case "", "same-origin", "none":
		return true
	}
	return r.Header.Get("Sec-Fetch-Mode") == "navigate" && r.URL.Path == "/"
}
