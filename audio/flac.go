package audio

import (
	"bufio"
	"bytes"
	"crypto/md5"
	"encoding/binary"
	"errors"
	"fmt"
	"hash"
	"io"
	"math"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
)

// A flacDecoder reads the samples of a FLAC stream (RFC 9639).
type flacDecoder struct {
	stream *flac.Stream
	in     *failReader
	chosen int       // channel, from 1, or 0 for all
	rest   [][]int32 // of each channel delivered, decoded and not yet delivered
	count  uint64    // samples decoded
	sum    hash.Hash // over the samples of all channels; nil if not checked
	raw    []byte    // buffer for sum
	err    error     // what decode returns after rest
}

// maxFLACBits is what the library decodes. RFC 9639 has samples of up to 32 bits;
// as of v1.0.14 the library holds the code that says so in a frame for reserved.
const maxFLACBits = 31

func newFLAC(r *bufio.Reader, o Options) (decoder, error) {
	// The library parses whatever metadata come first, allocating as they
	// ask, so see to it that it is the stream's properties.
	head, err := r.Peek(8)
	if err != nil {
		return nil, headerError(err)
	}
	if head[4]&0x7F != 0 || !bytes.Equal(head[5:], []byte{0, 0, 34}) {
		return nil, &Error{What: "is a damaged FLAC file: its stream info is lacking", Do: hintDamaged}
	}
	d := &flacDecoder{in: &failReader{r: r}, chosen: o.Channel}
	err = contain(func() (err error) { d.stream, err = flac.New(d.in); return err })
	if err == io.EOF || errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, headerError(err)
	} else if err != nil {
		return nil, d.wrong(err)
	}
	info := d.stream.Info
	if err := checkShape(int64(info.SampleRate), int(info.NChannels), o.Channel); err != nil {
		return nil, err
	}
	if info.BitsPerSample < 4 {
		return nil, &Error{What: fmt.Sprintf("is a damaged FLAC file: samples of %d bits", info.BitsPerSample), Do: hintDamaged}
	}
	if info.BitsPerSample > maxFLACBits {
		return nil, &Error{
			What: fmt.Sprintf("is a FLAC file of %d bits, and the decoder here knows up to %d", info.BitsPerSample, maxFLACBits),
			Do:   "export it as WAV, or as FLAC of 24 bits, from a sound editor or converter",
		}
	}
	if info.MD5sum != [md5.Size]byte{} {
		d.sum = md5.New()
	}
	d.rest = make([][]int32, d.channels())
	if !d.fill() {
		var cut errTruncated
		if d.err == io.EOF || errors.As(d.err, &cut) {
			return nil, &Error{What: "is a FLAC file without samples", Do: hintDamaged}
		}
		return nil, d.err
	}
	return d, nil
}

func (d *flacDecoder) rate() float64 { return float64(d.stream.Info.SampleRate) }

func (d *flacDecoder) channels() int {
	if d.chosen > 0 {
		return 1
	}
	return int(d.stream.Info.NChannels)
}

// decode implements decoder.
func (d *flacDecoder) decode(dst [][]float64) (int, error) {
	if !d.fill() {
		return 0, d.err
	}
	n := min(len(dst[0]), len(d.rest[0]))
	scale := math.Ldexp(1, 1-int(d.stream.Info.BitsPerSample))
	for c, rest := range d.rest {
		for i, x := range rest[:n] {
			dst[c][i] = float64(x) * scale
		}
		d.rest[c] = rest[n:]
	}
	return n, nil
}

// fill sees to it that there is something in rest, or sets err and returns
// false.
func (d *flacDecoder) fill() bool {
	for len(d.rest[0]) == 0 {
		if d.err == nil {
			d.err = d.decodeFrame()
		}
		if d.err != nil {
			return false
		}
	}
	return true
}

// decodeFrame leaves the next frame in rest, or returns how the sound ends.
func (d *flacDecoder) decodeFrame() error {
	info := d.stream.Info
	if info.NSamples > 0 && d.count >= info.NSamples {
		return d.verify()
	}
	f, err := d.next()
	switch {
	case err == io.EOF && info.NSamples == 0:
		return d.verify()
	case err == io.EOF || errors.Is(err, io.ErrUnexpectedEOF):
		return errTruncated{max(0, int64(info.NSamples)-int64(d.count))}
	case err != nil:
		return d.wrong(err)
	}
	d.hash(f)
	n := len(f.Subframes[0].Samples)
	if info.NSamples > 0 {
		n = int(min(uint64(n), info.NSamples-d.count))
	}
	d.count += uint64(n)
	for c := range d.rest {
		d.rest[c] = f.Subframes[max(0, d.chosen-1)+c].Samples[:n]
	}
	return nil
}

// next returns the next frame, its channels restored.
func (d *flacDecoder) next() (f *frame.Frame, err error) {
	err = contain(func() error {
		if f, err = d.stream.Next(); err != nil {
			return err
		}
		info := d.stream.Info
		// Frames leave out what the stream info has: the library does not
		// fill it in.
		if f.BitsPerSample == 0 {
			f.BitsPerSample = info.BitsPerSample
		}
		if f.SampleRate == 0 {
			f.SampleRate = info.SampleRate
		}
		if f.BitsPerSample != info.BitsPerSample || f.SampleRate != info.SampleRate || f.Channels.Count() != int(info.NChannels) {
			return errors.New("its format changes")
		}
		return f.Parse()
	})
	return f, err
}

// hash adds the samples of f to the checksum: all channels in turn, in the
// least number of bytes that holds them, little-endian.
func (d *flacDecoder) hash(f *frame.Frame) {
	if d.sum == nil {
		return
	}
	width := (int(f.BitsPerSample) + 7) / 8
	raw := d.raw[:0]
	for i := range f.Subframes[0].Samples {
		for _, c := range f.Subframes {
			var b [4]byte
			binary.LittleEndian.PutUint32(b[:], uint32(c.Samples[i]))
			raw = append(raw, b[:width]...)
		}
	}
	d.sum.Write(raw)
	d.raw = raw
}

// verify ends the stream: io.EOF if the checksum agrees.
func (d *flacDecoder) verify() error {
	if d.sum != nil && [md5.Size]byte(d.sum.Sum(nil)) != d.stream.Info.MD5sum {
		return &Error{What: "is a damaged FLAC file: its samples do not have the checksum it gives", Do: hintDamaged}
	}
	return io.EOF
}

// contain turns a panic of the library into an error: what it parses comes
// from outside.
func contain(f func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("decoder failed: %v", p)
		}
	}()
	return f()
}

// wrong words an error that came through the library.
func (d *flacDecoder) wrong(err error) error {
	if d.in.err != nil {
		return readError(d.in.err)
	}
	return &Error{
		What: fmt.Sprintf("is a damaged FLAC file (at sample %d): %v", d.count, err),
		Do:   hintDamaged,
		Err:  err,
	}
}

// A failReader keeps the error of r, so that a failure to read is not taken for
// damage.
type failReader struct {
	r   io.Reader
	err error
}

func (f *failReader) Read(p []byte) (int, error) {
	n, err := f.r.Read(p)
	if err != nil && err != io.EOF {
		f.err = err
	}
	return n, err
}
