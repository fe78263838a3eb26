package survey

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pluckweigh/physics"
)

var semitone = Rules{Out: 100, Good: 1}

// at is a pitch so many cents above 100 Hz.
func at(c float64) physics.Frequency { return physics.Frequency(100 * math.Exp2(c/1200)) }

func placesAt(c ...float64) []Place {
	var out []Place
	for _, v := range c {
		out = append(out, Place{Note: at(v)})
	}
	return out
}

func heardAt(c float64) Heard {
	f := physics.Stated(at(c), at(c)*1e-5)
	return Heard{F0: f, F1: f, Named: Nowhere}
}

func hear(c ...float64) []Heard {
	var out []Heard
	for _, v := range c {
		out = append(out, heardAt(v))
	}
	return out
}

func TestRecognise(t *testing.T) {
	named := func(h []Heard, i, place int) []Heard { h[i].Named = place; return h }
	// stroke has the plucks named sound together.
	stroke := func(h []Heard, of ...int) []Heard {
		for _, i := range of {
			h[i].Stroke = 1 + of[0]
		}
		return h
	}
	alike := func(p []Place) []Place {
		for i := range p {
			p[i].Like = "it"
		}
		return p
	}
	down := semitone
	down.Down = 300
	inOrder := semitone
	inOrder.InOrder = true
	for name, c := range map[string]struct {
		places []Place
		heard  []Heard
		rules  Rules
		want   []int // Nowhere for open
		how    How   // of the last
	}{
		"by pitch, a semitone out":                {placesAt(0, 500, 1000), hear(900, -100, 600), semitone, []int{2, 0, 1}, ByPitch},
		"two together are two, if near":           {alike(placesAt(0, 0)), stroke(hear(-5, 7), 0, 1), semitone, []int{0, 1}, Alike},
		"the same without a stroke may be one":    {alike(placesAt(0, 0)), hear(-5, 7), semitone, []int{0, Nowhere}, Unrecognised},
		"two together twice":                      {alike(placesAt(0, 0)), stroke(stroke(hear(-5, 7, -5.2, 7.1), 0, 1), 2, 3), semitone, []int{0, 1, 0, 1}, Alike},
		"which of two together is which":          {placesAt(0, 0), stroke(hear(-5, 7), 0, 1), inOrder, []int{Nowhere, Nowhere}, Unrecognised},
		"an octave together":                      {placesAt(0, 1200), stroke(hear(1190, 20), 0, 1), semitone, []int{1, 0}, ByPitch},
		"no string's":                             {placesAt(0, 500), hear(250), semitone, []int{Nowhere}, Unrecognised},
		"two that it could be":                    {placesAt(0, 100), hear(40), semitone, []int{Nowhere}, Unrecognised},
		"the other is heard elsewhere":            {placesAt(0, 100), hear(40, -60), semitone, []int{1, 0}, ByPitch},
		"what moved a little may be one":          {placesAt(0, 100), hear(40, 60), semitone, []int{Nowhere, Nowhere}, Unrecognised},
		"a chain of three":                        {placesAt(0, 100, 200), hear(130, 60, -30), semitone, []int{2, 1, 0}, ByPitch},
		"a later pluck decides":                   {placesAt(0, 150), hear(70, 220), semitone, []int{0, 1}, ByPitch},
		"the name that was given":                 {placesAt(0, 100), named(hear(40, 90), 1, 1), semitone, []int{0, 1}, ByName},
		"a name that is far off":                  {placesAt(0, 1200), named(hear(0), 0, 1), semitone, []int{Nowhere}, Unrecognised},
		"all are low":                             {placesAt(0, 500, 900), hear(-215, 290, 680), semitone, []int{0, 1, 2}, ByOffset},
		"all are low, and two are too few":        {placesAt(0, 500, 900), hear(-215, 290), semitone, []int{Nowhere, Nowhere}, Unrecognised},
		"all are low, and that was said":          {placesAt(0, 500), hear(-290), down, []int{0}, ByPitch},
		"all are low or high":                     {placesAt(0, 500, 1000, 1500), hear(250, 750, 1250), semitone, []int{Nowhere, Nowhere, Nowhere}, Unrecognised},
		"one note, different strings":             {placesAt(0, 0), hear(30), semitone, []int{Nowhere}, Unrecognised},
		"one note, alike":                         {[]Place{{at(0), "E"}, {at(0), "E"}}, hear(30, -40, 30.5), semitone, []int{0, 1, 0}, Alike},
		"one note, alike, perhaps one that moved": {[]Place{{at(0), "E"}, {at(0), "E"}}, hear(30, 44), semitone, []int{0, Nowhere}, Unrecognised},
		"one note, alike in part":                 {[]Place{{at(0), "E"}, {at(0), "E"}, {at(0), "F"}}, hear(30), semitone, []int{Nowhere}, Unrecognised},
		"one note, three pitches for two":         {[]Place{{at(0), "E"}, {at(0), "E"}}, hear(30, -40, 80), semitone, []int{0, 1, Nowhere}, Unrecognised},
		"one note, in order":                      {placesAt(0, 0), hear(3, 3.1), inOrder, []int{0, 1}, ByOrder},
		"one note, the first again":               {placesAt(0, 0), []Heard{rough(3), heardAt(3.1), heardAt(2)}, inOrder, []int{0, 0, 1}, ByOrder},
		"a peg was turned":                        {placesAt(0, 500), hear(-60, 500, 5), semitone, []int{0, 1, 0}, ByPitch},
		"an octave course":                        {placesAt(0, 1200), hear(1190, 20), semitone, []int{1, 0}, ByPitch},
	} {
		got := Recognise(c.places, c.heard, c.rules)
		for i, v := range got {
			if v.Place != c.want[i] {
				t.Errorf("%s: pluck %d is of %d, of %v by %v", name, i, v.Place, v.Among, v.How)
			}
		}
		if last := got[len(got)-1]; last.How != c.how {
			t.Errorf("%s: by %v", name, last.How)
		}
	}
}

