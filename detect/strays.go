package detect

import (
	"math"
	"slices"
)

// followStrays moves what is no partial while lines are seen by their views: those of lines
// about which it lies are taken anew.
func (f *fit) followStrays() {
	if len(f.strays) == 0 {
		return
	}
	fr := f.fr
	var crowded []*line
	for _, l := range f.used() {
		if fr.crowded(l, f.strays) {
			crowded = append(crowded, l)
			if v := l.view; v.sight != nil {
				fr.takeOut(l, v.taken, -1)
				fr.takeOut(l, fr.posture(l), 1)
			}
		}
	}
	f.fitStrays()
	for _, l := range crowded {
		l.view = f.view(l)
	}
}

// crowded tells whether any of the strays lies near a line's bins.
func (fr *frame) crowded(l *line, strays []*line) bool {
	for i := range fr.spans {
		sp := &fr.spans[i]
		if l.lo >= sp.hi || l.hi <= sp.lo {
			continue
		}
		for _, s := range strays {
			if sp.near(s.hz * float64(fr.n) / fr.rate) {
				return true
			}
		}
	}
	return false
}

// fitStrays moves every stray by its own step and drops those that run away.
func (f *fit) fitStrays() {
	binHz := f.fr.rate / float64(f.fr.n)
	f.clean = f.clean && len(f.strays) == 0
	f.strays = slices.DeleteFunc(f.strays, func(l *line) (gone bool) {
		step := f.fr.step(l, 1, 3)
		f.fr.replace(l, func() {
			if l.info[0][0] <= 0 {
				gone, l.amp = true, 0
				return
			}
			shift := l.grad[0] / l.info[0][0]
			shift = min(max(shift, -0.4*binHz), 0.4*binHz)
			l.move(step.after([shared]float64{shift}), 1, 0.001)
			l.off += shift
			l.hz += shift
			if gone = math.Abs(l.off) > 2 || !l.extra && f.splits(l); gone {
				l.amp = 0
			}
		})
		return gone
	})
}

// replace keeps rest true to what change makes of a line, wherever that is near.
func (fr *frame) replace(l *line, change func()) {
	put := func(sign complex128) {
		ms, count := l.sounds()
		for _, m := range ms[:count] {
			m.amp *= sign
			v := fr.wave(m)
			for i := range fr.spans {
				if sp := &fr.spans[i]; sp.near(v.bin) {
					fr.subtract(fr.rest, &v, sp.lo, sp.hi)
				}
			}
		}
	}
	put(-1)
	change()
	put(1)
}

// splits tells whether a stray is but a part of a partial that fades fast: noise makes
// several peaks of one so broad.
func (f *fit) splits(stray *line) bool {
	for _, l := range f.lines {
		if l.used && math.Abs(stray.hz-l.hz) < l.alpha/math.Pi && stray.alpha > l.alpha/4 {
			return true
		}
	}
	return false
}
