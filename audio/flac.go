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

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
)

// A flacDecoder reads the samples of a FLAC stream (RFC 9639).
type flacDecoder struct {
	stream  *flac.Stream
	in      *failReader
	channel int       // from 1, or 0 for the mean of all
	rest    []float64 // decoded, not yet delivered
	mono    []float64 // buffer of rest
	count   uint64    // samples decoded
	sum     hash.Hash // over the samples of all channels; nil if not checked
	raw     []byte    // buffer for sum
	err     error     // what decode returns after rest
}

// maxFLACBits is what the library decodes: it knows no frames of 32 bits.
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
	d := &flacDecoder{in: &failReader{r: r}, channel: o.Channel}
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
			What: fmt.Sprintf("is a FLAC file of %d bits, of which up to %d can be decoded", info.BitsPerSample, maxFLACBits),
			Do:   "convert it to FLAC of 24 bits, or to WAV",
		}
	}
	if info.MD5sum != [md5.Size]byte{} {
		d.sum = md5.New()
	}
	for len(d.rest) == 0 && d.err == nil {
		d.fill()
	}
	if len(d.rest) == 0 {
		var cut errTruncated
		if d.err == io.EOF || errors.As(d.err, &cut) {
			return nil, &Error{What: "is a FLAC file without samples", Do: hintDamaged}
		}
		return nil, d.err
	}
	return d, nil
}

func (d *flacDecoder) rate() float64 { return float64(d.stream.Info.SampleRate) }

// decode implements decoder.
func (d *flacDecoder) decode(dst []float64) (int, error) {
	for len(d.rest) == 0 {
		if d.err != nil {
			return 0, d.err
		}
		d.fill()
	}
	n := copy(dst, d.rest)
	d.rest = d.rest[n:]
	return n, nil
}

// fill decodes the next frame into rest, or sets err.
func (d *flacDecoder) fill() {
	info := d.stream.Info
	if info.NSamples > 0 && d.count >= info.NSamples {
		d.err = d.verify()
		return
	}
	f, err := d.next()
	switch {
	case err == io.EOF && info.NSamples == 0:
		d.err = d.verify()
		return
	case err == io.EOF || errors.Is(err, io.ErrUnexpectedEOF):
		d.err = errTruncated{max(0, int64(info.NSamples)-int64(d.count))}
		return
	case err != nil:
		d.err = d.wrong(err)
		return
	}
	d.hash(f)
	n := len(f.Subframes[0].Samples)
	if info.NSamples > 0 {
		n = int(min(uint64(n), info.NSamples-d.count))
	}
	d.count += uint64(n)
	d.mix(f, n)
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

// mix leaves the first n samples of f as mono in rest.
func (d *flacDecoder) mix(f *frame.Frame, n int) {
	if cap(d.mono) < n {
		d.mono = make([]float64, n)
	}
	d.rest = d.mono[:n]
	channels := f.Subframes
	if d.channel > 0 {
		channels = channels[d.channel-1 : d.channel]
	}
	clear(d.rest)
	for _, c := range channels {
		for i, x := range c.Samples[:n] {
			d.rest[i] += float64(x)
		}
	}
	full := float64(int64(1) << (f.BitsPerSample - 1))
	for i := range d.rest {
		d.rest[i] /= full * float64(len(channels))
	}
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
