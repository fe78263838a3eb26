package audio

import (
	"encoding/binary"
	"math"
)

// The header a Writer writes: RIFF, a JUNK chunk that can become ds64 (as EBU
// Tech 3306 proposes), fmt, fact, data.
const (
	sampleLen = 4 // bytes

	ds64At    = 12
	ds64Len   = 28
	factAt    = ds64At + 8 + ds64Len + 8 + 18
	dataAt    = factAt + 8 + 4
	headerLen = dataAt + 8
)

// openHeader returns the header of a file that is being written: its sizes say
// that the samples go on to the end of the file.
func openHeader(rate uint32) []byte {
	le := binary.LittleEndian
	b := make([]byte, 0, headerLen)
	chunk := func(id string, size uint32) {
		b = append(b, id...)
		b = le.AppendUint32(b, size)
	}
	chunk("RIFF", math.MaxUint32)
	b = append(b, "WAVE"...)
	chunk("JUNK", ds64Len)
	b = append(b, make([]byte, ds64Len)...)
	chunk("fmt ", 18)
	b = le.AppendUint16(b, tagFloat)
	b = le.AppendUint16(b, 1) // channels
	b = le.AppendUint32(b, rate)
	b = le.AppendUint32(b, rate*sampleLen) // bytes per second
	b = le.AppendUint16(b, sampleLen)      // bytes per block
	b = le.AppendUint16(b, 8*sampleLen)    // bits per sample
	b = le.AppendUint16(b, 0)              // no extension
	chunk("fact", 4)
	b = le.AppendUint32(b, math.MaxUint32) // samples
	chunk("data", math.MaxUint32)
	return b
}

// A patch is a piece of a file to be written over.
type patch struct {
	at    int64
	bytes []byte
}

// closedHeader returns what makes an open header that of a whole file of the
// given number of samples.
func closedHeader(samples int64) []patch {
	le := binary.LittleEndian
	data := samples * sampleLen
	riff := headerLen - 8 + data
	if riff < math.MaxUint32 {
		return []patch{
			{4, le.AppendUint32(nil, uint32(riff))},
			{factAt + 8, le.AppendUint32(nil, uint32(samples))},
			{dataAt + 4, le.AppendUint32(nil, uint32(data))},
		}
	}
	// The sizes of an open header, all ones, are those RF64 wants.
	ds64 := append([]byte("ds64"), le.AppendUint32(nil, ds64Len)...)
	ds64 = le.AppendUint64(ds64, uint64(riff))
	ds64 = le.AppendUint64(ds64, uint64(data))
	ds64 = le.AppendUint64(ds64, uint64(samples))
	return []patch{{0, []byte("RF64")}, {ds64At, ds64}}
}
