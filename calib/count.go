package calib

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"pluckweigh/physics"
)

// A Tick is a moment at which a recorder handed samples over.
type Tick struct {
	Samples int64   // handed over so far, this time included
	Seconds float64 // by the system's clock, from any beginning
	// Gap marks a tick before which samples were lost, nobody knows how many.
	Gap bool
}

const (
	// settle is left out at the beginning: a stream that starts first hands over
	// what had piled up, s.
	settle = 1.0
	// LeastCount is the shortest count that says anything, s.
	LeastCount = 10.0
	// blocks is into how many parts a count is cut, each of which is told by the
	// samples that came with least delay.
	blocks = 30
	// wander is by how much the least delay itself, of buffers and interrupts,
	// may differ between the beginning and the end of a count, s (judgement: a
	// tenth of a millisecond is some samples). Standard uncertainty.
	wander = 1e-4
)

// Count finds how fast a recorder's clock runs from when its samples came. rate is
// the sample rate it claims, Hz; ref is the system's clock. Ticks are in order of
// time.
//
// Samples come late, by what buffers and a busy machine take, and never early. So
// of each of 30 stretches of the count that tick counts which is latest by least,
// and through these a line is laid: its slope is the median of the slopes of all
// pairs (Theil 1950, Sen 1968), which a third of bad stretches cannot spoil. The
// uncertainty is half of Sen's 95 % interval, which asks nothing of how delays are
// distributed, widened where neighbouring stretches are late alike; added to it are
// what the least delay may wander and the system clock's own. Where samples were
// lost, the longest stretch without loss counts. The error is an
// *physics.InputError: a count too short, one that jumps, a rate that is not the
// claimed one.
func Count(ticks []Tick, rate float64, ref Reference) (Clock, error) {
	if !(rate > 0) || math.IsInf(rate, 0) {
		return Clock{}, countError(fmt.Sprintf("needs a sample rate, not %g Hz", rate), "")
	}
	ticks = unbroken(ticks)
	if lasted := Lasted(ticks); !(lasted >= LeastCount) {
		return Clock{}, countError(fmt.Sprintf("of %.0f s without loss is too short", lasted),
			"count for three minutes; close other programs if samples are lost")
	}
	x, late := lateness(ticks, rate)
	line, err := envelope(x, late)
	if err != nil {
		return Clock{}, err
	}
	seconds := x[len(x)-1] - x[0]
	// A sample takes 1/(rate·(1+p)): later by p/(1+p) of the time than claimed.
	p := -line.slope / (1 + line.slope)
	own := 1e6 * math.Hypot(line.u, wander/seconds)
	c := Clock{PPM: p * 1e6, U: math.Hypot(own, ref.U)}
	c.Source = fmt.Sprintf("counted for %.0f s, ± %.2g ppm by itself, against the system's clock, %s (k = 1); %s", seconds, own, ref.Said,
		most(own, ref.U, "count longer to know it better", "the system's clock is most of it: a tone known better (calibrate tone) does better"))
	if err := c.worth("count longer, with other programs closed"); err != nil {
		return Clock{}, err
	}
	return c, nil
}

// most is what is to be said of the larger of two uncertainties.
func most(a, b float64, ofA, ofB string) string {
	if a > b {
		return ofA
	}
	return ofB
}

// Lasted is how long a count has lasted, s.
func Lasted(ticks []Tick) float64 {
	if len(ticks) == 0 {
		return 0
	}
	return ticks[len(ticks)-1].Seconds - ticks[0].Seconds
}

func countError(why, fix string) error {
	return &physics.InputError{What: "count of samples", Why: why, Fix: fix}
}

// unbroken is the longest stretch of ticks within which nothing was lost, without
// its first moments.
func unbroken(ticks []Tick) []Tick {
	var best []Tick
	for from := 0; from < len(ticks); {
		to := from + 1
		for to < len(ticks) && !ticks[to].Gap {
			to++
		}
		if best == nil || Lasted(ticks[from:to]) > Lasted(best) {
			best = ticks[from:to]
		}
		from = to
	}
	for len(best) > 0 && best[0].Seconds < ticks[0].Seconds+settle {
		best = best[1:]
	}
	return best
}

