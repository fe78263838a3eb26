package choose

import "slices"

// A matching gives positions strings of their own.
type matching struct {
	b     *bench
	order []int     // of the positions: those that must not stay empty come first
	must  int       // how many these are
	lists [][]int32 // the strings that each may have
	held  []held
	tried []int32
}

// A held string is a copy of it that a position has.
type held struct {
	str      int32
	position int
}

func (b *bench) newMatching(r rules) matching {
	m := matching{b: b, lists: make([][]int32, len(b.Positions))}
	for p := range b.Positions {
		if !r.allow(p, empty) {
			m.order = append(m.order, p)
		}
	}
	m.must = len(m.order)
	for p := range b.Positions {
		if !slices.Contains(m.order[:m.must], p) {
			m.order = append(m.order, p)
		}
	}
	return m
}

// most is how many positions can have a string of their own at once, by augmenting
// paths; 0 where one has none that must not stay empty. A position that has found a
// string keeps one.
func (m *matching) most() int {
	m.held = m.held[:0]
	for i, p := range m.order {
		m.tried = m.tried[:0]
		if !m.place(p) && i < m.must {
			return 0
		}
	}
	return len(m.held)
}

// place gives a position a string, for which others may have to take another one.
func (m *matching) place(p int) bool {
	for _, str := range m.lists[p] {
		if slices.Contains(m.tried, str) {
			continue
		}
		m.tried = append(m.tried, str)
		used := 0
		for _, h := range m.held {
			if h.str == str {
				used++
			}
		}
		if used < m.b.left(int(str)) {
			m.held = append(m.held, held{str, p})
			return true
		}
		for i := range m.held { // what is appended on the way is of other strings
			if m.held[i].str == str && m.place(m.held[i].position) {
				m.held[i].position = p
				return true
			}
		}
	}
	return false
}
