package detect

import (
	"fmt"
	"math"
	"slices"
)

const (
	steadySigmas = 3.0  // standard deviations by which a part must differ from the whole to count,
	movedSigmas  = 5.0  // and to be called another load,
	movedShare   = 3e-3 // if it differs by so much of the ratio too
	leastEven    = 2    // partials that leave the clip alone, with which a part is heard at all
	unheardShare = 0.25 // of the ratio, beyond which a part does not tell it at all
	steadySpan   = 0.3  // s of ringing of which parts are looked at
	steadyShort  = 0.3  // share of it that may be too short to tell a load
	leastOthers  = 6    // sounds that are no partials, from which a rattle may be what makes them,
	othersShare  = 0.4  // if they are as many to each partial
)

// steadyParts are the parts of a pluck that must tell the same load as the whole, each
// by itself. The first quarter alone shows what happens soon after the pluck, which the
// first half may be half of.
var steadyParts = []struct {
	name        string
	from, share float64
}{{"first quarter", 0, 0.25}, {"first half", 0, 0.5}, {"second half", 0.5, 0.5}}

// steadyLoad holds what the whole pluck says of a load against what its parts say,
// each by itself: a clip that slips, falls off or rattles does not do the same to the
// string from beginning to end, and the one law that is fitted to all of it is then
// nobody's. What the parts differ by counts in the uncertainty. What bounces on the clip
// all the time may do the same throughout: that its noise leaves sounds which are no
// partials is said, but not more, as many a real string has as many.
func (l *listener) steadyLoad(p *Pluck, f *fit, h hypothesis) {
	if p.Load == nil {
		return
	}
	if others := len(f.strays); others >= leastOthers && float64(others) >= othersShare*float64(len(f.heard())) {
		p.doubt(Misfit, false, "much is heard that is no partial of the string: if the clip buzzes or rattles, this is not to be trusted")
	}
	if p.To-p.From < steadySpan || slices.ContainsFunc(p.Doubts, func(d Doubt) bool { return d.Fatal }) {
		return
	}
	whole := p.Load.Ratio.V
	apart := 0.0
	for _, part := range steadyParts {
		secs := p.To - p.From
		v, even, ok := l.loadFrom(int((p.From+part.from*secs)*l.rate), part.share*secs, h)
		if part.share > steadyShort && even >= leastEven && !(ok && v.U < unheardShare*whole) {
			l.mass.moved = true
			p.doubt(Misfit, true, fmt.Sprintf("its %s does not tell what the clip does, though partials that leave the clip alone are heard: did it fall off, or is part of it loose?", part.name))
			return
		}
		off := math.Abs(v.V - whole)
		if !ok || off < steadySigmas*v.U {
			continue
		}
		apart = max(apart, off)
		if off > movedSigmas*v.U && off > movedShare*whole {
			l.mass.moved = true
			p.doubt(Misfit, true, fmt.Sprintf("its %s makes the clip %.4g %% of the string's mass, the whole pluck %.4g %%: did it slip, or is part of it loose?",
				part.name, 100*v.V, 100*whole))
			return
		}
	}
	p.Load.Correlation *= p.Load.Ratio.U / math.Hypot(p.Load.Ratio.U, apart)
	p.Load.Ratio.U = math.Hypot(p.Load.Ratio.U, apart)
}

// loadFrom is the load's ratio by so much of the sound, from a sample on, alone, and how
// many even partials are heard there.
func (l *listener) loadFrom(from int, secs float64, h hypothesis) (v Value, even int, ok bool) {
	f := l.fit(h, follow(l.x, from, l.rate, secs, h, l.hush), from, secs, false)
	r, ok := f.regress(f.tau)
	v = Value{f.burden.ratio, math.Hypot(math.Sqrt(max(r.v, 0)), f.untold())}
	return v, f.even(), ok && v.U > 0 && !math.IsInf(v.U, 0)
}
