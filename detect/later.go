package detect

import (
	"fmt"
	"math"
)

const (
	leastLater = 0.3   // s of sound in which the string is looked for again
	mostBend   = 300.0 // cents by which a string may have been bent or let go
)

// later looks for the string again in what follows the stretch in which its fundamental
// was found. One that was bent, let go or retuned at once has its partials elsewhere
// there, further off than they were followed.
func (l *listener) later(p *Pluck, f *fit) {
	from := p.From + searchSpan
	secs := min(p.To-from, searchSpan)
	if secs < leastLater {
		return
	}
	i, n := int(from*l.rate), int(secs*l.rate)
	x := l.x[i:min(i+n, len(l.x))]
	s := newSpectrum(x, l.rate, l.top, l.hush)
	if len(s.peaks) == 0 {
		return
	}
	was := law{f.f0 * (1 + f.gl.g*math.Exp(-2*f.gl.alpha*(searchSpan+secs/2))), f.b}
	there := s.judge(was, l.top).support
	if there >= secondNats {
		return
	}
	hs := s.hypotheses(periods(newAutocorrelator(len(x)).correlate(x), l.rate, 0.3, 6), l.top)
	if len(hs) == 0 {
		return
	}
	if now := hs[0]; now.support > max(secondNats, 2*there) && math.Abs(cents(now.f0, was.f0)) < mostBend {
		p.doubt(Unsteady, true, fmt.Sprintf("the string is at %.4g Hz first and then at %.4g Hz: is it still being tuned, or bent?", f.hz(1), now.hz(1)))
	}
}
