package identify

import (
	"cmp"
	"math"
	"slices"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// A Wire is what a plain string may be.
type Wire struct {
	Of          physics.Material
	Gauge       physics.Measured[physics.Length]
	Probability float64 // if it is plain; every material is as likely before

	is normal // what is known of its traits
}

// wires lists what a string is that is plain and none of those in stock, the likeliest first;
// none where no material explains what was measured.
func (w *witness) wires() (out []Wire) {
	if unlikely(w.stranger(traits.Plain).misfit, w.seen.mask) {
		return nil
	}
	var logs []float64
	of := physics.Materials()
	for i, c := range plainStrings() {
		log, _ := c.logLikelihood(&w.seen, w.seen.mask)
		is := c.given(&w.seen)
		logs = append(logs, log+math.Log(w.roughly(is.mean[stiff], is.cov[stiff][stiff])))
		d := math.Exp(is.mean[outside])
		u := d * math.Sqrt(is.cov[outside][outside])
		out = append(out, Wire{Of: of[i], Gauge: physics.Stated(physics.Length(d), physics.Length(u)).As(w.Evidence.Outside.Unit), is: is})
	}
	all := logSum(logs)
	for i := range out {
		out[i].Probability = math.Exp(logs[i] - all)
	}
	out = slices.DeleteFunc(out, func(x Wire) bool { return x.Probability < rarest })
	slices.SortStableFunc(out, func(x, y Wire) int { return cmp.Compare(y.Probability, x.Probability) })
	return out
}
