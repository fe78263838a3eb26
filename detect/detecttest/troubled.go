package detecttest

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// A Trouble is what may be wrong with a clip on a string.
type Trouble int

const (
	Firm     Trouble = iota // nothing: the measure of the others
	Slips                   // it jumps by some millimetres or centimetres
	Creeps                  // it moves so far slowly, and comes to rest
	FallsOff                // it is gone from some moment on
	Rattles                 // a part of it is loose, and bounces between stops
	AtThird                 // it does not sit at the middle, but at a third or another simple part
	Troubles                // how many there are
)

// String names the trouble.
func (k Trouble) String() string {
	return [...]string{"firm", "slips", "creeps", "falls off", "rattles", "at a third"}[k]
}

// A Troubled take is a sound of a string with a clip that may be in trouble.
type Troubled struct {
	Samples []float64
	Rate    float64
	Ratio   float64 // of the clip's mass to the string's
	Said    string  // what matters in it, for a line in a log
}

// NewTroubled makes take i of those in a trouble. What a clip does that moves or rattles
// follows no law of partials: the string and its clip are integrated over time, and what
// is heard of a firm clip is independent of how detect and synth work it out.
func NewTroubled(kind Trouble, stream Stream, i uint64) Troubled {
	d := stream.draw(kindHard, i|1<<62|uint64(kind)<<56) // a part of the stream that no other kind draws from
	evenly := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, d.Float64()) }
	length := d.between(0.6, 1)
	b := body{
		f0: evenly(35, 200), b: d.between(2e-5, 3e-4), ratio: d.between(0.03, 0.12), swing: evenly(0.2e-3, 2e-3),
		pluck: d.between(0.06, 0.35), width: d.between(0.003, 0.01), pickup: d.between(0.05, 0.25),
		decay: evenly(0.5, 1.5), rise: evenly(1, 4), gone: math.Inf(1),
	}
	at := 0.5 + d.between(-2e-3, 2e-3)/length
	b.at = func(float64) float64 { return at }
	said := ""
	switch kind {
	case Slips:
		far, when := evenly(2e-3, 30e-3)/length, d.between(0.1, 1.4)
		b.at = func(t float64) float64 {
			if t > when {
				return at + far
			}
			return at
		}
		said = fmt.Sprintf(" by %.1f mm at %.2f s", 1000*far*length, when)
	case Creeps:
		far, takes := evenly(2e-3, 40e-3)/length, evenly(0.05, 1)
		b.at = func(t float64) float64 { return at + far*(1-math.Exp(-t/takes)) }
		said = fmt.Sprintf(" by %.1f mm in %.2f s", 1000*far*length, takes)
	case FallsOff:
		b.gone = d.between(0.02, 1.4)
		said = fmt.Sprintf(" at %.2f s", b.gone)
	case Rattles:
		b.loose, b.play = d.between(0.05, 0.5), evenly(0.01e-3, 0.5e-3)
		said = fmt.Sprintf(", %.0f %% of it loose in ± %.3f mm", 100*b.loose, 1000*b.play)
	case AtThird:
		at = d.pick(1./3, 1./3, 1./3, 0.25, 0.4, 0.45) + d.between(-3e-3, 3e-3)/length
	}
	x := b.sound(d.between(1.5, 3))
	quieten(x, d.between(28, 45), d.Rand)
	return Troubled{x, bodyRate, b.ratio, fmt.Sprintf("take %d: %.1f Hz, B %.1e, a clip of %.3f at %.3f, %s%s", i, b.f0, b.b, b.ratio, at, kind, said)}
}

// A body is a stiff string between pinned ends with a clip on it, over time. Lengths are
// fractions of its own but for those of its swing, and masses of its own.
type body struct {
	f0, b, ratio, swing  float64 // swing: of the middle at the start, m
	pluck, width, pickup float64
	decay, rise          float64                 // as synth.Decay
	at                   func(t float64) float64 // where the clip sits
	gone                 float64                 // s, from when on it does not
	loose, play          float64                 // share of the clip that bounces, between stops so far to either side, m
}

const (
	bodyRate = 48000.
	bodyOver = 4       // steps to a sample
	bodyLead = 0.4     // s of silence before the pluck
	bodyTop  = 0.9     // rad by which the highest mode turns in a step
	stop     = 4000.   // Hz of the loose part on its stop
	gravity  = 9.81    // m/s², which keeps the loose part on the lower one when all is still
	tail     = 1 << 14 // modes of which the static give is counted
)

