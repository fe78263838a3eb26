package survey

import (
	"math"
	"slices"

	"pluckweigh/physics"
)

// How is how a pluck's string was recognised.
type How int

const (
	Unrecognised  How = iota
	ByPitch           // no other string could sound so
	ByElimination     // the others that could were heard at other pitches
	ByOffset          // all strings together are that much out of tune
	ByName            // somebody said it
	ByOrder           // strings of one note are plucked in the order of their places
	Alike             // it is one of several that are alike in all, no matter which
)

// A Verdict is which string a pluck is of.
type Verdict struct {
	Place int // Nowhere where that is open
	How   How
	// Among are the places that it could be, the nearest first; one where Place is
	// known, none where no string could sound so.
	Among []int
	// Far says that the pluck is too far off the place that somebody named.
	Far bool
}

// A voice is the plucks that sound alike, as of one string.
type voice struct {
	pitch   physics.Frequency // the mean
	pitches []physics.Frequency
	u       float64 // cents, of the least certain pluck
	plucks  []int   // of Heard, in their order
	named   int     // the place that somebody named, or Nowhere
	how     How     // of that
	group   int     // voices of one group may be one string that moved
	may     []int   // places
}

// window is how far off a place's note a pitch may lie, cents: further than a string may
// be out of tune by what it and the note may be off by.
func window(out, u float64) float64 { return out + 1 + 3*u }

// Recognise says of each pluck which string it is of, by all of them together.
func Recognise(places []Place, heard []Heard, r Rules) []Verdict {
	places = lowered(places, r.Down)
	out := make([]Verdict, len(heard))
	for i := range out {
		out[i].Place = Nowhere
	}
	named := name(places, heard, r, out)
	voices := voicesOf(places, heard, named, out)
	if len(voices) == 0 {
		return out
	}
	decide(places, voices, r)
	settleAlike(places, voices)
	for _, v := range voices {
		verdict := Verdict{Place: Nowhere, Among: v.may}
		switch {
		case v.named != Nowhere:
			verdict = Verdict{Place: v.named, How: v.how, Among: []int{v.named}}
		case len(v.may) == 1:
			verdict.Place, verdict.How = v.may[0], v.how
		}
		for _, i := range v.plucks {
			out[i] = verdict
		}
	}
	return out
}

// Notes lists the notes that strings are looked for at, each once.
func Notes(places []Place, r Rules) []physics.Frequency {
	var all []physics.Frequency
	for _, p := range lowered(places, r.Down) {
		if !slices.ContainsFunc(all, func(f physics.Frequency) bool { return math.Abs(cents(f, p.Note)) <= oneNote }) {
			all = append(all, p.Note)
		}
	}
	return all
}

// Fits tells whether any string could have this pitch.
func Fits(places []Place, pitch physics.Frequency, r Rules) bool {
	return len(nearTo(lowered(places, r.Down), pitch, window(r.Out, 0))) > 0
}

// Alone tells whether no string could have a pitch of which this is a low partial, or
// which is one of this: what an octave, or a lost fundamental, may be mistaken for.
func Alone(places []Place, pitch physics.Frequency, r Rules) bool {
	const partials = 6
	for n := physics.Frequency(2); n <= partials; n++ {
		if Fits(places, pitch*n, r) || Fits(places, pitch/n, r) {
			return false
		}
	}
	return true
}

// lowered are the places with their notes so many cents lower.
func lowered(places []Place, down float64) []Place {
	places = slices.Clone(places)
	for i := range places {
		places[i].Note = physics.Frequency(float64(places[i].Note) * math.Exp2(-down/1200))
	}
	return places
}

// nearTo lists the places within so many cents of a pitch, the nearest first.
func nearTo(places []Place, pitch physics.Frequency, within float64) []int {
	var near []int
	for p := range places {
		if math.Abs(cents(places[p].Note, pitch)) <= within {
			near = append(near, p)
		}
	}
	off := func(p int) float64 { return math.Abs(cents(places[p].Note, pitch)) }
	slices.SortStableFunc(near, func(a, b int) int {
		switch {
		case off(a) < off(b)-1e-9:
			return -1
		case off(a) > off(b)+1e-9:
			return 1
		}
		return a - b
	})
	return near
}

