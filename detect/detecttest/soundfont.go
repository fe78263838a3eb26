package detecttest

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
)

// Generators of the SoundFont 2.04 specification (section 8.1) that decide where
// a sample begins, where its loop begins and what it sounds at.
const (
	genStart           = 0
	genEnd             = 1
	genLoopStart       = 2
	genStartCoarse     = 4 // in steps of 32768 samples, as the coarse ones below
	genEndCoarse       = 12
	genInstrument      = 41
	genLoopStartCoarse = 45
	genCoarseTune      = 51 // semitones
	genFineTune        = 52 // cents
	genSampleID        = 53
	genSampleModes     = 54 // bit 0: the sample loops
	genRootKey         = 58 // -1: as the sample header says
)

// generators holds the values of one zone by generator number.
type generators map[uint16]int16

// A zoneList is a preset or an instrument: a name and its zones, the global
// zone already merged into each of them.
type zoneList struct {
	name          string
	bank, program int // of a preset
	zones         []generators
}

// A sampleHeader describes one sample; positions count samples in the sample chunk.
type sampleHeader struct {
	name       string
	start, end int64
	loopStart  int64
	rate       float64
	key        int // MIDI key it sounds at, 255 where the file does not say
	correction int // cents to add on playback
	kind       uint16
}

// Kinds of sample (section 7.10 of the specification).
const (
	rightSample = 2
	romSample   = 0x8000
)

// A soundFont gives access to the samples of a SoundFont 2 file. 16-bit samples
// only: the low bytes of a 24-bit file (chunk sm24) are left aside.
type soundFont struct {
	r           io.ReaderAt
	pcm         span
	presets     []zoneList
	instruments []zoneList
	samples     []sampleHeader
}

// openSoundFont reads everything but the samples of a file of size bytes.
func openSoundFont(r io.ReaderAt, size int64) (*soundFont, error) {
	chunks, err := riffChunks(r, size, "sfbk")
	if err != nil {
		return nil, err
	}
	tab := tables{r: r, chunks: chunks}
	sf := &soundFont{r: r, pcm: tab.chunk("smpl")}
	sf.presets = tab.zoneLists("phdr", 38, 24, "pbag", "pgen", genInstrument)
	sf.instruments = tab.zoneLists("inst", 22, 20, "ibag", "igen", genSampleID)
	sf.samples = tab.sampleHeaders()
	if tab.err != nil {
		return nil, tab.err
	}
	return sf, nil
}

// tables reads the record tables of a file and keeps the first error.
type tables struct {
	r      io.ReaderAt
	chunks map[string]span
	err    error
}

func (t *tables) fail(format string, args ...any) {
	if t.err == nil {
		t.err = fmt.Errorf(format, args...)
	}
}

func (t *tables) chunk(id string) span {
	c, ok := t.chunks[id]
	if !ok {
		t.fail("no %q chunk", id)
	}
	return c
}

// records cuts a chunk into its records; the last one only marks the end of the
// table. It returns nil after an error.
func (t *tables) records(id string, size int) [][]byte {
	c := t.chunk(id)
	if t.err != nil {
		return nil
	}
	if c.size == 0 || c.size%int64(size) != 0 {
		t.fail("chunk %q of %d bytes does not hold whole records of %d", id, c.size, size)
		return nil
	}
	data := make([]byte, c.size)
	if err := readFull(t.r, data, c.off); err != nil {
		t.fail("chunk %q: %w", id, err)
		return nil
	}
	var recs [][]byte
	for ; len(data) > 0; data = data[size:] {
		recs = append(recs, data[:size])
	}
	return recs
}

// zoneLists reads presets or instruments: a header table whose records of size
// bytes hold the first zone's index at bagAt, the zone table and the generator
// table. link is the generator that every zone but a global one must have.
func (t *tables) zoneLists(head string, size, bagAt int, bag, gen string, link uint16) []zoneList {
	heads, bags, gens := t.records(head, size), t.records(bag, 4), t.records(gen, 4)
	if t.err != nil {
		return nil
	}
	u16 := binary.LittleEndian.Uint16
	var lists []zoneList
	for i := range len(heads) - 1 {
		l := zoneList{name: text(heads[i][:20])}
		if head == "phdr" {
			l.program, l.bank = int(u16(heads[i][20:])), int(u16(heads[i][22:]))
		}
		from, to := int(u16(heads[i][bagAt:])), int(u16(heads[i+1][bagAt:]))
		if from > to || to > len(bags)-1 {
			t.fail("%q has zones %d to %d of %d", l.name, from, to, len(bags)-1)
			return nil
		}
		global := generators{}
		for z := from; z < to; z++ {
			g0, g1 := int(u16(bags[z])), int(u16(bags[z+1]))
			if g0 > g1 || g1 > len(gens)-1 {
				t.fail("%q has generators %d to %d of %d", l.name, g0, g1, len(gens)-1)
				return nil
			}
			own := generators{}
			for _, g := range gens[g0:g1] {
				own[u16(g)] = int16(u16(g[2:]))
			}
			if _, ok := own[link]; !ok {
				if z == from { // the global zone; elsewhere such a zone is void
					global = own
				}
				continue
			}
			for k, v := range global {
				if _, ok := own[k]; !ok {
					own[k] = v
				}
			}
			l.zones = append(l.zones, own)
		}
		lists = append(lists, l)
	}
	return lists
}

func (t *tables) sampleHeaders() []sampleHeader {
	recs := t.records("shdr", 46)
	if t.err != nil {
		return nil
	}
	u32 := func(b []byte) int64 { return int64(binary.LittleEndian.Uint32(b)) }
	var out []sampleHeader
	for _, b := range recs[:len(recs)-1] {
		out = append(out, sampleHeader{
			name: text(b[:20]), start: u32(b[20:]), end: u32(b[24:]), loopStart: u32(b[28:]),
			rate: float64(u32(b[36:])), key: int(b[40]), correction: int(int8(b[41])),
			kind: binary.LittleEndian.Uint16(b[44:]),
		})
	}
	return out
}

// text cuts a fixed-size name at its first NUL.
func text(b []byte) string {
	b, _, _ = bytes.Cut(b, []byte{0})
	return string(bytes.TrimSpace(b))
}
