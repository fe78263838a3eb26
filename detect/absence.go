package detect

const (
	mostLonely  = 6.0  // nats that places far from any partial heard may cost together
	chanceSNRdB = 14.0 // dB over the noise below which one peak in a node may be chance
	foreignDB   = 16.0 // dB under the partials on both sides from which it may be a faint neighbour's
)

// absences is what it costs, in nats, that some of the first slots partials are
// not heard, each judging by how far the partials next to it stand out. A node
// at the pluck or the pickup takes away every m-th at once, and is then charged
// as the one accident it is; the places that f0/2 or f0/3 leave empty are never
// of that kind.
func (h *hypothesis) absences(found map[int]peak, slots int) float64 {
	cost := make([]float64, slots+1)
	lonely := 0.0
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
	}
	for m := 2; m <= 7 && 2*m <= slots; m++ {
		node, chance, foreign := true, 0, 0
		for n := m; n <= slots; n += m {
			p, ok := found[n]
			switch {
			case !ok:
			case m == 2 && levelBeside(found, n)-p.db > foreignDB:
				foreign++
			default:
				chance++
				node = node && m == 2 && p.snrDB < chanceSNRdB && chance == 1
			}
		}
		node = node && foreign <= slots/m*2/5
		for n := m; node && n <= slots; n += m {
			switch {
			case n > m:
				cost[n] *= 0.15
			case m == 2: // the places f0/2 fills are the even ones
				cost[n] *= 0.5
			}
		}
	}
	sum := 0.0
	for _, c := range cost {
		sum += c
	}
	return sum
}

// levelBeside is the mean level of the partials on both sides of the n-th, dB; nothing where
// one of them is not heard.
func levelBeside(found map[int]peak, n int) float64 {
	a, below := found[n-1]
	b, above := found[n+1]
	if !below || !above {
		return -300
	}
	return (a.db + b.db) / 2
}

// fundamentalMayLack lowers what a missing low partial costs: microphones,
// small bodies and filters take away what lies below about 100 Hz.
func fundamentalMayLack(hz float64) float64 {
	return min(1, max(0.15, hz/140))
}