// rough is a pluck that is not good.
func rough(c float64) Heard {
	h := heardAt(c)
	h.F1.U = h.F1.Value * 1e-3
	h.F0 = h.F1
	return h
}

// On instruments of any notes, none of whose strings is further out of tune than the
// rules say, no string is taken for another, whichever were plucked how often and in what
// order.
func TestNoneIsTakenForAnother(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	told, all := 0, 0
	for range 30000 {
		n := 2 + random.IntN(11)
		var places []Place
		var truth []float64 // cents of each string
		note := 0.0
		closest := []float64{50, 100, 200, 400}[random.IntN(4)]
		for i := range n {
			if i > 0 && random.IntN(6) > 0 {
				note += closest * float64(1+random.IntN(3))
			}
			p := Place{Note: at(note)}
			if random.IntN(2) == 0 {
				p.Like = "x"
			}
			places, truth = append(places, p), append(truth, note+200*random.Float64()-100)
		}
		random.Shuffle(n, func(i, j int) {
			places[i], places[j] = places[j], places[i]
			truth[i], truth[j] = truth[j], truth[i]
		})
		var of []int
		var heard []Heard
		for range 1 + random.IntN(2*n) {
			i := random.IntN(n)
			if random.IntN(20) == 0 { // it slipped a little
				truth[i] += 10 * (random.Float64() - 0.5)
				off := truth[i] - 1200*math.Log2(float64(places[i].Note)/100)
				truth[i] += min(0, 100-off) + max(0, -100-off)
			}
			h := heardAt(truth[i] + 0.02*random.NormFloat64())
			if random.IntN(15) == 0 {
				h.Named = i
			}
			of, heard = append(of, i), append(heard, h)
		}
		for k, v := range Recognise(places, heard, semitone) {
			all++
			if v.Place != Nowhere {
				told++
			} else if !slices.Contains(v.Among, of[k]) {
				t.Fatalf("a string of %d is not among %v", of[k], v.Among)
			}
			alike := v.How == Alike && places[v.Place].Like == places[of[k]].Like && OneNote(places, []int{v.Place, of[k]})
			if v.Place != Nowhere && v.Place != of[k] && !alike {
				t.Fatalf("a string of %d is told for %d by %v; notes %v, strings %v", of[k], v.Place, v.How, places, truth)
			}
		}
	}
	t.Logf("%d of %d plucks were told", told, all)
	if told < all/3 {
		t.Errorf("%d of %d plucks were told", told, all)
	}
}

// What elimination leaves is what some way of giving each string its own place has.
func TestEliminationIsAllWays(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 8))
	for range 3000 {
		n := 2 + random.IntN(4)
		var voices []*voice
		var may [][]int
		for g := range 1 + random.IntN(n) {
			v := &voice{named: Nowhere, group: g}
			for p := range n {
				if random.IntN(2) == 0 {
					v.may = append(v.may, p)
				}
			}
			if len(v.may) == 0 {
				v.may = []int{random.IntN(n)}
			}
			voices, may = append(voices, v), append(may, v.may)
		}
		want := make([][]int, len(voices))
		var try func(i int, at []int)
		try = func(i int, at []int) {
			if i == len(may) {
				for v, p := range at {
					if !slices.Contains(want[v], p) {
						want[v] = append(want[v], p)
					}
				}
				return
			}
			for _, p := range may[i] {
				if !slices.Contains(at, p) {
					try(i+1, append(slices.Clone(at), p))
				}
			}
		}
		try(0, nil)
		eliminate(n, voices, ByPitch, ByElimination)
		for i, v := range voices {
			if want[i] == nil {
				want[i] = may[i] // there is no way
			}
			slices.Sort(want[i])
			if !slices.Equal(v.may, want[i]) {
				t.Fatalf("of %v: voice %d may be %v, not %v", may, i, want[i], v.may)
			}
		}
	}
}

// A keyboard's worth of strings a semitone apart, each plucked twice.
func BenchmarkRecognise(b *testing.B) {
	var notes, pitches []float64
	random := rand.New(rand.NewPCG(9, 10))
	for i := range 88 {
		notes = append(notes, 100*float64(i))
		off := 100*float64(i) + 200*random.Float64() - 100
		pitches = append(pitches, off, off+0.1)
	}
	places, heard := placesAt(notes...), hear(pitches...)
	for b.Loop() {
		Recognise(places, heard, semitone)
	}
}
