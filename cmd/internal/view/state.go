package view

import "slices"

// A State is what a screen shows. It is made of events alone: what it is told last
// counts.
type State struct {
	Title   string // which command it is
	Ends    string // how it is ended
	Caution string // of what may hurt, for as long as it is looked at
	Coarse  bool   // the terminal lacks Braille patterns

	signs  []Sign  // of the last stripSeconds
	plucks []Pluck // of those, and the last of all
	strung *Strung
	course *Course
	said   string // the last message
}

// stripSeconds is how far back the strip goes.
const stripSeconds = 20.0

// Hear takes in what is heard at a moment.
func (s *State) Hear(x Sign) {
	old := x.Seconds - stripSeconds
	s.signs = append(slices.DeleteFunc(s.signs, func(y Sign) bool { return y.Seconds < old }), x)
	if n := len(s.plucks); n > 1 {
		s.plucks = append(slices.DeleteFunc(s.plucks[:n-1], func(p Pluck) bool { return p.To < old }), s.plucks[n-1])
	}
}

// Tell takes in a pluck that was measured.
func (s *State) Tell(p Pluck) {
	// The same one, measured again.
	s.plucks = append(slices.DeleteFunc(s.plucks, func(q Pluck) bool { return q.Number == p.Number }), p)
}

// Survey takes in how far a survey has come.
func (s *State) Survey(x Strung) { s.strung = &x }

// Watch takes in the course of a string that settles.
func (s *State) Watch(x Course) { s.course = &x }

// Say takes in a message.
func (s *State) Say(x string) { s.said = x }

// now is the last sign.
func (s *State) now() Sign {
	if len(s.signs) == 0 {
		return Sign{LevelDB: -200}
	}
	return s.signs[len(s.signs)-1]
}

// last is the pluck measured last, nil for none.
func (s *State) last() *Pluck {
	if len(s.plucks) == 0 {
		return nil
	}
	return &s.plucks[len(s.plucks)-1]
}
