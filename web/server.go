package web

import (
	"context"
	"errors"
	"io"
	"log"
	"net"
	"net/http"
	"net/netip"
	"time"

	"pluckweigh/audio"
	"pluckweigh/web/classbook"
)

// Options are what a page is served with.
type Options struct {
	// NewEars makes the ears of one page. What they hear is told to it.
	NewEars func(Teller) Ears
	// OpenMic opens the microphone of this machine, by (part of) its name or, for none,
	// the usual one. nil where there can be none.
	OpenMic func(ctx context.Context, name string) (audio.Source, error)
	// Bench lists what the user owns, in JSON. nil where there is nothing to list.
	Bench func(ctx context.Context) (any, error)
	// Class is the class that is taught, nil for none. In one, pages do what seats or the
	// teacher may do, and nothing of the machine's.
	Class *classbook.Class
	// Hosts are the names, with their port, by which browsers may call the server.
	Hosts []string
	// Certificate is the fingerprint that a class's browsers show, which the teacher's
	// screen has to compare with.
	Certificate string
	// Most is how many pages may be connected at once; 0 for 16, or with a class for all
	// of that.
	Most int
	// Key is what a page has to name, so that nobody else on the machine can use it: see
	// NewKey. None where it is empty, as in a class, which has a code.
	Key string
	// SeatsEach is how many seats of a class may be taken from one address; 0 for
	// UsualSeatsEach.
	SeatsEach int
}

// UsualSeatsEach is more than anybody needs who shares a device; where all devices have
// one address, as behind a router of their own, more are wanted.
const UsualSeatsEach = 6

// pagesOf is how many pages may be connected from one address that may take so many seats:
// some are looked at twice, and one may be the teacher's.
func pagesOf(seats int) int { return 2*seats + 4 }

// A Server serves the page.
type Server struct {
	o      Options
	guard  guard
	room   *classroom    // nil without a class
	places chan struct{} // one for each page that is connected
	pages  *crowd        // of one address; nil without a class
	desk   chan struct{} // one for each that looks at the bench
	ctx    context.Context
}

const usualMost = 16

// New makes a server.
func New(o Options) *Server {
	if o.Most == 0 && o.Class != nil {
		o.Most = classbook.MostSeats + usualMost
	} else if o.Most == 0 {
		o.Most = usualMost
	}
	s := &Server{o: o, guard: newGuard(o.Hosts), places: make(chan struct{}, o.Most), desk: make(chan struct{}, mostAtBench), ctx: context.Background()}
	if o.Class != nil {
		if o.SeatsEach == 0 {
			o.SeatsEach = UsualSeatsEach
		}
		s.room = &classroom{Class: o.Class, taken: newCrowd(o.SeatsEach), here: map[int]int{}}
		s.pages = newCrowd(pagesOf(o.SeatsEach))
	}
	return s
}

// Limits on what a request may take. Connections of pages that listen have their own.
const (
	headTime   = 5 * time.Second
	readTime   = 10 * time.Second
	writeTime  = 30 * time.Second
	idleTime   = 2 * time.Minute
	headBytes  = 16 << 10
	endingTime = 3 * time.Second // for pages to be told that it is over
)

// Serve serves until ctx ends, and then ends what pages there are. It closes l.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	s.ctx = ctx
	hs := &http.Server{
		Handler:           s,
		ReadHeaderTimeout: headTime, ReadTimeout: readTime, WriteTimeout: writeTime, IdleTimeout: idleTime,
		MaxHeaderBytes: headBytes,
		BaseContext:    func(net.Listener) context.Context { return ctx },
		ErrorLog:       log.New(io.Discard, "", 0), // what strangers send is not ours to print
	}
	ended := make(chan struct{})
	stop := context.AfterFunc(ctx, func() {
		defer close(ended)
		late, cancel := context.WithTimeout(context.Background(), endingTime)
		defer cancel()
		hs.Shutdown(late)
		// Connections of pages are no longer the server's: each takes a place until it ends.
		for range cap(s.places) {
			select {
			case s.places <- struct{}{}:
			case <-late.Done():
				return
			}
		}
	})
	err := hs.Serve(l)
	if !stop() {
		<-ended
	}
	if errors.Is(err, http.ErrServerClosed) {
		return nil
	}
	return err
}

const (
	tooMany     = "too many pages are open: close one"
	tooManyHere = "too many pages are open on this device: close one"
)

// full says why another page of an address finds no place, empty where it does.
func (s *Server) full(who netip.Prefix) string {
	switch {
	case len(s.places) == cap(s.places):
		return tooMany
	case s.pages != nil && s.pages.full(who):
		return tooManyHere
	}
	return ""
}

// ServeHTTP answers one request: one of a few fixed addresses, or nothing.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if !s.guard.admit(w, r) {
		return
	}
	switch r.URL.Path {
	case earPath:
		if s.keyed(w, r) {
			s.listen(w, r)
		}
	case keyPath:
		if !s.keyed(w, r) {
			return
		}
		if why := s.full(from(r.RemoteAddr)); why != "" {
			http.Error(w, why, http.StatusServiceUnavailable)
			return
		}
		w.WriteHeader(http.StatusNoContent)
	case lessonsPath:
		lessonsFile.serve(w, r)
	case benchPath:
		if s.keyed(w, r) {
			s.bench(w, r)
		}
	default:
		f, ok := files[r.URL.Path]
		if !ok {
			http.Error(w, "there is nothing here", http.StatusNotFound)
			return
		}
		f.serve(w, r)
	}
}