// sound integrates the modes of the bare string, each at its exact frequency in steps of
// the leapfrog scheme, and the clip on a spring between: as soft as what the modes left
// out give way, so that the clip is as firm on the string as they would have it.
func (o body) sound(seconds float64) []float64 {
	const dt = 1 / (bodyRate * bodyOver)
	turn := func(m int) float64 { return 2 * math.Pi * o.f0 * float64(m) * math.Sqrt(1+o.b*float64(m*m)) }
	modes := 1
	for turn(modes+1)*dt < bodyTop {
		modes++
	}
	q, v, force, damp := make([]float64, modes+1), make([]float64, modes+1), make([]float64, modes+1), make([]float64, modes+1)
	here, heard := make([]float64, modes+1), make([]float64, modes+1) // shapes at the clip and at the pickup
	for m := 1; m <= modes; m++ {
		n, w := float64(m), turn(m)
		force[m] = 2 / dt / dt * (1 - math.Cos(w*dt))
		damp[m] = 2 * (o.decay + o.rise*math.Pow(w/2000/math.Pi, 2))
		if w < 2*math.Pi*20e3 {
			heard[m] = math.Sin(math.Pi * n * o.pickup)
		}
		q[m] = math.Sin(math.Pi*n*o.pluck) / (n * n) * math.Exp(-math.Pow(n*math.Pi*o.width/2, 2)/2)
	}
	give := 0.0 // of the modes left out, under a force at the clip
	sits, gives := math.Inf(1), math.Inf(1)
	move := func(x float64) {
		if math.Abs(x-sits) < 1e-7 {
			return
		}
		sits = x
		for m := 1; m <= modes; m++ {
			here[m] = math.Sin(math.Pi * float64(m) * x)
		}
		if math.Abs(x-gives) < 1e-3 {
			return // it hardly depends on the place
		}
		gives, give = x, 0
		for m := modes + 1; m < tail; m++ {
			s := math.Sin(math.Pi * float64(m) * x)
			give += 2 * s * s / (turn(m) * turn(m))
		}
	}
	move(o.at(0))
	clip := dot(here, q)
	for m := range q {
		q[m] *= o.swing / math.Abs(clip)
	}
	clip = math.Copysign(o.swing, clip)
	firm, loose := o.ratio*(1-o.loose), o.ratio*o.loose
	part := clip - o.play // the loose part lies on the lower stop
	var vClip, vPart float64
	stiff := loose * math.Pow(2*math.Pi*stop, 2)

	lead, n := int(bodyLead*bodyRate), int(seconds*bodyRate)
	out := make([]float64, lead+n)
	for i := range n * bodyOver {
		t := float64(i) * dt
		if i%16 == 0 {
			move(o.at(t))
		}
		pull := 0.0 // of the string on the clip
		if t < o.gone {
			pull = (dot(here, q) - clip) / give
		}
		push := 0.0 // of the clip on its loose part
		if loose > 0 {
			if d := part - clip; math.Abs(d) > o.play {
				past := d - math.Copysign(o.play, d)
				push = -stiff*past - 0.6*math.Pi*stop*loose*(vPart-vClip)
				if push*past > 0 {
					push = 0 // a stop does not hold back what leaves it
				}
			}
			vPart += dt * (push/loose - gravity)
			part += dt * vPart
		}
		vClip += dt * (pull - push) / firm
		clip += dt * vClip
		for m := 1; m <= modes; m++ {
			v[m] += dt * (-force[m]*q[m] - damp[m]*v[m] - 2*here[m]*pull)
			q[m] += dt * v[m]
		}
		if i%bodyOver == 0 {
			out[lead+i/bodyOver] = dot(heard, v)
		}
	}
	return out
}

func dot(a, b []float64) (sum float64) {
	for i, v := range a {
		sum += v * b[i]
	}
	return sum
}

// quieten adds white noise so many decibels below the sound's first second, and brings
// it to half of full scale.
func quieten(x []float64, db float64, r *rand.Rand) {
	peak, power := 0.0, 0.0
	for i, v := range x {
		peak = max(peak, math.Abs(v))
		if t := float64(i)/bodyRate - bodyLead; t >= 0 && t < 1 {
			power += v * v / bodyRate
		}
	}
	noise := math.Sqrt(power) * math.Pow(10, -db/20)
	for i := range x {
		x[i] = (x[i] + noise*r.NormFloat64()) / peak / 2
	}
}
