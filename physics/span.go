package physics

import (
	"math"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"
)

// A Span is where a quantity lies.
type Span[Q Quantity] struct {
	Measured[Q]   // mean and standard uncertainty
	Low, High   Q // 95 % of the probability lie between
}

// Range prints the two ends: "0.495 to 0.518 mm".
func (s Span[Q]) Range() string {
	low, _, _ := strings.Cut(Format(s.Low, s.Unit, 3), " ")
	return low + " to " + Format(s.High, s.Unit, 3)
}

// in is the span, printed in a unit.
func (s Span[Q]) in(unit Q) Span[Q] {
	s.Unit = unit
	return s
}

// sizeSpan is where a size lies: of the core for 0, else of a wrap's wire.
func sizeSpan(sizings []sizing, part int) Span[Length] {
	return spanOf[Length](sizings, func(p sizing) (float64, float64) { return p.sizes[part], p.spread * p.sizes[part] })
}

// normalSteps are values that a standard normal distribution takes, equally likely.
var normalSteps = func() (z [40]float64) {
	for i := range z {
		z[i] = distuv.UnitNormal.Quantile((float64(i) + 0.5) / float64(len(z)))
	}
	return z
}()

// spanOf is where a quantity lies that has a value and a standard uncertainty at
// each of the sizings.
func spanOf[Q Quantity](sizings []sizing, of func(sizing) (value, u float64)) Span[Q] {
	var sum, mean, squares float64
	for _, p := range sizings {
		v, _ := of(p)
		sum += p.weight
		mean += p.weight * v
	}
	mean /= sum
	for _, p := range sizings {
		v, u := of(p)
		squares += p.weight * ((v-mean)*(v-mean) + u*u)
	}
	sd := math.Sqrt(squares / sum)

	// The distribution of the logarithm in bins: stiffness goes over decades. What is
	// narrow beside the whole is taken as sharp.
	const bins, reach, narrow = 1024, 4.0, 0.1
	logs := make([]float64, len(sizings))
	least, most := math.Inf(1), math.Inf(-1)
	for i, p := range sizings {
		v, u := of(p)
		logs[i] = math.Log(v)
		least = min(least, logs[i]-reach*u/v)
		most = max(most, logs[i]+reach*u/v)
	}
	width := (most - least) / bins
	var share [bins]float64
	put := func(v, w float64) {
		k := int((v - least) / width)
		share[min(max(k, 0), bins-1)] += w / sum
	}
	for i, p := range sizings {
		v, u := of(p)
		if u < narrow*sd {
			put(logs[i], p.weight)
			continue
		}
		for _, z := range normalSteps {
			put(logs[i]+z*u/v, p.weight/float64(len(normalSteps)))
		}
	}
	quantile := func(q float64) Q {
		below := 0.0
		for k, w := range share {
			if w > 0 && below+w >= q {
				return Q(math.Exp(least + width*(float64(k)+(q-below)/w)))
			}
			below += w
		}
		return Q(math.Exp(most))
	}
	return Span[Q]{Measured: Stated(Q(mean), Q(sd)), Low: quantile(0.025), High: quantile(0.975)}
}

// A sizing is a build of certain sizes, in metres.
type sizing struct {
	weight float64
	sizes  [1 + MostWraps]float64 // the core's, then the wires'
	pitch  float64                // of the outer wrap
	spread float64                // relative standard uncertainty of all sizes together
	ei     float64                // bending stiffness of the core
	uEI    float64                // relative standard uncertainty of that, for exact sizes
}

// stiffness is that of the core, with its standard uncertainty.
func (p sizing) stiffness() (ei, u float64) { return p.ei, p.ei * math.Hypot(4*p.spread, p.uEI) }

// wrapPitch is that of the outer wrap, with its standard uncertainty.
func (p sizing) wrapPitch() (pitch, u float64) { return p.pitch, p.pitch * p.spread }

// sizings are those of all the builds.
func sizings(found []Explained) []sizing {
	var all []sizing
	for _, x := range found {
		all = append(all, x.sizings...)
	}
	return all
}
