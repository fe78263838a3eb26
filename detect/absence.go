package detect

import "gonum.org/v1/gonum/floats"

const (
	mostLonely  = 6.0  // nats that places far from any partial heard may cost together
	chanceSNRdB = 14.0 // dB over the noise below which one peak in a node may be chance
	foreignDB   = 10.0 // dB under the partials on both sides from which it may be a faint neighbour's
	neverNode   = 2.0  // times as much costs a first partial: it is at no node
)

// absences is what it costs, in nats, that some of the first slots partials are not heard,
// each judging by how far the partials next to it stand out, those below the lowest by how
// far that does. A node at the pluck or the pickup takes away every m-th at once, and is
// then charged as the one accident it is; the places that f0/2 or f0/3 leave empty are
// never of that kind, nor is the first.
func (h *hypothesis) absences(found map[int]peak, slots int) float64 {
	cost := make([]float64, slots+1)
	lonely, lowest := 0.0, 1
	for _, ok := found[lowest]; !ok && lowest <= slots; _, ok = found[lowest] {
		lowest++
	}
	for n := 1; n <= slots; n++ {
		if _, ok := found[n]; ok {
			continue
		}
		sum, count := 0.0, 0.0
		for d := -2; d <= 2; d++ {
			if p, ok := found[n+d]; ok {
				sum += p.snrDB
				count++
			}
		}
		if n < lowest {
			sum, count = found[lowest].snrDB, 1
		}
		if count == 0 {
			// Nothing heard round about: no partial's place, or the law is wrong. One
			// chance peak far up must not make that cost all there is.
			cost[n] = min(0.3*absentNats, max(0, mostLonely-lonely))
			lonely += cost[n]
		} else {
			snr := sum / count
			cost[n] = absentNats*unit((snr-10)/20) + silentNats*unit((snr-30)/30)
		}
		cost[n] *= fundamentalMayLack(h.hz(n))
		if n == 1 {
			cost[n] *= neverNode
		}
	}
	for m := 2; m <= 7 && 2*m <= slots; m++ {
		if !node(found, m, slots) {
			continue
		}
		for n := m; n <= slots; n += m {
			if n > m {
				cost[n] *= 0.15
			} else {
				cost[n] *= 0.5
			}
		}
	}
	return floats.Sum(cost)
}

// node tells whether every m-th partial is missing, but for what may be chance or another
// string's: one that is much fainter than those beside it.
func node(found map[int]peak, m, slots int) bool {
	chance, foreign := 0, 0
	for n := m; n <= slots; n += m {
		p, ok := found[n]
		switch {
		case !ok:
		case levelBeside(found, n, m)-p.db > foreignDB:
			foreign++
		case m == 2 && p.snrDB < chanceSNRdB && chance == 0:
			chance++
		default:
			return false
		}
	}
	return foreign <= slots/m*2/5
}

// levelBeside is the mean level of the nearest partials heard on both sides of the n-th
// that are no m-th, dB; nothing where there are none close by.
func levelBeside(found map[int]peak, n, m int) float64 {
	sum, count := 0.0, 0.0
	for _, side := range [...]int{-1, 1} {
		for d := 1; d <= 3; d++ {
			if p, ok := found[n+side*d]; ok && (n+side*d)%m != 0 {
				sum, count = sum+p.db, count+1
				break
			}
		}
	}
	if count < 2 {
		return -300
	}
	return sum / count
}

// fundamentalMayLack lowers what a missing low partial costs: microphones,
// small bodies and filters take away what lies below about 100 Hz.
func fundamentalMayLack(hz float64) float64 {
	return min(1, max(0.15, hz/140))
}
