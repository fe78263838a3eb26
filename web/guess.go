package web

import (
	"net"
	"net/netip"
	"sync"
	"time"
)

// A guessing bounds how often codes and keys are tried that are wrong, by where they come
// from. With 9e8 codes and one try in ten seconds a whole network of 250 addresses needs
// half a year for half of them.
type guessing struct {
	mu sync.Mutex
	by map[netip.Prefix]*pace
}

const (
	guessEvery  = 10 * time.Second
	guessBurst  = 8
	mostGuesser = 4096 // addresses that are remembered
)

// from is where a connection comes from: an address, or of the newer kind the network that
// one machine has for itself.
func from(remote string) netip.Prefix {
	host, _, err := net.SplitHostPort(remote)
	if err != nil {
		return netip.Prefix{}
	}
	a, err := netip.ParseAddr(host)
	if err != nil {
		return netip.Prefix{}
	}
	a = a.Unmap().WithZone("")
	bits := a.BitLen()
	if a.Is6() {
		bits = 64
	}
	p, _ := a.Prefix(bits)
	return p
}

// may tells whether another try is answered.
func (g *guessing) may(who netip.Prefix, now time.Time) bool {
	g.mu.Lock()
	defer g.mu.Unlock()
	if p := g.by[who]; p != nil {
		return p.may(now)
	}
	if len(g.by) >= mostGuesser {
		g.forget(now)
	}
	return len(g.by) < mostGuesser
}

// wrong counts a try. Those that were answered at the same time all count.
func (g *guessing) wrong(who netip.Prefix, now time.Time) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.by == nil {
		g.by = map[netip.Prefix]*pace{}
	}
	p := g.by[who]
	if p == nil {
		n := newPace(guessEvery, guessBurst)
		p = &n
		g.by[who] = p
	}
	p.count(now)
}

// forget leaves out those who may try as often as any.
func (g *guessing) forget(now time.Time) {
	for who, p := range g.by {
		if p.full.Before(now) {
			delete(g.by, who)
		}
	}
}
