package detect

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// A telling is one way to tell what was heard, with the logarithm of its
// probability, but for a constant.
type telling struct {
	*fit
	nats float64
}

const (
	clearBend  = 3.0 // standard deviations by which lines bend, from which that is looked into,
	bentNats   = 3.0 // or what a coupling explains of it
	splitStart = 0.5 // cents by which two directions are first taken to differ, either way
	closeNats  = 8.0 // by how much less likely than the best another telling may be to count
	pairIter   = 20  // steps to a telling,
	restIter   = 80  // and until it is surely at rest
	telRounds  = 2
	sameNats   = 0.01 // by which two tellings may differ and be one
	gainNats   = 1.0  // by which a round must better the best for another
	faintRatio = 0.12 // ratio of a second mode further off, that is tried beside it
	strong     = 0.4  // ratio from which the second mode may be the string's first
)

// tellings weighs whether the sound is that of a string that vibrates in one
// direction, as f has it, or in two whose pitches differ, the likeliest first.
func (f *fit) tellings() []telling {
	ts := []telling{{f, f.evidence()}}
	bs := f.bends()
	h := hide(bs)
	if excess(bs) < clearBend && h.nats < bentNats && !f.stillBent() {
		return ts
	}
	ts = likeliest(append(ts, f.coupled(h.likely)...))
	if !ts[0].straight() {
		for i := range ts {
			ts[i].straighten()
		}
		// One direction again, with what is now known of the glide.
		g := f.clone()
		g.gl = ts[0].gl
		t := telling{g, 0}
		t.renew()
		ts = likeliest(append(ts, t))
	}
	var tried []telling
	for range telRounds {
		top := ts[0].nats
		if ts = likeliest(append(ts, ts[0].others(&tried)...)); ts[0].nats < top+gainNats {
			break
		}
	}
	if ts[0].stillBent() {
		more := []telling{f.told((*fit).pairUp)}
		for _, t := range ts { // of those that are as likely one must not gain alone
			if t.pair != nil {
				more = append(more, t.told((*fit).setAside))
			}
		}
		ts = likeliest(append(ts, more...))
	}
	return ts
}

// told is a telling by what change makes of a clone of the fit.
func (f *fit) told(change func(*fit)) telling {
	g := f.clone()
	change(g)
	return telling{g, g.evidence()}
}

// coupled tells the sound by coupled pairs, from several starts as the likelihood
// has several summits; one that stays far below the best before it is given up.
func (f *fit) coupled(likely coupling) (ts []telling) {
	best := math.Inf(1)
	for _, c := range [...]coupling{
		likely,
		{split: splitStart * cent, free: true},
		{split: -splitStart * cent, free: true},
	} {
		ts = append(ts, f.told(func(g *fit) {
			g.couple(c)
			g.chase(best, pairIter)
			best = min(best, g.nll)
		}))
	}
	return ts
}

// others are what a telling by coupled pairs suggests besides. Those from which that was
// tried are kept in tried: it need not be again.
func (t telling) others(tried *[]telling) (ts []telling) {
	if t.pair == nil {
		return nil
	}
	try := func(change func(*fit)) telling {
		u := t.told(func(g *fit) {
			change(g)
			g.chase(t.nll, pairIter)
		})
		ts = append(ts, u)
		return u
	}
	change := (*fit).loosen
	if t.pair.free {
		change = (*fit).align
	}
	if u := try(change); u.nats > t.nats {
		t = u
	}
	if slices.ContainsFunc(*tried, func(o telling) bool { return t.same(o.fit) && math.Abs(t.nats-o.nats) < sameNats }) {
		return ts
	}
	*tried = append(*tried, t)
	if t.second() > strong {
		// Which of the two is the string's is told by their ratio alone, so by little:
		// both ways must have come to rest.
		changes := []func(*fit){(*fit).swap, func(*fit) {}}
		if !t.pair.free && t.pair.ratio > 0 {
			// A fainter second further off, on either side, sounds nearly the same.
			faint := func(f *fit) { f.weaken(faintRatio) }
			changes = append(changes, faint, func(f *fit) { f.mirror(); faint(f) })
		}
		for _, change := range changes {
			ts = append(ts, t.told(func(g *fit) {
				change(g)
				g.converge(restIter)
			}))
		}
	}
	try((*fit).mirror)
	try((*fit).turn)
	return ts
}

// straight tells whether the glide in the window is known well enough to be taken
// to first order.
func (f *fit) straight() bool { return f.fr.bendLeft()*f.topLine() < straightTurns }

// straighten renews a telling until it is straight.
func (t *telling) straighten() {
	for range 3 {
		if t.straight() {
			return
		}
		t.renew()
	}
}

// renew takes the glide out of the sound as it is now believed. The bins stay:
// likelihoods compare over the same ones only.
func (t *telling) renew() {
	spans := t.fr.spans
	t.load()
	t.fr.spans = spans
	t.residual(true)
	t.converge(pairIter)
	t.nats = t.evidence()
}

// likeliest orders tellings by what is likely and leaves out what is not, or what
// is there twice.
func likeliest(ts []telling) []telling {
	slices.SortStableFunc(ts, func(a, b telling) int { return cmp.Compare(b.nats, a.nats) })
	ts = slices.DeleteFunc(ts, func(t telling) bool { return t.nats < ts[0].nats-closeNats })
	return slices.CompactFunc(ts, func(a, b telling) bool { return a.same(b.fit) })
}

// same tells whether two fits tell the sound alike.
func (f *fit) same(g *fit) bool {
	if f.pair == nil || g.pair == nil {
		return f.pair == g.pair && len(f.seconds()) == len(g.seconds())
	}
	a, b := f.pair, g.pair
	return a.free == b.free && a.ratio < 1 == (b.ratio < 1) && math.Abs(a.split-b.split) < 0.05*math.Abs(b.split)
}

// clone is a fit of its own over the same bins of the same window, no line of which
// is set aside any more.
func (f *fit) clone() *fit {
	g, fr := *f, *f.fr
	g.fr, g.frozen = &fr, true
	fr.rest = slices.Clone(f.fr.rest)
	fr.spans = slices.Clone(f.fr.spans)
	fr.waves, fr.seeing, g.sights = nil, false, nil
	g.kept, g.steps = state{}, nil
	g.cov = mat.NewSymDense(params, nil)
	g.cov.CopySym(f.cov)
	if f.pair != nil {
		c := *f.pair
		g.pair = &c
	}
	copied := func(ls []*line) []*line {
		out := make([]*line, len(ls))
		for i, l := range ls {
			c := *l
			c.view = nil
			if c.pair != nil {
				c.pair = g.pair
			}
			out[i] = &c
		}
		return out
	}
	g.lines, g.strays = copied(f.lines), copied(f.strays)
	return &g
}
