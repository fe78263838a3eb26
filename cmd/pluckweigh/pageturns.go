package main

import "sync"

// turns have so many pages' plucks measured at once as there are processors, those first
// that somebody waits for.
type turns struct {
	mu    sync.Mutex
	free  int
	soon  []chan struct{} // in the order in which they came
	later []chan struct{}
}

func newTurns(n int) *turns { return &turns{free: n} }

// wait waits for a turn, which is to be given back with done.
func (t *turns) wait(soon bool) {
	t.mu.Lock()
	if t.free > 0 {
		t.free--
		t.mu.Unlock()
		return
	}
	mine := make(chan struct{})
	if soon {
		t.soon = append(t.soon, mine)
	} else {
		t.later = append(t.later, mine)
	}
	t.mu.Unlock()
	<-mine
}

// done gives a turn back, to the next that waits.
func (t *turns) done() {
	t.mu.Lock()
	defer t.mu.Unlock()
	for _, line := range []*[]chan struct{}{&t.soon, &t.later} {
		if len(*line) > 0 {
			close((*line)[0])
			*line = (*line)[1:]
			return
		}
	}
	t.free++
}
