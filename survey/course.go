package survey

import (
	"math"
	"slices"

	"pluckweigh/physics"
)

// A Course is two strings side by side that are plucked with one stroke: of one note, or an
// octave apart.
type Course struct {
	Low, High int                  // places
	Notes     [2]physics.Frequency // of these, as they are tuned
}

// Courses lists those of an instrument, in the order of its places. Of three strings side by
// side with one note each two are one.
func Courses(places []Place, r Rules) (all []Course) {
	places = lowered(places, r.Down)
	for i := 1; i < len(places); i++ {
		c := Course{Low: i - 1, High: i}
		if places[i-1].Note > places[i].Note {
			c.Low, c.High = i, i-1
		}
		c.Notes = [2]physics.Frequency{places[c.Low].Note, places[c.High].Note}
		up := cents(c.Notes[0], c.Notes[1])
		if up <= oneNote || math.Abs(up-1200) <= oneNote {
			all = append(all, c)
		}
	}
	return all
}

// between finds where plucks, in the order of their pitch, are of different strings because
// two of them sounded together: at the widest gap from one of these to the other. Of a place in
// the order it tells whether the one before is of another string.
func between(order []int, heard []Heard) map[int]bool {
	cut := map[int]bool{}
	for k, i := range order {
		if heard[i].Stroke == 0 {
			continue
		}
		other := slices.IndexFunc(order[k+1:], func(j int) bool { return heard[j].Stroke == heard[i].Stroke })
		if other < 0 {
			continue
		}
		widest, at := -1.0, 0
		for g := k + 1; g <= k+1+other; g++ {
			if gap := cents(heard[order[g-1]].F1.Value, heard[order[g]].F1.Value); gap > widest {
				widest, at = gap, g
			}
		}
		cut[at] = true
	}
	return cut
}
