package survey

import (
	"math"
	"slices"

	"pluckweigh/physics"
)

const (
	// allOff is by how much all strings of an instrument together are looked for off
	// their notes, cents, offStep in what steps.
	allOff  = 400.0
	offStep = 5.0
	// alone is how far a string may be out of tune beside the others then, cents.
	alone = 50.0
	// leastTogether is the least number of strings that tell by how much all are off.
	leastTogether = 3
)

// decide finds the places that each voice could be of. A place is left out where no way
// to give each string a place of its own has it there: what remains holds the truth if
// no string is further out of tune than the rules say and nobody turned a peg by more
// than oneString between plucks.
func decide(places []Place, voices []*voice, r Rules) {
	out := 0
	for _, v := range voices {
		if v.named != Nowhere {
			v.may = []int{v.named}
			continue
		}
		for _, p := range nearTo(places, v.pitch, math.Inf(1)) {
			// Two strings may sound alike: what one pluck could be, the voice could.
			if slices.ContainsFunc(v.pitches, func(f physics.Frequency) bool { return math.Abs(cents(places[p].Note, f)) <= window(r.Out, v.u) }) {
				v.may = append(v.may, p)
			}
		}
		if len(v.may) == 0 {
			out++
		}
	}
	if out > 0 && together(places, voices) {
		return
	}
	eliminate(len(places), voices, ByPitch, ByElimination)
}

// eliminate leaves those places of each voice out that would leave another voice without
// one.
func eliminate(places int, voices []*voice, open, closed How) {
	left := make([][]int, len(voices))
	for i, v := range voices {
		if v.named != Nowhere {
			left[i] = v.may
			continue
		}
		m := newMatching(places, voices, i)
		if m == nil {
			left[i] = v.may // somebody turned a peg: the pitch alone counts
			continue
		}
		for _, p := range v.may {
			if len(v.may) == 1 || m.with(p) {
				left[i] = append(left[i], p)
			}
		}
	}
	for i, v := range voices {
		if v.named == Nowhere {
			v.how = open
			if len(left[i]) < len(v.may) {
				v.how = closed
			}
			v.may = left[i]
		}
	}
}

// together tells whether all strings are off alike, so that each has a place where none
// of its own has by itself, and then leaves those.
func together(places []Place, voices []*voice) bool {
	if len(voices) < leastTogether {
		return false
	}
	may := make([][]int, len(voices))
	for off := -allOff; off <= allOff; off += offStep {
		var shifted []*voice
		for _, v := range voices {
			w := *v
			if w.named == Nowhere {
				w.may = nil
				for p := range places {
					if math.Abs(cents(places[p].Note, v.pitch)-off) <= alone {
						w.may = append(w.may, p)
					}
				}
			}
			if len(w.may) == 0 {
				break
			}
			shifted = append(shifted, &w)
		}
		if len(shifted) < len(voices) || newMatching(len(places), shifted, 0) == nil {
			continue
		}
		eliminate(len(places), shifted, ByOffset, ByOffset)
		for i, v := range shifted {
			for _, p := range v.may {
				if !slices.Contains(may[i], p) {
					may[i] = append(may[i], p)
				}
			}
		}
	}
	if len(may[0]) == 0 {
		return false
	}
	for i, v := range voices {
		if v.named == Nowhere {
			v.may, v.how = may[i], ByOffset
		}
	}
	return true
}

// A matching gives voices places of their own. Of each group of voices that may be one
// string one alone stands for all.
type matching struct {
	voices []*voice // the first is the one that is asked about
	at     []int    // voices by place, -1 for none
}

// newMatching matches all groups that have places, with voice i standing for its own. It
// is nil where there is no way to.
func newMatching(places int, voices []*voice, i int) *matching {
	m := &matching{voices: []*voice{voices[i]}, at: make([]int, places)}
	stands := map[int]*voice{}
	for _, v := range voices {
		if o := stands[v.group]; len(v.may) > 0 && (o == nil || len(v.may) < len(o.may)) {
			stands[v.group] = v
		}
	}
	for _, v := range voices {
		if v.group != voices[i].group && stands[v.group] == v {
			m.voices = append(m.voices, v)
		}
	}
	for p := range m.at {
		m.at[p] = -1
	}
	for v := range m.voices {
		if v == 0 && len(m.voices[0].may) == 0 {
			continue
		}
		if !m.place(v, make([]bool, places)) {
			return nil
		}
	}
	return m
}

// place gives a voice a place by an augmenting path (Berge 1957; any text on graphs).
func (m *matching) place(v int, tried []bool) bool {
	for _, p := range m.voices[v].may {
		if tried[p] {
			continue
		}
		tried[p] = true
		if m.at[p] < 0 || m.place(m.at[p], tried) {
			m.at[p] = v
			return true
		}
	}
	return false
}

// with tells whether there is a way that has the first voice at a place.
func (m *matching) with(p int) bool {
	if m.at[p] == 0 {
		return true
	}
	was := slices.Clone(m.at)
	defer func() { m.at = was }()
	if old := slices.Index(m.at, 0); old >= 0 {
		m.at[old] = -1
	}
	moved := m.at[p]
	m.at[p] = 0
	tried := make([]bool, len(m.at))
	tried[p] = true
	return moved < 0 || m.place(moved, tried)
}

// settleAlike gives voices that could be of several places which are alike in all these
// places in the order in which they were heard. Of those that may be one string, the first
// alone.
func settleAlike(places []Place, voices []*voice) {
	taken := map[int]bool{}
	for _, v := range voices {
		if len(v.may) == 1 {
			taken[v.may[0]] = true
		}
	}
	inOrder := slices.Clone(voices)
	slices.SortStableFunc(inOrder, func(a, b *voice) int { return a.plucks[0] - b.plucks[0] })
	given := map[int]bool{} // by group
	for _, v := range inOrder {
		if len(v.may) < 2 || !OneNote(places, v.may) || slices.ContainsFunc(v.may, func(p int) bool {
			return places[p].Like == "" || places[p].Like != places[v.may[0]].Like
		}) {
			continue
		}
		all := slices.Sorted(slices.Values(v.may))
		i := slices.IndexFunc(all, func(p int) bool { return !taken[p] })
		if i < 0 || given[v.group] {
			continue
		}
		p := all[i]
		taken[p] = true
		given[v.group] = true
		v.may, v.how = []int{p}, Alike
	}
}
