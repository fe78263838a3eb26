package main

import (
	"testing"

	"pluckweigh/detect"
)

// What was measured of plucks while they rang does not gather where they are never said to
// be over, and no sound of them is kept.
func TestEarlyPlucksAreForgotten(t *testing.T) {
	l := &live{early: map[int]measured{}}
	rec := &recording{rate: 48000, gone: 960, samples: make([]float64, 48000)}
	spent := rec.compact().spent()
	if spent.seconds() != rec.seconds() || len(spent.samples)+len(spent.packed) != 0 {
		t.Errorf("of %g s %g s are left, with %d samples", rec.seconds(), spent.seconds(), len(spent.samples)+len(spent.packed))
	}
	good := &answer{take: detect.Take{Reading: &detect.Reading{}}}
	for n := range 100 {
		l.keep(measured{ringing: ringing{rec: spent, number: n + 1, soon: true}, answer: good})
	}
	if len(l.early) > 2 || !l.known(ringing{number: 100}) {
		t.Errorf("%d are kept, the last one: %v", len(l.early), l.known(ringing{number: 100}))
	}
	l.keep(measured{ringing: ringing{number: 100}, answer: good})
	if l.known(ringing{number: 100}) {
		t.Error("one that is over is still kept")
	}
}
