package settle

import (
	"math"
	"sort"
)

// A Return is how a pitch came back after something was done to the string.
type Return struct {
	Before, After *Course
	// AtOnce is by how much the first reading after it lies above the last one before, and
	// Off by how much the last reading does, both by what the courses say there.
	AtOnce, Off Estimate
}

// Back compares the pitch before and after a moment: up to it and from it on. Each side
// is told by itself, and nothing is extrapolated.
func Back(all []Reading, w *Warmth, at float64) (Return, error) {
	cut := sort.Search(len(all), func(i int) bool { return all[i].At >= at })
	before, after := all[:cut], all[cut:]
	var r Return
	var err error
	if r.Before, err = Of(before, w); err != nil {
		return r, err
	}
	if r.After, err = Of(after, w); err != nil {
		return r, err
	}
	last := r.Before.At(before[len(before)-1].At)
	r.AtOnce = r.less(r.After.At(after[0].At), last, w)
	r.Off = r.less(r.After.At(after[len(after)-1].At), last, w)
	return r, nil
}

// less is the difference of a pitch after from one before, which share the coefficient
// of warmth where their mean temperatures differ.
func (r Return) less(after, before Estimate, w *Warmth) Estimate {
	d := after.Value - before.Value
	variance := after.U*after.U + before.U*before.U
	if w != nil {
		warmer := r.After.fitter.warm - r.Before.fitter.warm
		d -= w.Cents * warmer
		variance += w.U * warmer * w.U * warmer
	}
	half := 2 * math.Sqrt(variance)
	return Estimate{d, half / 2, d - half, d + half}
}
