package detect

// clips finds where x has run into its limits: the sample indices of the first
// and last flat top, and how many samples stand on one. A flat top is three or
// more equal samples at the take's largest or smallest value; one is chance,
// several are a limit. Slow, finely rounded crests are told from clipping by
// their gentle shoulders.
func clips(x []float64) (first, last, count int) {
	hi, lo := 0.0, 0.0
	for _, v := range x {
		hi, lo = max(hi, v), min(lo, v)
	}
	tops := 0
	first, last = len(x), -1
	for i := 0; i < len(x); {
		v := x[i]
		if v == 0 || (v != hi && v != lo) {
			i++
			continue
		}
		j := i + 1
		for j < len(x) && x[j] == v {
			j++
		}
		if j-i >= 3 && steep(x, i, j) {
			tops++
			count += j - i
			first, last = min(first, i), j-1
		}
		i = j
	}
	if tops < 2 {
		return 0, -1, 0
	}
	return first, last, count
}

// steep tells whether the wave leaves the run [i, j) faster than a rounded crest
// of that length would: a parabola falls, one sample beyond its run of n equal
// rounded values, by a few steps of the quantiser, which is ever so little of
// the peak.
func steep(x []float64, i, j int) bool {
	v := x[i]
	drop := 0.0
	if i > 0 {
		drop = max(drop, (v-x[i-1])/v)
	}
	if j < len(x) {
		drop = max(drop, (v-x[j])/v)
	}
	return drop > 4e-4
}
