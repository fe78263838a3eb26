package main

import (
	"slices"
	"sync"
)

// turns have so many pages' plucks measured at once as there are processors, those first
// that somebody waits for. What nobody waits for leaves one processor to them.
type turns struct {
	mu    sync.Mutex
	most  int // at once
	free  int
	spare int     // turns more that may be taken by what nobody waits for
	soon  []*turn // in the order in which they came
	later []*turn
}

// A turn is one of them, or the wish for it.
type turn struct {
	given chan struct{} // closed when it is
	soon  bool          // somebody waits for it
}

func newTurns(n int) *turns { return &turns{most: n, free: n, spare: max(1, n-1)} }

// ask asks for a turn, which is to be given back with done.
func (t *turns) ask(soon bool) *turn {
	t.mu.Lock()
	defer t.mu.Unlock()
	mine := &turn{make(chan struct{}), soon}
	if soon {
		t.soon = append(t.soon, mine)
	} else {
		t.later = append(t.later, mine)
	}
	t.give()
	return mine
}

// hurry says that somebody waits by now for a turn that was asked for.
func (t *turns) hurry(mine *turn) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if i := slices.Index(t.later, mine); i >= 0 {
		t.later = slices.Delete(t.later, i, i+1)
		mine.soon = true
		t.soon = append(t.soon, mine)
		t.give()
	}
}

// done gives a turn back.
func (t *turns) done(mine *turn) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.free++
	if !mine.soon {
		t.spare++
	}
	t.give()
}

// give gives turns to those who wait, as far as there are any.
func (t *turns) give() {
	first := func(line *[]*turn) {
		t.free--
		close((*line)[0].given)
		*line = slices.Delete(*line, 0, 1)
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
// before no more are: at some 0.3 s each that is a second or two.
const mostLater = 4

// crowded tells whether so many wait that plucks are better not measured twice.
func (t *turns) crowded() bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	return len(t.later) >= mostLater*t.most
}
