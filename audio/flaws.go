package audio

import (
	"cmp"
	"slices"
	"sync"
)

// A flawLog collects flaws and keeps their number bounded by joining stretches
// of one kind that lie close together. It may be used from several goroutines.
type flawLog struct {
	mu     sync.Mutex
	byKind [kinds]flawList
}

// add records f, which begins no earlier than any flaw of its kind before it.
func (l *flawLog) add(f Flaw) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.byKind[f.Kind].add(f)
}

// list returns what of the flaws lies in the first delivered samples, by
// position.
func (l *flawLog) list(delivered int64) []Flaw {
	l.mu.Lock()
	defer l.mu.Unlock()
	var all []Flaw
	for _, k := range &l.byKind {
		for _, f := range k.flaws {
			if f.Kind.stretch() {
				f.Len = min(f.Len, delivered-f.At)
			}
			if f.Len > 0 || !f.Kind.stretch() {
				all = append(all, f)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b Flaw) int { return cmp.Compare(a.At, b.At) })
	return all
}

// maxFlaws bounds how many stretches of one kind are told apart.
const maxFlaws = 1000

// A flawList is flaws of one kind, by position.
type flawList struct {
	flaws []Flaw
	gap   int64 // good samples between two stretches that are joined all the same
}

func (l *flawList) add(f Flaw) {
	l.flaws = l.join(l.flaws, f)
	for f.Kind.stretch() && len(l.flaws) > maxFlaws {
		l.gap = max(1, 2*l.gap)
		joined := l.flaws[:0]
		for _, f := range l.flaws {
			joined = l.join(joined, f)
		}
		l.flaws = joined
	}
}

// join appends f to flaws, or extends the last of them by it.
func (l *flawList) join(flaws []Flaw, f Flaw) []Flaw {
	if n := len(flaws); n > 0 && f.Kind.stretch() {
		if last := &flaws[n-1]; f.At <= last.At+last.Len+l.gap {
			last.Len = f.At + f.Len - last.At
			return flaws
		}
	}
	return append(flaws, f)
}
