package identify

import (
	"math"
	"math/rand/v2"
	"testing"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// What a micrometer is expected to tell is what it tells on average: strings are drawn
// from what is known, measured, and asked for once more.
func TestGainIsWhatComesOfIt(t *testing.T) {
	var strings []traits.String
	for i, d := range []float64{1.00e-3, 1.015e-3, 1.10e-3} {
		strings = append(strings, traits.String{Name: string(rune('a' + i)), Kind: traits.Wound,
			UnitWeight: physics.Stated(physics.UnitWeight(5e-3*(1+0.004*float64(i))), 2e-5),
			Outside:    physics.Stated(physics.Length(d), 3e-6)})
	}
	q := Question{Evidence: physics.Evidence{UnitWeight: physics.Stated[physics.UnitWeight](5.02e-3, 3e-5)}, Kind: traits.Wound, Strings: strings, None: 1e-9}
	a := must(q.Answer())
	var test Test
	for _, n := range a.Next {
		if n.Of == Micrometer {
			test = n
		}
	}
	bits := func(q Question) (h, most float64) {
		all, _, _ := q.posterior()
		for _, p := range all {
			if p > 0 {
				h -= p * math.Log2(p)
			}
			most = max(most, p)
		}
		return h, most
	}
	r := rand.New(rand.NewPCG(11, 12))
	now, _ := bits(q)
	const draws = 4000
	gain, settled := 0.0, 0.0
	for range draws {
		at := r.Float64()
		s := strings[a.Candidates[drawn(a.Candidates, func(c Candidate) float64 { return c.Probability }, at)].String]
		u := physics.Gauge.Assume(s.Outside.Value).U
		d := float64(s.Outside.Value) + float64(s.Outside.U)*r.NormFloat64() + float64(u)*r.NormFloat64()
		more := q
		more.Evidence.Outside = physics.Stated(physics.Length(d), u)
		h, most := bits(more)
		gain += (now - h) / draws
		if most >= Surely {
			settled += 1.0 / draws
		}
	}
	if math.Abs(gain-test.Gain) > 0.06 || math.Abs(settled-test.Settles) > 0.06 {
		t.Errorf("a micrometer is to tell %.3f bits and settle %.2f, and tells %.3f and settles %.2f", test.Gain, test.Settles, gain, settled)
	}
	if a.Next[0].Of != Micrometer {
		t.Errorf("strings of one weight and several diameters are to be told apart by a %v", a.Next[0].Of)
	}
}

// Strings alike but for their weight are told apart by weighing, those of two kinds by
// a look.
func TestNextSuitsTheDifference(t *testing.T) {
	d := physics.Stated[physics.Length](1e-3, 1e-6)
	at := func(w float64, k traits.Kind) traits.String {
		return traits.String{UnitWeight: physics.Stated(physics.UnitWeight(w), 1e-6), Outside: d, Kind: k}
	}
	for _, tt := range []struct {
		strings []traits.String
		want    Telling
	}{
		{[]traits.String{at(5e-3, traits.Wound), at(5.02e-3, traits.Wound)}, Load},
		{[]traits.String{at(6e-3, traits.Wound), at(6.003e-3, traits.Plain)}, Look},
	} {
		a := must(Question{Evidence: physics.Evidence{Outside: d}, Strings: tt.strings, None: 1e-6}.Answer())
		if len(a.Next) == 0 || a.Next[0].Of != tt.want {
			t.Errorf("%v first, not %v", a.Next, tt.want)
		}
	}
}

// Where more strings may be it than are looked at one by one, nothing settles it at once, and
// a measurement that would tell something is named all the same.
func TestNextAmongVeryMany(t *testing.T) {
	var strings []traits.String
	for range 20_000 {
		strings = append(strings, traits.String{Kind: traits.Wound, Outside: physics.Stated[physics.Length](1e-3, 3e-6),
			UnitWeight: physics.Stated(physics.UnitWeight(4e-3*(1+1e-5*float64(len(strings)))), 1e-5)})
	}
	a := must(Question{Evidence: physics.Evidence{Outside: physics.Gauge.Assume(1e-3)}, Kind: traits.Wound, Strings: strings}.Answer())
	if len(a.Candidates) != fewest || a.None > 0.01 {
		t.Errorf("none has %v, and the likeliest are %v", a.None, a.Candidates)
	}
	if len(a.Next) == 0 || a.Next[0].Settles > 0.05 {
		t.Errorf("it is to be settled by %+v", a.Next)
	}
}
