package trial

import "math"

// A Tally counts what became of some takes whose truth is known.
type Tally struct {
	Name     string `json:"name"`
	Takes    int    `json:"takes"`
	Wrong    int    `json:"wrong_notes"`
	Refused  int    `json:"refused"`
	Median   Number `json:"median_cents"` // of the error of f0; wrong notes included
	P95      Number `json:"p95_cents"`
	Max      Number `json:"max_cents"`
	WithinU  Number `json:"within_u_percent"` // of the takes read
	Within2U Number `json:"within_2u_percent"`
	// The same for B, of the takes in which it is known.
	BTakes    int    `json:"inharmonicity_takes"`
	BWithinU  Number `json:"inharmonicity_within_u_percent"`
	BWithin2U Number `json:"inharmonicity_within_2u_percent"`
}

// tally counts those of the cases that belong.
func tally(name string, all []heard, belongs func(heard) bool) Tally {
	t := Tally{Name: name}
	var off []float64
	var f0, b coverage
	for _, h := range all {
		if !belongs(h) {
			continue
		}
		t.Takes++
		r := h.take.Reading
		if r == nil {
			t.Refused++
			continue
		}
		c := math.Abs(h.off())
		off = append(off, c)
		if c > wrongCents {
			t.Wrong++
		}
		f0.add(r.F0.V-h.truth.F0, r.F0.U)
		if r.BKnown {
			b.add(r.B.V-h.truth.B, r.B.U)
		}
	}
	t.Median, t.P95, t.Max = quantile(off, 0.5), quantile(off, 0.95), quantile(off, 1)
	t.WithinU, t.Within2U = f0.percent()
	t.BTakes = b.count
	t.BWithinU, t.BWithin2U = b.percent()
	return t
}

// coverage counts how often the truth lies within u and 2u.
type coverage struct{ count, within1, within2 int }

func (c *coverage) add(off, u float64) {
	c.count++
	if math.Abs(off) <= u {
		c.within1++
	}
	if math.Abs(off) <= 2*u {
		c.within2++
	}
}

func (c coverage) percent() (u, u2 Number) {
	return share(c.within1, c.count), share(c.within2, c.count)
}

// bands are the edges, in Hz, of the octaves in which f0 lies.
var bands = [...]float64{0, 46, 92, 184, 368, math.Inf(1)}

// bandNames name the octaves by the range of f0 that is drawn.
var bandNames = [...]string{"23–46 Hz", "46–92 Hz", "92–184 Hz", "184–368 Hz", "368–660 Hz"}

// band is the octave of f0.
func band(f0 float64) int {
	for i := range bandNames {
		if f0 < bands[i+1] {
			return i
		}
	}
	return len(bandNames) - 1
}
