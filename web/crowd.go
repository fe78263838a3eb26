package web

import (
	"net/netip"
	"sync"
)

// A crowd counts what each address has of something, so that one of them cannot have all.
type crowd struct {
	most int

	mu sync.Mutex
	of map[netip.Prefix]int
}

func newCrowd(most int) *crowd { return &crowd{most: most, of: map[netip.Prefix]int{}} }

// enter gives an address one more, if it may have it.
func (c *crowd) enter(who netip.Prefix) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.of[who] >= c.most {
		return false
	}
	c.of[who]++
	return true
}

// full tells whether an address may have no more.
func (c *crowd) full(who netip.Prefix) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.of[who] >= c.most
}

// leave takes it back.
func (c *crowd) leave(who netip.Prefix) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.of[who]--; c.of[who] <= 0 {
		delete(c.of, who)
	}
}
