package audio

import (
	"slices"
	"sync"
)

// maxFlaws bounds how many stretches a flawLog tells apart.
const maxFlaws = 1000

// A flawLog collects flaws in order of position and keeps their number bounded
// by joining NotFinite stretches that lie close together. It may be used from
// several goroutines.
type flawLog struct {
	mu    sync.Mutex
	flaws []Flaw
	gap   int64 // good samples between two stretches that are joined all the same
}

// add records f, which begins no earlier than any flaw before it.
func (l *flawLog) add(f Flaw) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.flaws = l.join(l.flaws, f)
	for len(l.flaws) > maxFlaws {
		l.gap = max(1, 2*l.gap)
		joined := l.flaws[:0]
		for _, f := range l.flaws {
			joined = l.join(joined, f)
		}
		l.flaws = joined
	}
}

// join appends f to flaws, or extends the last of them by it.
func (l *flawLog) join(flaws []Flaw, f Flaw) []Flaw {
	if n := len(flaws); n > 0 && f.Kind == NotFinite {
		last := &flaws[n-1]
		if last.Kind == NotFinite && f.At <= last.At+last.Len+l.gap {
			last.Len = f.At + f.Len - last.At
			return flaws
		}
	}
	return append(flaws, f)
}

// list returns a copy of the flaws.
func (l *flawLog) list() []Flaw {
	l.mu.Lock()
	defer l.mu.Unlock()
	return slices.Clone(l.flaws)
}
