package identify

import "math"

// A mixture of normal distributions that know all traits; weights sum to 1.
type mixture []component

type component struct {
	normal
	weight float64
}

// logDensity is the logarithm of the density of a measurement, over some of its traits, and
// how far off the nearest component it lies, squared and in standard deviations.
func (m mixture) logDensity(x *normal, over mask) (log, misfit float64) {
	if over == 0 {
		return 0, 0
	}
	// Terms are added up relative to the one of least misfit so far.
	sum := 0.0
	misfit = math.Inf(1)
	for i := range m {
		c := &m[i]
		t := factor(&c.cov, &x.cov, over)
		off := t.misfit(&x.mean, &c.mean)
		h := c.weight * t.height()
		if off < misfit {
			sum = h + sum*math.Exp((off-misfit)/2)
			misfit = off
		} else {
			sum += h * math.Exp((misfit-off)/2)
		}
	}
	return math.Log(sum) - misfit/2, misfit
}

// given is the mixture after a measurement. Components that are less likely then than a
// negligible part of the likeliest are left out.
func (m mixture) given(x *normal, negligible float64) mixture {
	logs := make([]float64, len(m))
	most := math.Inf(-1)
	for i := range m {
		l, _ := m[i].logLikelihood(x, m[i].mask&x.mask)
		logs[i] = math.Log(m[i].weight) + l
		most = max(most, logs[i])
	}
	var out mixture
	sum := 0.0
	for i := range m {
		if w := math.Exp(logs[i] - most); w >= negligible {
			sum += w
			out = append(out, component{m[i].given(x), w})
		}
	}
	for i := range out {
		out[i].weight /= sum
	}
	return out
}

// logSum is the logarithm of a sum of what is given by its logarithms.
func logSum(logs []float64) float64 {
	most := math.Inf(-1)
	for _, l := range logs {
		most = max(most, l)
	}
	if math.IsInf(most, -1) {
		return most
	}
	sum := 0.0
	for _, l := range logs {
		sum += math.Exp(l - most)
	}
	return most + math.Log(sum)
}
