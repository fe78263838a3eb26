package main

import (
	"fmt"
	"maps"
	"slices"
	"sync"

	"pluckweigh/detect"
)

// A pluckQueue is plucks that are to be measured. They are put by one goroutine and picked
// by another.
type pluckQueue struct {
	mu      sync.Mutex
	waiting []ringing // in their order
	ended   bool
	more    chan struct{}
}

func newPluckQueue() *pluckQueue { return &pluckQueue{more: make(chan struct{}, 1)} }

// put adds one. Where more than so many that are over would wait, 0 for any number, the
// oldest is left out, and returned.
func (q *pluckQueue) put(r ringing, most int) (left ringing, full bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.waiting = append(q.waiting, r)
	over := 0
	for _, x := range q.waiting {
		if !x.soon {
			over++
		}
	}
	if full = most > 0 && over > most; full {
		i := slices.IndexFunc(q.waiting, func(x ringing) bool { return !x.soon })
		left = q.waiting[i]
		q.waiting = slices.Delete(q.waiting, i, i+1)
	}
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

// wait waits until one can be picked, and tells whether there is any to come.
func (q *pluckQueue) wait() bool {
	for {
		q.mu.Lock()
		any, ended := len(q.waiting) > 0, q.ended
		q.mu.Unlock()
		if any || ended {
			return any
		}
		<-q.more
	}
}

// first takes out the first that is meant, if there is one.
func (q *pluckQueue) first(meant func(ringing) bool) (r ringing, ok bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	i := slices.IndexFunc(q.waiting, meant)
	if i < 0 {
		return r, false
	}
	r = q.waiting[i]
	q.waiting = slices.Delete(q.waiting, i, i+1)
	return r, true
}

// any tells whether one that is meant waits.
func (q *pluckQueue) any(meant func(ringing) bool) bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	return slices.ContainsFunc(q.waiting, meant)
}

// needless leaves out those that still rang which are over by now.
func (q *pluckQueue) needless() {
	q.mu.Lock()
	defer q.mu.Unlock()
	over := map[int]bool{}
	for _, r := range q.waiting {
		over[r.number] = over[r.number] || !r.soon
	}
	q.waiting = slices.DeleteFunc(q.waiting, func(r ringing) bool { return r.soon && over[r.number] })
}

// mostOver is how many plucks of a page may wait when they are over.
const mostOver = 2

// work measures plucks until no more will come.
func (l *live) work() {
	defer l.e.unwatch() // of use only where it panics
	a := l.e.audience
	for l.queue.wait() {
		done := func() {}
		if a != nil {
			if a.enough() {
				if r, ok := l.queue.first(l.known); ok {
					l.done <- l.settled(r)
					continue
				}
			}
			done = a.turn(l.queue.any(l.urgent))
		}
		r := l.next()
		x, err := l.e.measure(r.rec.whole())
		r.rec = r.rec.spent()
		done()
		m := measured{r, x, err}
		if a != nil {
			l.keep(m)
		}
		l.done <- m
	}
}

// next is the pluck to be measured next: one that nobody has been told of, if there is any.
func (l *live) next() ringing {
	if l.e.audience != nil {
		l.queue.needless()
		if r, ok := l.queue.first(l.urgent); ok {
			return r
		}
	}
	r, _ := l.queue.first(func(ringing) bool { return true })
	return r
}

// keep remembers what was measured of a pluck while it rang until it is over, or the one
// after the next is measured: some are never said to be over, such as a string touched again.
func (l *live) keep(m measured) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if m.soon && m.err == nil && m.answer.trusted() {
		maps.DeleteFunc(l.early, func(number int, _ measured) bool { return number < m.number-1 })
		l.early[m.number] = m
	} else if !m.soon {
		delete(l.early, m.number)
	}
}

// known tells of a pluck that is over whether it was measured while it rang, and can be
// trusted.
func (l *live) known(r ringing) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	_, ok := l.early[r.number]
	return ok && !r.soon
}

// urgent tells whether somebody waits to be told of a pluck.
func (l *live) urgent(r ringing) bool { return !l.known(r) }

// settled is what was measured of a pluck while it rang, as what is told when it is over.
func (l *live) settled(r ringing) measured {
	l.mu.Lock()
	m := l.early[r.number]
	delete(l.early, r.number)
	l.mu.Unlock()
	a := *m.answer
	a.doubts = append(slices.Clone(a.doubts), detect.Doubt{Code: hurried, Say: "many pluck at once: this one was measured by its first second alone"})
	m.answer, m.soon = &a, false
	return m
}

// hurried is a pluck that was not measured once more when it was over.
const hurried detect.Code = "hurried"

// leave tells of a pluck that is left out, as too many wait.
func (l *live) leave(r ringing) {
	if l.known(r) {
		l.tell(l.settled(r))
		return
	}
	l.tell(measured{r, nil, &callError{fmt.Sprintf("pluck %d was not measured: too many pluck at once", r.number), "pluck again in a moment"}})
}
