package audio_test

import (
	"crypto/md5"
	"encoding/binary"
	"io"
	"slices"
	"strings"
	"testing"

	"pluckweigh/audio"
)

// flacStream is a FLAC stream of 48 kHz with the frames given (RFC 9639).
func flacStream(channels, bits int, samples uint64, sum [md5.Size]byte, frames ...[]byte) []byte {
	b := []byte("fLaC\x80\x00\x00\x22")
	b = append(b, 0, 16, 0xFF, 0xFF, 0, 0, 0, 0, 0, 0) // sizes of blocks and frames
	b = binary.BigEndian.AppendUint64(b, 48000<<44|uint64(channels-1)<<41|uint64(bits-1)<<36|samples)
	b = append(b, sum[:]...)
	return slices.Concat(append([][]byte{b}, frames...)...)
}

// flacFrame is a frame of n ≤ 256 samples whose subframes are in body, its
// checksums right. The code of channels is the format's own.
func flacFrame(number byte, n int, channels byte, body []byte) []byte {
	b := []byte{0xFF, 0xF8, 0x60, channels << 4, number & 0x7F, byte(n - 1)}
	b = append(b, crc8(b))
	b = append(b, body...)
	return binary.BigEndian.AppendUint16(b, crc16(b))
}

func crc8(b []byte) (sum byte) {
	for _, x := range b {
		sum ^= x
		for range 8 {
			sum = sum<<1 ^ sum>>7*0x07
		}
	}
	return sum
}

func crc16(b []byte) (sum uint16) {
	for _, x := range b {
		sum ^= uint16(x) << 8
		for range 8 {
			sum = sum<<1 ^ sum>>15*0x8005
		}
	}
	return sum
}

// verbatim is a subframe of plain 16-bit samples.
func verbatim(x ...int16) []byte {
	b := []byte{0x02}
	for _, v := range x {
		b = binary.BigEndian.AppendUint16(b, uint16(v))
	}
	return b
}

// smallFLAC is a stream of two frames and its samples.
func smallFLAC() (file []byte, want []float64) {
	x := []int16{100, -200, 300, -32768, 32767, 0, 1, -1, 5, 6, 7, 8, 9, 10, 11, 12}
	var raw []byte
	for range 2 {
		for _, v := range x {
			raw = binary.LittleEndian.AppendUint16(raw, uint16(v))
			want = append(want, float64(v)/32768)
		}
	}
	body := verbatim(x...)
	return flacStream(1, 16, 32, md5.Sum(raw), flacFrame(0, 16, 0, body), flacFrame(1, 16, 0, body)), want
}

// TestFLACByHand reads streams made without any program.
func TestFLACByHand(t *testing.T) {
	file, want := smallFLAC()
	equal(t, all(t, openBytes(t, file, audio.Options{})), want)

	constant := []byte{0x00, 0x40, 0x00} // a subframe of 0x4000
	half := slices.Repeat([]float64{0.5}, 200)
	frame := flacFrame(0, 200, 1, slices.Concat(constant, constant))
	none := [md5.Size]byte{}
	equal(t, all(t, openBytes(t, flacStream(2, 16, 0, none, frame), audio.Options{})), half)
	// More in the frames than the stream is said to hold.
	equal(t, all(t, openBytes(t, flacStream(2, 16, 150, none, frame), audio.Options{})), half[:150])

	wantError(t, flacStream(1, 16, 0, none), audio.Options{}, "without samples")
	wantError(t, flacStream(1, 3, 0, none), audio.Options{}, "samples of 3 bits")
	wantError(t, flacStream(1, 16, 0, none, frame), audio.Options{}, "its format changes")
	wantError(t, flacStream(1, 16, 0, none, []byte("garbage")), audio.Options{}, "damaged FLAC")
}

// TestContain: a panic of the library becomes an error. Fuzzing has shown none.
func TestContain(t *testing.T) {
	err := audio.Contain(func() error { panic("index out of range") })
	if err == nil || !strings.Contains(err.Error(), "index out of range") {
		t.Errorf("error is %v", err)
	}
	if err := audio.Contain(func() error { return io.EOF }); err != io.EOF {
		t.Errorf("error is %v, want io.EOF", err)
	}
}
