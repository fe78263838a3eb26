package main

import (
	"fmt"
	"slices"
	"sync"

	"pluckweigh/detect"
)

// A pluckQueue is plucks that are to be measured, in their order.
type pluckQueue struct {
	most int // that may wait, 0 for any number

	mu      sync.Mutex
	waiting []ringing
	ended   bool
	more    chan struct{}
}

func newPluckQueue(most int) *pluckQueue {
	return &pluckQueue{most: most, more: make(chan struct{}, 1)}
}

// put adds one. Where too many wait the oldest is left out, and returned.
func (q *pluckQueue) put(r ringing) (left ringing, full bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if full = q.most > 0 && len(q.waiting) >= q.most; full {
		left = q.waiting[0]
		q.waiting = slices.Delete(q.waiting, 0, 1)
	}
	q.waiting = append(q.waiting, r)
	q.wake()
	return left, full
}

// end says that no more will come.
func (q *pluckQueue) end() {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.ended = true
	q.wake()
}

func (q *pluckQueue) wake() {
	select {
	case q.more <- struct{}{}:
	default:
	}
}

// next waits for one; ok is false where there is none to come. It is called by one
// goroutine.
func (q *pluckQueue) next() (r ringing, ok bool) {
	for {
		q.mu.Lock()
		if len(q.waiting) > 0 {
			r = q.waiting[0]
			q.waiting = slices.Delete(q.waiting, 0, 1)
			q.mu.Unlock()
			return r, true
		}
		ended := q.ended
		q.mu.Unlock()
		if ended {
			return r, false
		}
		<-q.more
	}
}

// Plucks of a page that may wait while they ring, of which those that came later make the
// earlier needless, and when they are over.
const (
	mostRinging = 1
	mostOver    = 2
)

// work measures the plucks of a queue until it ends.
func (l *live) work(q *pluckQueue) {
	defer l.e.unwatch() // of use only where it panics
	for r, ok := q.next(); ok; r, ok = q.next() {
		if m, known := l.known(r); known && l.e.audience.enough() {
			l.done <- m
			continue
		}
		a, err := l.e.measure(r.rec.whole())
		m := measured{r, a, err}
		if r.soon && l.e.audience != nil {
			l.mu.Lock()
			l.early = m
			l.mu.Unlock()
		}
		l.done <- m
	}
}

// known is what was measured of the pluck of a job while it rang, if that can be trusted,
// as what is told when it is over.
func (l *live) known(r ringing) (m measured, ok bool) {
	l.mu.Lock()
	m = l.early
	l.mu.Unlock()
	if !m.soon || r.soon || m.number != r.number || m.err != nil || !m.answer.trusted() {
		return measured{}, false
	}
	a := *m.answer
	a.doubts = append(slices.Clone(a.doubts), detect.Doubt{Code: hurried, Say: "many pluck at once: this one was measured by its first second alone"})
	m.answer, m.soon = &a, false
	return m, true
}

// hurried is a pluck that was not measured once more when it was over.
const hurried detect.Code = "hurried"

// leave tells of a pluck that is left out, as too many wait.
func (l *live) leave(r ringing) {
	if r.soon {
		return // it is measured when it is over
	}
	m, ok := l.known(r)
	if !ok {
		m = measured{r, nil, &callError{fmt.Sprintf("pluck %d was not measured: too many pluck at once", r.number), "pluck again in a moment"}}
	}
	l.tell(m)
}
