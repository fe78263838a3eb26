package main

import "sync"

// turns have so many pages' plucks measured at once as there are processors, those first
// that somebody waits for. What nobody waits for leaves one processor to them.
type turns struct {
	mu    sync.Mutex
	most  int // at once
	free  int
	spare int             // turns more that may be taken by what nobody waits for
	soon  []chan struct{} // in the order in which they came
	later []chan struct{}
}

func newTurns(n int) *turns { return &turns{most: n, free: n, spare: max(1, n-1)} }

// wait waits for a turn, which is to be given back with done.
func (t *turns) wait(soon bool) {
	t.mu.Lock()
	mine := make(chan struct{})
	if soon {
		t.soon = append(t.soon, mine)
	} else {
		t.later = append(t.later, mine)
	}
	t.give()
	t.mu.Unlock()
	<-mine
}

// done gives a turn back.
func (t *turns) done(soon bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.free++
	if !soon {
		t.spare++
	}
	t.give()
}

// give gives turns to those who wait, as far as there are any.
func (t *turns) give() {
	first := func(line *[]chan struct{}) {
		t.free--
		close((*line)[0])
		*line = (*line)[1:]
	}
	for t.free > 0 && len(t.soon) > 0 {
		first(&t.soon)
	}
	for t.free > 0 && t.spare > 0 && len(t.later) > 0 {
		t.spare--
		first(&t.later)
	}
}

// mostLater is how many plucks may wait to be measured once more, for each processor,
// before no more are: at some 0.3 s each (BenchmarkPluckOnPage) that is a second or two.
const mostLater = 4

// crowded tells whether so many wait that plucks are better not measured twice.
func (t *turns) crowded() bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	return len(t.later) >= mostLater*t.most
}
