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
	r       io.Reader
	channel int   // from 1, or 0 for the mean of all
	left    int64 // bytes of data still to come, or unknownSize
	raw     []byte
	err     error // what the next decode returns
}

// rawLen bounds the bytes read at a time.
const rawLen = 32 << 10

func newWAV(r *bufio.Reader, o Options) (decoder, error) {
	f, size, err := readWAVHeader(r)
	if err != nil {
		return nil, err
	}
	if err := checkShape(int64(f.rate), f.channels, o.Channel); err != nil {
		return nil, err
	}
	if _, err := r.Peek(f.block); err != nil && err != io.EOF {
		return nil, readError(err)
	} else if err == io.EOF || size != unknownSize && size < int64(f.block) {
		return nil, &Error{What: "is a WAV file without samples", Do: hintDamaged}
	}
	return &wavDecoder{
		wavFormat: f,
		r:         r,
		channel:   o.Channel,
		left:      size,
		raw:       make([]byte, rawLen/f.block*f.block),
	}, nil
}

func (d *wavDecoder) rate() float64 { return float64(d.wavFormat.rate) }

// decode implements decoder.
func (d *wavDecoder) decode(dst []float64) (int, error) {
	if d.err != nil {
		return 0, d.err
	}
	raw := d.raw[:min(len(d.raw), len(dst)*d.block)]
	if d.left != unknownSize {
		whole := d.left / int64(d.block) * int64(d.block)
		raw = raw[:min(int64(len(raw)), whole)]
	}
	if len(raw) == 0 {
		return 0, io.EOF
	}
	// As much as there is, but no part of a block.
	n, err := io.ReadAtLeast(d.r, raw, d.block)
	if part := n % d.block; part != 0 && err == nil {
		var m int
		m, err = io.ReadFull(d.r, raw[n:n+d.block-part])
		n += m
	}
	if d.left != unknownSize {
		d.left -= int64(n)
	}
	if err != nil {
		d.err = d.end(err, n%d.block)
	}
	frames := n / d.block
	if frames == 0 {
		return 0, d.err
	}
	d.mono(dst[:frames], raw[:frames*d.block])
	return frames, nil
}

// end is how the sound ends when err came after part of a block.
func (d *wavDecoder) end(err error, part int) error {
	switch {
	case err != io.EOF && err != io.ErrUnexpectedEOF:
		return readError(err)
	case d.left != unknownSize:
		return errTruncated{(d.left + int64(part)) / int64(d.block)}
	}
	// Without a size, part of a block is a pad byte or a recorder's last gasp.
	return io.EOF
}

// mono converts whole blocks to the channel chosen or the mean of all.
func (d *wavDecoder) mono(dst []float64, raw []byte) {
	clear(dst)
	width := d.block / d.channels
	if d.channel > 0 {
		d.coding.addTo(dst, raw[(d.channel-1)*width:], d.block)
		return
	}
	for c := range d.channels {
		d.coding.addTo(dst, raw[c*width:], d.block)
	}
	if d.channels > 1 {
		for i := range dst {
			dst[i] /= float64(d.channels)
		}
	}
}

// addTo adds to dst the samples that lie in raw every stride bytes.
func (c coding) addTo(dst []float64, raw []byte, stride int) {
	le := binary.LittleEndian
	switch c {
	case unsigned8:
		for i := range dst {
			dst[i] += float64(int(raw[i*stride])-0x80) / 0x80
		}
	case signed16:
		for i := range dst {
			dst[i] += float64(int16(le.Uint16(raw[i*stride:]))) / (1 << 15)
		}
	case signed24:
		for i := range dst {
			b := raw[i*stride : i*stride+3]
			dst[i] += float64(int32(b[0])<<8|int32(b[1])<<16|int32(b[2])<<24) / (1 << 31)
		}
	case signed32:
		for i := range dst {
			dst[i] += float64(int32(le.Uint32(raw[i*stride:]))) / (1 << 31)
		}
	case float32s:
		for i := range dst {
			dst[i] += float64(math.Float32frombits(le.Uint32(raw[i*stride:])))
		}
	case float64s:
		for i := range dst {
			dst[i] += math.Float64frombits(le.Uint64(raw[i*stride:]))
		}
	}
}
