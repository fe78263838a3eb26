package physics

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"
)

// workshop draws whole weighings on a rig: a string, its loads and what is read.
type workshop struct {
	*rand.Rand
	least, most float64 // strain of the core under the largest pull
	uLength     float64 // m
	rub         float64 // N, standard deviation of friction that differs from load to load
	endsTold    bool    // whether they are pinned or clamped
	coreTold    bool    // what the core is made of
}

func (w workshop) between(lo, hi float64) float64 { return lo + (hi-lo)*w.Float64() }
func (w workshop) around(v, u float64) float64    { return v + u*w.NormFloat64() }

// weighing is one of five loads ±0.1 % with up to 3 N of offset on a string with a
// steel core, plain or wound, the ends anywhere between pinned and clamped. The f0
// of each take is off by 0.05 cent.
func (w workshop) weighing() (r Rig, hangs []Hang, mu, offset float64) {
	const (
		uLoad  = 0.001
		uClock = 58e-6
		uF0    = 0.05 / 1731 // relative
	)
	l := w.between(0.6, 0.9)
	heaviest := w.between(60, 200) // N
	offset = w.between(-3, 3)
	strain := w.between(w.least, w.most)
	modulus := w.around(206e9, 6e9)
	axial := (heaviest + offset) / strain // EA
	area := axial / modulus
	bending := modulus * area * area / (4 * math.Pi)
	mu = 7850 * area // under the largest pull
	if w.Float64() < 0.5 {
		mu *= w.between(1.5, 6)
		bending *= w.between(1, 1.2)
	}
	ends, held := EndsUnknown, w.Float64()
	if w.endsTold {
		ends, held = EndsPinned, math.Round(held)
		if held == 1 {
			ends = EndsClamped
		}
	}
	clock := w.around(1, uClock)
	for i := range 5 {
		load := heaviest * float64(i+1) / 5
		pull := w.around(load+offset, w.rub)
		b := math.Pi * math.Pi * bending / (pull * l * l)
		x := 2 / math.Pi * math.Sqrt(b)
		raise := 1 + x + x*x
		flexible := math.Sqrt(pull/(mu*(1+strain)/(1+pull/axial))) / (2 * l)
		f0 := flexible / math.Sqrt(1-held*(1-1/(raise*raise))) * clock
		said := w.around(load, uLoad*load)
		hangs = append(hangs, Hang{
			Load: Load{Force: Stated(Force(said), Force(uLoad*said))},
			F0:   Stated(Frequency(w.around(f0, uF0*f0)), Frequency(uF0*f0)),
			B:    Stated(Inharmonicity(w.around(b, 0.02*b)), Inharmonicity(0.02*b)),
		})
	}
	r = Rig{Length: Stated(Length(w.around(l, w.uLength)), Length(w.uLength)), Clock: Relative{U: uClock}, Ends: ends}
	if w.coreTold {
		r.Core = musicWire()
	}
	return r, hangs, mu, offset
}

// A thousand simulated rigs, or as many as PLUCKWEIGH_RIGS says.
func TestSimulatedRigs(t *testing.T) {
	rigs := 1000
	if n, err := strconv.Atoi(os.Getenv("PLUCKWEIGH_RIGS")); err == nil {
		rigs = n
	}
	for _, c := range []struct {
		name string
		workshop
		p95    float64 // the largest error that 95 % stay within, relative
		within float64 // the least that U holds
	}{
		// The goal: five loads ±0.1 %, up to 3 N of offset.
		{"ends told", workshop{least: 0.0015, most: 0.008, uLength: 0.2e-3, endsTold: true, coreTold: true}, 0.003, 0.94},
		// Where the ends are unknown they are most of it, half of what they are of the
		// pull itself, on stiff strings more.
		{"supple", workshop{least: 0.004, most: 0.008, uLength: 0.2e-3, coreTold: true}, 0.004, 0.94},
		{"stiff", workshop{least: 0.0015, most: 0.004, uLength: 0.2e-3, coreTold: true}, 0.008, 0.94},
		{"core unknown", workshop{least: 0.0015, most: 0.008, uLength: 0.2e-3, endsTold: true}, 0.003, 0.94},
		{"by a rule", workshop{least: 0.0015, most: 0.008, uLength: 0.5e-3, endsTold: true, coreTold: true}, 0.004, 0.94},
		// Friction as large as the loads' own uncertainties is often not to be seen.
		{"rubs a little", workshop{least: 0.0015, most: 0.008, uLength: 0.2e-3, rub: 0.1, endsTold: true, coreTold: true}, 0.005, 0.85},
		{"rubs", workshop{least: 0.0015, most: 0.008, uLength: 0.2e-3, rub: 0.5, endsTold: true, coreTold: true}, 0.02, 0.92},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := c.workshop
			w.Rand = rand.New(rand.NewPCG(7, 1))
			var errs, us []float64
			var within, offsetWithin float64
			scattered, odd, bent := 0, 0, 0
			for range rigs {
				r, hangs, mu, offset := w.weighing()
				h, err := r.UnitWeight(hangs)
				if err != nil {
					t.Fatal(err)
				}
				off := float64(h.UnitWeight.Value)/mu - 1
				errs, us = append(errs, math.Abs(off)), append(us, h.UnitWeight.Relative())
				if math.Abs(off) <= Coverage*h.UnitWeight.Relative() {
					within++
				}
				if math.Abs(float64(h.Offset.Value)-offset) <= Coverage*float64(h.Offset.U) {
					offsetWithin++
				}
				if h.Scatter > 1 {
					scattered++
				}
				if h.Odd >= 0 {
					odd++
				}
				if h.Bent != 0 {
					bent++
				}
			}
			slices.Sort(errs)
			slices.Sort(us)
			n := float64(rigs)
			p95 := errs[int(0.95*n)]
			t.Logf("%d rigs: error %.3f %% in the median, %.3f %% at 95 %%; u %.3f %% in the median; U holds %.1f %%, of the offset %.1f %%; scatter found in %.1f %%, an odd load in %.1f %%, a bend in %.1f %%",
				rigs, 100*errs[rigs/2], 100*p95, 100*us[rigs/2], 100*within/n, 100*offsetWithin/n,
				100*float64(scattered)/n, 100*float64(odd)/n, 100*float64(bent)/n)
			if within/n < c.within {
				t.Errorf("U holds %.1f %%", 100*within/n)
			}
			if p95 > c.p95 {
				t.Errorf("95 %% of the errors are within %.3f %%, not %.3f %%", 100*p95, 100*c.p95)
			}
		})
	}
}
