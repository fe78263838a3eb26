package web

import "time"

// A pace is how often something may happen.
type pace struct {
	every time.Duration
	burst int
	full  time.Time // when it may happen so many times at once
}

func newPace(every time.Duration, burst int) pace { return pace{every: every, burst: burst} }

// may tells whether it may happen now.
func (p *pace) may(now time.Time) bool {
	return p.full.Sub(now) <= time.Duration(p.burst-1)*p.every
}

// count counts that it happens.
func (p *pace) count(now time.Time) {
	if p.full.Before(now) {
		p.full = now
	}
	p.full = p.full.Add(p.every)
}

// take tells whether it may happen now, and counts it if so.
func (p *pace) take(now time.Time) bool {
	if !p.may(now) {
		return false
	}
	p.count(now)
	return true
}
