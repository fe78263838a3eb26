package detecttest

import (
	"bytes"
	"encoding/binary"
	"testing"
)

// le packs numbers little-endian one after the other; text fields are bytes.
func le(vals ...any) []byte {
	var b bytes.Buffer
	for _, v := range vals {
		if err := binary.Write(&b, binary.LittleEndian, v); err != nil {
			panic(err) // a mistake in the test itself
		}
	}
	return b.Bytes()
}

func name20(s string) (b [20]byte) { copy(b[:], s); return b }

// chunk makes a RIFF chunk, padded to an even length.
func chunk(id string, parts ...[]byte) []byte {
	body := bytes.Join(parts, nil)
	out := append(le([]byte(id), uint32(len(body))), body...)
	if len(body)%2 == 1 {
		out = append(out, 0)
	}
	return out
}

// gen is a generator with its amount.
type gen struct {
	oper   uint16
	amount int16
}

// tinySample is a header in a tinyFont.
type tinySample struct {
	name                  string
	start, end, loopStart uint32
	rate                  uint32
	key                   byte
	correction            int8
	kind                  uint16
}

// tinyFont is a SoundFont with one preset (bank 0, program 33) that plays one
// instrument, written by the format's specification.
type tinyFont struct {
	pcm         []int16
	samples     []tinySample
	presetZones [][]gen
	instZones   [][]gen
}

func (f tinyFont) bytes() []byte {
	zones := func(zs [][]gen) (bags, gens []byte) {
		n := 0
		for _, z := range append(zs, nil) {
			bags = append(bags, le(uint16(n), uint16(0))...)
			for _, g := range z {
				gens = append(gens, le(g)...)
				n++
			}
		}
		return bags, append(gens, le(gen{})...)
	}
	pbag, pgen := zones(f.presetZones)
	ibag, igen := zones(f.instZones)
	var shdr []byte
	for _, s := range append(f.samples, tinySample{name: "EOS"}) {
		shdr = append(shdr, le(name20(s.name), s.start, s.end, s.loopStart, s.end, s.rate, s.key, s.correction, uint16(0), s.kind)...)
	}
	body := bytes.Join([][]byte{
		[]byte("sfbk"),
		chunk("LIST", []byte("INFO"), chunk("INAM", []byte("odd"))),
		chunk("LIST", []byte("sdta"), chunk("smpl", le(f.pcm))),
		chunk("LIST", []byte("pdta"),
			chunk("phdr", le(name20("Preset"), uint16(33), uint16(0), uint16(0), [3]uint32{}),
				le(name20("EOP"), uint16(0), uint16(0), uint16(len(f.presetZones)), [3]uint32{})),
			chunk("pbag", pbag), chunk("pmod", make([]byte, 10)), chunk("pgen", pgen),
			chunk("inst", le(name20("Instrument"), uint16(0)), le(name20("EOI"), uint16(len(f.instZones)))),
			chunk("ibag", ibag), chunk("imod", make([]byte, 10)), chunk("igen", igen),
			chunk("shdr", shdr)),
	}, nil)
	return chunk("RIFF", body)
}

// tiny is a small valid font: a ramp of 100 samples of which the loop starts at 60.
func tiny() tinyFont {
	f := tinyFont{
		samples: []tinySample{
			{name: "First", start: 0, end: 50, loopStart: 30, rate: 8000, key: 69, kind: 1},
			{name: "Second", start: 50, end: 100, loopStart: 60, rate: 8000, key: 57, correction: -10, kind: 1},
		},
		presetZones: [][]gen{{{genInstrument, 0}}},
		instZones:   [][]gen{{{genSampleID, 1}}},
	}
	for i := range 100 {
		f.pcm = append(f.pcm, int16(100*i))
	}
	return f
}

// open reads a tiny font and the regions of its preset.
func open(tb testing.TB, data []byte) (*soundFont, []region, error) {
	tb.Helper()
	sf, err := openSoundFont(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, nil, err
	}
	rs, err := sf.regions(0, 33)
	return sf, rs, err
}
