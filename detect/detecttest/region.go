package detecttest

import (
	"encoding/binary"
	"fmt"
	"math"
)

// A region is a sample as a preset plays it.
type region struct {
	name       string
	start, end int64   // natural part, in samples of the sample chunk
	rate       float64 // Hz
	hz         float64 // what the sample sounds at, played at its own rate
}

// regions lists the mono samples (of a stereo pair the left one) that a preset
// plays, each once, in the order of the file.
func (sf *soundFont) regions(bank, program int) ([]region, error) {
	var out []region
	seen := map[[2]int]bool{}
	found := false
	for _, p := range sf.presets {
		if p.bank != bank || p.program != program {
			continue
		}
		found = true
		for _, pz := range p.zones {
			i := int(uint16(pz[genInstrument]))
			if i >= len(sf.instruments) {
				return nil, fmt.Errorf("preset %q plays instrument %d of %d", p.name, i, len(sf.instruments))
			}
			for _, iz := range sf.instruments[i].zones {
				s := int(uint16(iz[genSampleID]))
				if s >= len(sf.samples) {
					return nil, fmt.Errorf("instrument %q plays sample %d of %d", sf.instruments[i].name, s, len(sf.samples))
				}
				h := sf.samples[s]
				if seen[[2]int{i, s}] || h.kind == rightSample || h.kind&romSample != 0 {
					continue
				}
				seen[[2]int{i, s}] = true
				r, err := sf.region(h, iz, pz)
				if err != nil {
					return nil, fmt.Errorf("sample %q: %w", h.name, err)
				}
				out = append(out, r)
			}
		}
	}
	if !found {
		return nil, fmt.Errorf("no preset in bank %d, program %d", bank, program)
	}
	return out, nil
}

// region works out pitch and extent of a sample in an instrument's zone that a
// preset's zone plays. Preset values add to those of the instrument; positions
// and the root key exist on the instrument's level only.
func (sf *soundFont) region(h sampleHeader, inst, preset generators) (region, error) {
	at := func(fine, coarse uint16) int64 { return int64(inst[fine]) + 32768*int64(inst[coarse]) }
	start, end := h.start+at(genStart, genStartCoarse), h.end+at(genEnd, genEndCoarse)
	if inst[genSampleModes]&1 != 0 {
		end = min(end, h.loopStart+at(genLoopStart, genLoopStartCoarse))
	}
	if start < 0 || end < start || end > sf.pcm.size/2 {
		return region{}, fmt.Errorf("natural part from %d to %d of %d samples", start, end, sf.pcm.size/2)
	}
	if h.rate < 400 || h.rate > 400e3 { // 400 Hz is the least the specification advises
		return region{}, fmt.Errorf("sample rate of %g Hz", h.rate)
	}
	root := h.key
	if k, ok := inst[genRootKey]; ok && k >= 0 {
		root = int(k)
	}
	if root > 127 {
		root = 60 // what the specification wants for a key that the file does not give
	}
	// A key plays the sample at 2^((key-root)/12 + tuning) times its own rate and
	// is to sound at its nominal pitch, so the sample lies below by the tuning.
	tuning := float64(h.correction)
	for _, g := range []generators{inst, preset} {
		tuning += 100*float64(g[genCoarseTune]) + float64(g[genFineTune])
	}
	return region{
		name: h.name, start: start, end: end, rate: h.rate,
		hz: 440 * math.Exp2((float64(root)-69)/12-tuning/1200),
	}, nil
}

// read returns the natural part of a region, full scale at ±1.
func (sf *soundFont) read(r region) ([]float64, error) {
	raw := make([]byte, 2*(r.end-r.start))
	if err := readFull(sf.r, raw, sf.pcm.off+2*r.start); err != nil {
		return nil, fmt.Errorf("sample %q: %w", r.name, err)
	}
	out := make([]float64, len(raw)/2)
	for i := range out {
		out[i] = float64(int16(binary.LittleEndian.Uint16(raw[2*i:]))) / 32768
	}
	return out, nil
}
