package identify

import "math"

// What is known or measured of a string, as the logarithm of each.
const (
	weight  = iota // unit weight
	outside        // diameter
	stiff          // bending stiffness of the core
	traitCount
)

type vector [traitCount]float64

type matrix [traitCount]vector

// A mask picks some of the traits, a bit for each.
type mask uint8

const allTraits mask = 1<<traitCount - 1

func (m mask) has(i int) bool { return m&(1<<i) != 0 }

// with is the mask and one more trait.
func (m mask) with(i int) mask { return m | 1<<i }

// covers tells whether it picks all that another does.
func (m mask) covers(n mask) bool { return m&n == n }

// list is the traits picked.
func (m mask) list() (list [traitCount]int, n int) {
	for i := range traitCount {
		if m.has(i) {
			list[n] = i
			n++
		}
	}
	return list, n
}

// A normal distribution of the traits in its mask. The others' entries are not used.
type normal struct {
	mask
	mean vector
	cov  matrix
}

// A lower triangle L with LLᵀ a covariance of the traits listed.
type triangle struct {
	at [traitCount]int
	n  int
	l  matrix
}

// factor is that of the sum of two covariances, which is positive definite, over the
// traits of a mask.
func factor(a, b *matrix, over mask) (t triangle) {
	t.at, t.n = over.list()
	for i := range t.n {
		for j := range i + 1 {
			v := a[t.at[i]][t.at[j]] + b[t.at[i]][t.at[j]]
			for k := range j {
				v -= t.l[i][k] * t.l[j][k]
			}
			if i == j {
				t.l[i][i] = math.Sqrt(v)
			} else {
				t.l[i][j] = v / t.l[j][j]
			}
		}
	}
	return t
}

// solve is L⁻¹ of a difference.
func (t *triangle) solve(x, mean *vector) (z vector) {
	for i := range t.n {
		v := x[t.at[i]] - mean[t.at[i]]
		for k := range i {
			v -= t.l[i][k] * z[k]
		}
		z[i] = v / t.l[i][i]
	}
	return z
}

// height is the greatest density of a normal distribution of that covariance.
func (t *triangle) height() float64 {
	h := 1.0
	for i := range t.n {
		h *= perRoot / t.l[i][i]
	}
	return h
}

// perRoot is 1/√(2π).
const perRoot = 0.3989422804014327

// misfit is how far x lies off the mean, squared and in standard deviations.
func (t *triangle) misfit(x, mean *vector) float64 {
	z := t.solve(x, mean)
	sum := 0.0
	for i := range t.n {
		sum += z[i] * z[i]
	}
	return sum
}

// logLikelihood is that of a measurement, over some of the traits that both know, and its
// misfit.
func (d *normal) logLikelihood(x *normal, over mask) (log, misfit float64) {
	t := factor(&d.cov, &x.cov, over)
	misfit = t.misfit(&x.mean, &d.mean)
	return math.Log(t.height()) - misfit/2, misfit
}

// given is the distribution after a measurement of some of its traits, by the formula
// for conditional normal distributions.
func (d *normal) given(x *normal) normal {
	over := d.mask & x.mask
	t := factor(&d.cov, &x.cov, over)
	z := t.solve(&x.mean, &d.mean)
	var gain [traitCount]vector // L⁻¹ of the covariance with what was measured
	for i := range traitCount {
		var column, zero vector
		for k := range traitCount {
			column[k] = d.cov[k][i]
		}
		gain[i] = t.solve(&column, &zero)
	}
	out := *d
	for i := range traitCount {
		for k := range t.n {
			out.mean[i] += gain[i][k] * z[k]
		}
		for j := range traitCount {
			for k := range t.n {
				out.cov[i][j] -= gain[i][k] * gain[j][k]
			}
		}
	}
	return out
}
