package detecttest

import (
	"bytes"
	"math"
	"strings"
	"testing"
)

// Pitches are worked out by hand from the specification: a sample is played
// (key − root) semitones plus its tuning above its own rate.
func TestRegionPitch(t *testing.T) {
	cents := func(hz, c float64) float64 { return hz * math.Pow(2, c/1200) }
	for _, c := range []struct {
		name   string
		inst   [][]gen
		preset [][]gen
		key    byte
		want   float64
	}{
		{"sample header, correction -10", [][]gen{{{genSampleID, 1}}}, nil, 57, cents(220, 10)},
		{"header without a key", [][]gen{{{genSampleID, 1}}}, nil, 255, cents(261.6255653, 10)},
		{"root key", [][]gen{{{genRootKey, 28}, {genSampleID, 1}}}, nil, 57, cents(41.2034446, 10)},
		{"root key -1 means the header", [][]gen{{{genRootKey, -1}, {genSampleID, 1}}}, nil, 57, cents(220, 10)},
		{"fine tune", [][]gen{{{genFineTune, -15}, {genSampleID, 1}}}, nil, 57, cents(220, 25)},
		{"coarse tune", [][]gen{{{genCoarseTune, 12}, {genSampleID, 1}}}, nil, 57, cents(110, 10)},
		{"global zone", [][]gen{{{genFineTune, 30}}, {{genSampleID, 1}}}, nil, 57, cents(220, -20)},
		{"zone over global zone", [][]gen{{{genFineTune, 30}}, {{genFineTune, 5}, {genSampleID, 1}}}, nil, 57, cents(220, 5)},
		{"void zone", [][]gen{{{genSampleID, 1}}, {{genFineTune, 30}}}, nil, 57, cents(220, 10)},
		{"preset adds", [][]gen{{{genFineTune, 5}, {genSampleID, 1}}}, [][]gen{{{genFineTune, 7}, {genInstrument, 0}}}, 57, cents(220, -2)},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := tiny()
			f.instZones, f.samples[1].key = c.inst, c.key
			if c.preset != nil {
				f.presetZones = c.preset
			}
			_, rs, err := open(t, f.bytes())
			if err != nil {
				t.Fatal(err)
			}
			if len(rs) != 1 || rs[0].name != "Second" {
				t.Fatalf("regions %+v, want the second sample alone", rs)
			}
			if math.Abs(rs[0].hz/c.want-1) > 1e-8 {
				t.Errorf("%.6f Hz, want %.6f", rs[0].hz, c.want)
			}
		})
	}
}

func TestRegionExtent(t *testing.T) {
	for _, c := range []struct {
		name        string
		gens        []gen
		first, last int16 // the ramp's values
	}{
		{"no loop", []gen{{genSampleID, 1}}, 5000, 9900},
		{"loop", []gen{{genSampleModes, 1}, {genSampleID, 1}}, 5000, 5900},
		{"loop until release", []gen{{genSampleModes, 3}, {genSampleID, 1}}, 5000, 5900},
		{"offsets", []gen{{genStart, 2}, {genLoopStart, 20}, {genSampleModes, 1}, {genSampleID, 1}}, 5200, 7900},
		{"end offset", []gen{{genEnd, -10}, {genSampleID, 1}}, 5000, 8900},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := tiny()
			f.instZones = [][]gen{c.gens}
			sf, rs, err := open(t, f.bytes())
			if err != nil || len(rs) != 1 {
				t.Fatal(rs, err)
			}
			x, err := sf.read(rs[0])
			if err != nil {
				t.Fatal(err)
			}
			wantLen := int(c.last-c.first)/100 + 1
			if len(x) != wantLen || x[0]*32768 != float64(c.first) || x[len(x)-1]*32768 != float64(c.last) {
				t.Errorf("%d samples from %g to %g, want %d from %d to %d",
					len(x), x[0]*32768, x[len(x)-1]*32768, wantLen, c.first, c.last)
			}
		})
	}
}

func TestRegionsOnceAndLeft(t *testing.T) {
	f := tiny()
	f.samples[0].kind, f.samples[1].kind = rightSample, 4
	f.instZones = [][]gen{{{genSampleID, 0}}, {{genSampleID, 1}}, {{genSampleID, 1}}}
	f.presetZones = append(f.presetZones, f.presetZones[0])
	_, rs, err := open(t, f.bytes())
	if err != nil || len(rs) != 1 || rs[0].name != "Second" {
		t.Errorf("%+v, %v: want the left sample, once", rs, err)
	}
}

func TestBrokenSoundFont(t *testing.T) {
	whole := tiny().bytes()
	change := func(do func(*tinyFont)) []byte { f := tiny(); do(&f); return f.bytes() }
	rename := func(id string) []byte { return bytes.Replace(whole, []byte(id), []byte("junk"), 1) }
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"empty", nil, "no RIFF header"},
		{"text", []byte("this is a text, not a sound"), "not a RIFF"},
		{"other form", append([]byte("RIFF\x04\x00\x00\x00WAVE"), whole...), "not a RIFF"},
		{"cut", whole[:len(whole)-1], "cut short"},
		{"no samples", rename("smpl"), `no "smpl"`},
		{"no instruments", rename("inst"), `no "inst"`},
		{"no headers", rename("shdr"), `no "shdr"`},
		{"odd table", bytes.Replace(whole, []byte("pbag\x08"), []byte("pbag\x07"), 1), "whole records"},
		{"chunk too long", bytes.Replace(whole, []byte("shdr\x8a"), []byte("shdr\xff"), 1), "runs past"},
		{"no such sample", change(func(f *tinyFont) { f.instZones[0][0].amount = 9 }), "sample 9 of 2"},
		{"no such instrument", change(func(f *tinyFont) { f.presetZones[0][0].amount = -1 }), "instrument 65535 of 1"},
		{"past the samples", change(func(f *tinyFont) { f.samples[1].end = 101 }), "of 100 samples"},
		{"backwards", change(func(f *tinyFont) { f.samples[1].start = 120 }), "natural part"},
		{"no rate", change(func(f *tinyFont) { f.samples[1].rate = 0 }), "sample rate"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, rs, err := open(t, c.data)
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%v, %v: want an error with %q", rs, err, c.want)
			}
		})
	}
	sf, err := openSoundFont(bytes.NewReader(whole), int64(len(whole)))
	if err != nil {
		t.Fatal(err)
	}
	if rs, err := sf.regions(0, 34); err == nil {
		t.Errorf("%v: want an error for a preset that is not there", rs)
	}
}

func FuzzSoundFont(f *testing.F) {
	f.Add(tiny().bytes())
	big := tiny()
	big.instZones = [][]gen{{{genFineTune, 3}}, {{genSampleModes, 1}, {genRootKey, 40}, {genSampleID, 0}}, {{genSampleID, 1}}}
	f.Add(big.bytes())
	f.Fuzz(func(t *testing.T, data []byte) {
		sf, rs, err := open(t, data)
		if err != nil {
			return
		}
		for _, r := range rs {
			if !(r.hz > 0) || math.IsInf(r.hz, 0) || !(r.rate > 0) {
				t.Errorf("region %+v", r)
			}
			x, err := sf.read(r)
			if err != nil {
				t.Errorf("a region that was accepted cannot be read: %v", err)
			}
			for _, v := range x {
				if !(math.Abs(v) <= 1) {
					t.Fatalf("sample %g", v)
				}
			}
		}
	})
}
