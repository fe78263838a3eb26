package detect

import (
	"math"
)

// A motion is what a string's partials still do together once the fit has taken its
// glide out: the pitch's departure from it, block by block. What partials do each by
// itself, as those that beat, is scatter and no motion.
type motion struct {
	t       []float64 // s from the window's start, middle of a block
	shift   []float64 // relative
	noise   []float64 // its variance by noise,
	scatter []float64 // and by how the partials differ, as beats make them do
	extra   []float64 // variance of a partial's beyond noise
	weight  []float64 // what the block tells of the pitch: inverse variance by noise alone
}

const (
	blockHops     = 3 // to a block
	scatterBlocks = 2 // on each side of one, whose scatter is taken together
)

// newMotion is what partials that were followed for the same time do together.
func newMotion(trails []trail) motion {
	var m motion
	hops := 0
	if len(trails) > 0 {
		hops = len(trails[0].phase)
	}
	var blocks [][]said
	for i := 0; i+blockHops < hops; i += blockHops {
		var vs []said
		for k, tr := range trails {
			a, b := tr.power[i], tr.power[i+blockHops]
			if a > 0 && b > 0 {
				long := 2 * math.Pi * tr.hz * trailHop * blockHops
				vs = append(vs, said{k, Value{(tr.phase[i+blockHops] - tr.phase[i]) / long, math.Sqrt(0.5/a+0.5/b) / long}})
			}
		}
		if len(vs) > 0 {
			m.t = append(m.t, (float64(i)+blockHops/2.)*trailHop)
			blocks = append(blocks, vs)
		}
	}
	m.together(blocks)
	for range 3 { // each partial's own place is no motion
		off, weight := make([]float64, len(trails)), make([]float64, len(trails))
		for i, vs := range blocks {
			for _, v := range vs {
				w := 1 / (v.U*v.U + m.extra[i])
				off[v.of] += w * (v.V - m.shift[i])
				weight[v.of] += w
			}
		}
		for i, vs := range blocks {
			for j, v := range vs {
				blocks[i][j].V -= off[v.of] / weight[v.of]
			}
		}
		m.together(blocks)
	}
	return m
}

// A said is what one partial says of the pitch in a block.
type said struct {
	of int
	Value
}

// together takes what the partials say together, block by block.
func (m *motion) together(blocks [][]said) {
	n := len(blocks)
	m.shift, m.noise, m.scatter = make([]float64, n), make([]float64, n), make([]float64, n)
	m.weight, m.extra = make([]float64, n), make([]float64, n)
	// What the partials scatter beyond noise is told by a few blocks together: one
	// has too few of them to be trusted with it.
	own := make([]float64, n)
	for i, vs := range blocks {
		own[i] = between(vs)
	}
	for i, vs := range blocks {
		near := own[max(0, i-scatterBlocks):min(n, i+scatterBlocks+1)]
		for _, e := range near {
			m.extra[i] += e / float64(len(near))
		}
		m.extra[i] = max(m.extra[i], 0)
		sw, noise := 0.0, 0.0
		for _, v := range vs {
			w := 1 / (v.U*v.U + m.extra[i])
			sw += w
			noise += w * w * v.U * v.U
			m.shift[i] += w * v.V
			m.weight[i] += 1 / (v.U * v.U)
		}
		m.shift[i] /= sw
		m.noise[i] = noise / (sw * sw)
		m.scatter[i] = max(1/sw-m.noise[i], 0)
	}
}

// stray is how far, in relative frequency and by root mean square, the pitch strays
// beyond what noise and the partials' differing explain; none where they explain it.
func (m motion) stray() float64 {
	n := len(m.t)
	if n < 3 {
		return 0
	}
	mean, total := 0.0, 0.0
	for i, w := range m.weight {
		mean += w * m.shift[i]
		total += w
	}
	mean /= total
	chi2, beyond := 0.0, 0.0
	for i, w := range m.weight {
		d2, v := (m.shift[i]-mean)*(m.shift[i]-mean), m.noise[i]+m.scatter[i]
		chi2 += d2 / v
		beyond += w * (d2 - v)
	}
	if chi2 < chiSquared(float64(n-1)) || beyond <= 0 {
		return 0
	}
	return math.Sqrt(beyond / total)
}

// between is the variance between values beyond their own, by the method of moments
// (DerSimonian & Laird 1986), below none where they agree too well; 0 for one value.
func between(vs []said) float64 {
	var s1, s2, sy float64
	for _, v := range vs {
		w := 1 / (v.U * v.U)
		s1, s2, sy = s1+w, s2+w*w, sy+w*v.V
	}
	q := 0.0
	for _, v := range vs {
		q += (v.V - sy/s1) * (v.V - sy/s1) / (v.U * v.U)
	}
	if left := s1 - s2/s1; left > 1e-9*s1 {
		return (q - float64(len(vs)-1)) / left
	}
	return 0
}
