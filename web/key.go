package web

import (
	"net/http"
	"strings"

	"pluckweigh/web/internal/secret"
)

// The key to a page that is one user's own: whoever else uses the machine can reach the
// address as well, but has no key. The page has it from the address that was printed, keeps
// it where pages of its own origin alone can read it (a cookie would go to all ports of the
// machine), and names it with each request for what is the user's.
const (
	keyPath   = "/key" // where a page learns whether its key is right, and whether there is room for it
	keyHeader = "X-Pluckweigh-Key"
	protocol  = "pluckweigh" // of the socket, beside which the key is named as another
	keyPrefix = "key."
	noKey     = "this page has no key, or an old one: open the address that pluckweigh serve printed"
)

// NewKey makes a key for Options.
func NewKey() string { return secret.New() }

// keyed tells whether a request has the key, and says no where it has not.
func (s *Server) keyed(w http.ResponseWriter, r *http.Request) bool {
	if s.o.Key == "" {
		return true
	}
	named := r.Header.Get(keyHeader)
	for _, p := range strings.Split(r.Header.Get("Sec-WebSocket-Protocol"), ",") {
		if k, ok := strings.CutPrefix(strings.TrimSpace(p), keyPrefix); ok {
			named = k
		}
	}
	if secret.Same(named, s.o.Key) {
		return true
	}
	w.Header().Set("Cache-Control", "no-store")
	http.Error(w, noKey, http.StatusForbidden)
	return false
}
