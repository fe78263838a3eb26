package synth

import "math"

// addStraight is addModes for modes of constant frequency.
func addStraight(dst []float64, rate, first float64, modes []mode, w warp) {
	active := append([]mode(nil), modes...)
	speed := w.rate(0)
	for start := 0; start < len(dst); start += longestBlock {
		t := first + float64(start)/rate
		active = ringing(active, t)
		turned := w.at(t)
		block := dst[start:min(start+longestBlock, len(dst))]
		for _, m := range active {
			step := m.omega * speed / rate
			p := m.phasor(t, m.omega*turned+m.phase, step, rate)
			recur(block, p, 2*math.Exp(-4*m.decay/rate)*math.Cos(4*step), math.Exp(-8*m.decay/rate))
		}
	}
}

// recur adds the real part of a phasor to dst by y[k+4] = p·y[k] − q·y[k−4], in
// four strands that do not wait for each other: four times the speed of turning
// the phasor from sample to sample.
func recur(dst []float64, from phasor, p, q float64) {
	var head [8]float64
	for i := range head {
		head[i] = from.x
		from = from.next()
	}
	y0, y1, y2, y3 := head[0], head[1], head[2], head[3]
	z0, z1, z2, z3 := head[4], head[5], head[6], head[7]
	for len(dst) >= 4 {
		d := dst[:4:4]
		d[0] += y0
		d[1] += y1
		d[2] += y2
		d[3] += y3
		y0, z0 = z0, p*z0-q*y0
		y1, z1 = z1, p*z1-q*y1
		y2, z2 = z2, p*z2-q*y2
		y3, z3 = z3, p*z3-q*y3
		dst = dst[4:]
	}
	for i, y := range [3]float64{y0, y1, y2} {
		if i < len(dst) {
			dst[i] += y
		}
	}
}
