package detecttest

import "slices"

// A Point is the pitch that a detector gives at one time.
type Point struct {
	Time float64 // s, middle of what the detector looked at
	Hz   float64
}

// A Track holds what a detector heard in one file, in order of time. Times at
// which it heard no pitch are left out.
type Track []Point

// Median is the median pitch in Hz over from ≤ time ≤ to, and how many points
// it was taken over; with none of them it is 0.
func (t Track) Median(from, to float64) (hz float64, points int) {
	var v []float64
	for _, p := range t {
		if p.Time >= from && p.Time <= to {
			v = append(v, p.Hz)
		}
	}
	if len(v) == 0 {
		return 0, 0
	}
	slices.Sort(v)
	return (v[(len(v)-1)/2] + v[len(v)/2]) / 2, len(v)
}
