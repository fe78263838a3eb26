package main

import (
	"math"
	"slices"

	"pluckweigh/calib"
	"pluckweigh/detect"
	"pluckweigh/physics"
)

// A pagePool is the plucks of a page that can be trusted and are over, of which those of
// one string that follow each other are taken together as the commands take those of a
// take.
type pagePool struct {
	count int
	all   []pooledPluck
}

type pooledPluck struct {
	id    int
	pluck detect.Pluck
	clock calib.Clock
}

const (
	mostPooled = 200  // more than anybody plucks one string
	ofOneNote  = 50.0 // cents that plucks of one string lie apart at most; package detect takes no more together
)

// add takes in a pluck, and returns the number by which it may be left out.
func (p *pagePool) add(q detect.Pluck, c calib.Clock) (id int) {
	p.count++
	if n := len(p.all); n > 0 && math.Abs(physics.CentsBetween(physics.Frequency(p.all[n-1].pluck.F1.V), physics.Frequency(q.F1.V))) > ofOneNote {
		p.all = nil // another string
	}
	p.all = append(p.all, pooledPluck{p.count, q, c})
	if len(p.all) > mostPooled {
		p.all = slices.Clone(p.all[1:])
	}
	return p.count
}

// togetherJSON is what several plucks say together.
type togetherJSON struct {
	IDs    []int         `json:"ids"`
	Note   string        `json:"note"`
	F0     string        `json:"f0"`
	B      string        `json:"inharmonicity"`
	Data   *readingJSON  `json:"reading"`
	Pull   *pagePullJSON `json:"pull"`
	Doubts []pageDoubt   `json:"doubts"`
}

// together is what the plucks that count say together; nil where there are fewer than two.
func (p *pageEars) together() *togetherJSON {
	j := &togetherJSON{IDs: []int{}, Doubts: []pageDoubt{}}
	var plucks []detect.Pluck
	var clock calib.Clock
	for _, x := range p.pool.all {
		if !slices.Contains(p.apart, x.id) {
			j.IDs = append(j.IDs, x.id)
			plucks, clock = append(plucks, x.pluck), x.clock
		}
	}
	if len(plucks) < 2 {
		return nil
	}
	r, doubts := detect.Pool(plucks)
	if r != nil {
		doubts = slices.Concat(doubts, r.Doubts)
	}
	for _, d := range doubts {
		j.Doubts = append(j.Doubts, newPageDoubt(d))
	}
	if r == nil {
		return j
	}
	note, err := physics.NearestNote(physics.Frequency(r.F1.V), p.typed.a4)
	if err != nil {
		return j
	}
	j.Note, j.F0, j.B = noteOf(note), expanded(hertz(r.F0)), sayStiffness(r.B, r.BKnown)
	j.Data = newReadingJSON(*r, note)
	j.Pull = p.pull(pageHeard{0, heard{*r, clock}})
	return j
}