// Shared tells whether another place has the note of this one.
func Shared(places []Place, at int) bool {
	for p := range places {
		if p != at && OneNote(places, []int{at, p}) {
			return true
		}
	}
	return false
}

// OneNote tells whether all these places, of which there is one at least, have one note.
func OneNote(places []Place, at []int) bool {
	for _, p := range at {
		if math.Abs(cents(places[at[0]].Note, places[p].Note)) > oneNote {
			return false
		}
	}
	return true
}

// name finds which plucks somebody named, and with InOrder those of strings of one note,
// of which each place has its turn until it is good. What is too far off the place that it
// is said to be of is left out, and said in out.
func name(places []Place, heard []Heard, r Rules, out []Verdict) []int {
	named := make([]int, len(heard))
	of := map[int][]Heard{} // by place
	for i, h := range heard {
		named[i] = h.Named
		if p := h.Named; p != Nowhere {
			if math.Abs(cents(places[p].Note, h.F1.Value)) > farthest {
				out[i].Far = true
				continue
			}
			of[p] = append(of[p], h)
			continue
		}
		if !r.InOrder || h.Stroke != 0 {
			continue // of two together it is not known which is which
		}
		near := nearTo(places, h.F1.Value, window(r.Out, uncertain(h.F1)))
		if len(near) < 2 || !OneNote(places, near) {
			continue
		}
		slices.Sort(near)
		turn := slices.IndexFunc(near, func(p int) bool { return !goodEnough(of[p], r.Good) })
		if turn < 0 {
			turn = len(near) - 1
		}
		named[i] = near[turn]
		of[named[i]] = append(of[named[i]], h)
	}
	return named
}

// Turn is the place whose turn it is, of strings of one note that are plucked in order, if
// the last pluck is of one of them; Nowhere otherwise.
func Turn(places []Place, heard []Heard, r Rules) int {
	named := name(lowered(places, r.Down), heard, r, make([]Verdict, len(heard)))
	return named[len(named)-1]
}

// voicesOf parts plucks by their pitch and by what somebody said.
func voicesOf(places []Place, heard []Heard, named []int, out []Verdict) []*voice {
	var order []int
	for i := range heard {
		if !out[i].Far {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case heard[a].F1.Value < heard[b].F1.Value:
			return -1
		case heard[a].F1.Value > heard[b].F1.Value:
			return 1
		}
		return a - b
	})
	var voices []*voice
	last := map[int]*voice{} // by what was named
	others := between(order, heard)
	group := 0
	for k, i := range order {
		h := heard[i]
		if k > 0 {
			before := heard[order[k-1]]
			if others[k] || cents(before.F1.Value, h.F1.Value) > oneString {
				group++
			}
		}
		v := last[named[i]]
		if v != nil {
			latest := heard[v.plucks[len(v.plucks)-1]]
			within := oneVoice + 3*math.Hypot(uncertain(latest.F1), uncertain(h.F1))
			if cents(latest.F1.Value, h.F1.Value) > within || v.group != group {
				v = nil
			}
		}
		if v == nil {
			v = &voice{named: named[i], group: group}
			if v.named != Nowhere {
				v.how = ByOrder
				if h.Named != Nowhere {
					v.how = ByName
				}
			}
			voices, last[named[i]] = append(voices, v), v
		}
		v.plucks = append(v.plucks, i)
		v.u = max(v.u, uncertain(h.F1))
	}
	for _, v := range voices {
		slices.Sort(v.plucks)
		var sum float64
		for _, i := range v.plucks {
			sum += float64(heard[i].F1.Value)
			v.pitches = append(v.pitches, heard[i].F1.Value)
		}
		v.pitch = physics.Frequency(sum / float64(len(v.plucks)))
	}
	return voices
}