// lateness is the time that samples take at the claimed rate, and by how much later
// than that they came, both in seconds from the first.
func lateness(ticks []Tick, rate float64) (x, late []float64) {
	for _, t := range ticks {
		due := float64(t.Samples-ticks[0].Samples) / rate
		x = append(x, due)
		late = append(late, t.Seconds-ticks[0].Seconds-due)
	}
	return x, late
}

// A line is a straight line's slope and its standard uncertainty.
type line struct{ slope, u float64 }

// envelope lays a line below what comes late.
func envelope(x, late []float64) (line, error) {
	var l line
	var bx, by []float64
	for range 4 { // which tick of a block is latest by least depends on the slope
		bx, by = least(x, late, l.slope)
		if len(bx) < blocks/2 {
			return line{}, countError("has too few moments at which samples came", "try another rate with --rate, or another input")
		}
		l = theilSen(bx, by)
	}
	if jump := halves(bx, by); jump > 4 {
		return line{}, countError("jumps: samples were lost unseen, or the system's clock was set meanwhile",
			"close other programs and count again")
	}
	return l, nil
}

// least picks of each block the tick that lies lowest over a line of the slope
// given.
func least(x, late []float64, slope float64) (bx, by []float64) {
	from, to := x[0], x[len(x)-1]
	at, low := -1, 0.0
	block := 0
	flush := func() {
		if at >= 0 {
			bx, by = append(bx, x[at]), append(by, late[at])
		}
		at = -1
	}
	for i := range x {
		if b := min(blocks-1, int(blocks*(x[i]-from)/(to-from))); b != block {
			flush()
			block = b
		}
		if v := late[i] - slope*x[i]; at < 0 || v < low {
			at, low = i, v
		}
	}
	flush()
	return bx, by
}

// theilSen is the median slope of all pairs of points, with half of Sen's 95 %
// interval as its uncertainty, widened for points that go together with their
// neighbours.
func theilSen(x, y []float64) line {
	var slopes []float64
	for i := range x {
		for j := range i {
			if dx := x[i] - x[j]; dx > 0 {
				slopes = append(slopes, (y[i]-y[j])/dx)
			}
		}
	}
	slices.Sort(slopes)
	slope := stat.Quantile(0.5, stat.LinInterp, slopes, nil)
	n := float64(len(x))
	// Kendall's S of n points without a trend has this variance.
	width := 1.96 * math.Sqrt(n*(n-1)*(2*n+5)/18) * together(x, y, slope)
	share := min(0.5, width/2/float64(len(slopes)))
	low := stat.Quantile(0.5-share, stat.LinInterp, slopes, nil)
	high := stat.Quantile(0.5+share, stat.LinInterp, slopes, nil)
	return line{slope, max(high-slope, slope-low) / 2}
}

// together is by what factor the uncertainty of a line grows because its points
// depart from it together with their neighbours: √((1+ρ)/(1−ρ)), ρ the rank
// correlation from one to the next, 1 where there is none.
func together(x, y []float64, slope float64) float64 {
	r := make([]float64, len(x))
	for i := range x {
		r[i] = y[i] - slope*x[i]
	}
	ranks := rank(r)
	n := len(ranks)
	// A line fitted takes about 2.5/n of the correlation away.
	rho := stat.Correlation(ranks[:n-1], ranks[1:], nil) + 2.5/float64(n)
	rho = min(max(rho, 0), 0.9)
	return math.Sqrt((1 + rho) / (1 - rho))
}

// rank is each value's place among all.
func rank(v []float64) []float64 {
	order := make([]int, len(v))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case v[a] < v[b]:
			return -1
		case v[a] > v[b]:
			return 1
		}
		return 0
	})
	out := make([]float64, len(v))
	for place, i := range order {
		out[i] = float64(place)
	}
	return out
}

// halves is by how many of its standard uncertainties the slopes of the two halves
// differ.
func halves(x, y []float64) float64 {
	n := len(x) / 2
	a, b := theilSen(x[:n], y[:n]), theilSen(x[n:], y[n:])
	return math.Abs(a.slope-b.slope) / (math.Hypot(a.u, b.u) + 2*wander/(x[len(x)-1]-x[0]))
}
