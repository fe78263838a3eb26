package audio

import (
	"bufio"
	"encoding/binary"
	"io"
	"math"
)

// A coding is how a WAV file stores one sample. All are little-endian.
type coding int

const (
	unsigned8 coding = iota
	signed16
	signed24
	signed32
	float32s
	float64s
)

// A wavDecoder reads the samples of a WAV file.
type wavDecoder struct {
	wavFormat
	r      *bufio.Reader
	chosen int   // channel, from 1, or 0 for all
	left   int64 // bytes of data still to come, or unknownSize
}

func newWAV(r *bufio.Reader, o Options) (decoder, error) {
	f, size, err := readWAVHeader(r)
	if err != nil {
		return nil, err
	}
	if err := checkShape(int64(f.rate), f.count, o.Channel); err != nil {
		return nil, err
	}
	if _, err := r.Peek(f.block); err != nil && err != io.EOF {
		return nil, readError(err)
	} else if err == io.EOF || size != unknownSize && size < int64(f.block) {
		return nil, &Error{What: "is a WAV file without samples", Do: hintDamaged}
	}
	return &wavDecoder{wavFormat: f, r: r, chosen: o.Channel, left: size}, nil
}

func (d *wavDecoder) rate() float64 { return float64(d.wavFormat.rate) }

func (d *wavDecoder) channels() int {
	if d.chosen > 0 {
		return 1
	}
	return d.count
}

// decode implements decoder.
func (d *wavDecoder) decode(dst [][]float64) (int, error) {
	most := int64(len(dst[0]))
	if d.left != unknownSize {
		most = min(most, d.left/int64(d.block))
	}
	if most == 0 {
		return 0, io.EOF
	}
	// As much as there is, but no part of a frame: a stream may be slow.
	if head, err := d.r.Peek(d.block); err != nil {
		return 0, d.end(err, len(head))
	}
	n := int(min(most, int64(d.r.Buffered()/d.block)))
	raw, err := d.r.Peek(n * d.block) // is in the buffer
	if err != nil {
		return 0, readError(err)
	}
	first := max(0, d.chosen-1)
	width := d.block / d.count
	for c := range dst {
		d.coding.decode(dst[c][:n], raw[(first+c)*width:], d.block)
	}
	d.r.Discard(len(raw)) // is in the buffer
	if d.left != unknownSize {
		d.left -= int64(len(raw))
	}
	return n, nil
}

// end is how the sound ends when err came after part of a frame.
func (d *wavDecoder) end(err error, part int) error {
	switch {
	case err != io.EOF:
		return readError(err)
	case d.left != unknownSize:
		return errTruncated{d.left / int64(d.block)}
	}
	// Without a size, part of a frame is a pad byte or a recorder's last gasp.
	return io.EOF
}

// decode fills dst with the samples that lie in raw every stride bytes.
func (c coding) decode(dst []float64, raw []byte, stride int) {
	le := binary.LittleEndian
	switch c {
	case unsigned8:
		for i := range dst {
			dst[i] = float64(int(raw[i*stride])-0x80) / 0x80
		}
	case signed16:
		for i := range dst {
			dst[i] = float64(int16(le.Uint16(raw[i*stride:]))) / (1 << 15)
		}
	case signed24:
		for i := range dst {
			b := raw[i*stride : i*stride+3]
			dst[i] = float64(int32(b[0])<<8|int32(b[1])<<16|int32(b[2])<<24) / (1 << 31)
		}
	case signed32:
		for i := range dst {
			dst[i] = float64(int32(le.Uint32(raw[i*stride:]))) / (1 << 31)
		}
	case float32s:
		for i := range dst {
			dst[i] = float64(math.Float32frombits(le.Uint32(raw[i*stride:])))
		}
	case float64s:
		for i := range dst {
			dst[i] = math.Float64frombits(le.Uint64(raw[i*stride:]))
		}
	}
}
