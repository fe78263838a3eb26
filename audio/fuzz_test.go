package audio_test

import (
	"bytes"
	"context"
	"crypto/md5"
	"errors"
	"io"
	"math"
	"runtime"
	"slices"
	"testing"
	"time"

	"pluckweigh/audio"
)

// hearAny opens file, whatever it is, and checks what holds for every file: no
// panic, no hang, memory within limit bytes, only finite samples, flaws where
// samples are, and an *audio.Error with a hint for what is refused.
func hearAny(t *testing.T, file []byte, channel int, limit uint64) {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	samples, flaws, err := hear(t, file, channel, 1000)
	runtime.ReadMemStats(&after)
	if used := after.TotalAlloc - before.TotalAlloc; used > limit {
		t.Errorf("%d bytes allocated for a file of %d", used, len(file))
	}
	var e *audio.Error
	if err != nil && (!errors.As(err, &e) || e.Hint() == "") {
		t.Errorf("error %v (%T) has no hint", err, err)
	}
	for i, x := range samples {
		if !(math.Abs(x) <= audio.MaxSample) {
			t.Fatalf("sample %d is %v", i, x)
		}
	}
	for i, f := range flaws {
		if f.At < 0 || f.Len < 0 || f.At > int64(len(samples)) || i > 0 && f.At < flaws[i-1].At ||
			f.Kind != audio.Overrun && f.Kind != audio.Truncated && f.At+f.Len > int64(len(samples)) {
			t.Fatalf("flaws %v in %d samples", flaws, len(samples))
		}
	}
	again, flawsAgain, errAgain := hear(t, file, channel, 37)
	if !slices.Equal(samples, again) || !slices.Equal(flaws, flawsAgain) || (err == nil) != (errAgain == nil) {
		t.Fatalf("read again: %d samples, %v, %v; before %d, %v, %v",
			len(again), flawsAgain, errAgain, len(samples), flaws, err)
	}
}

// hear reads a file by the given number of samples. Its error is nil for io.EOF.
func hear(t *testing.T, file []byte, channel, step int) ([]float64, []audio.Flaw, error) {
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	s, err := audio.NewReaderContext(ctx, bytes.NewReader(file), audio.Options{Channel: channel})
	if err != nil {
		return nil, nil, err
	}
	defer s.Close()
	if r := s.Rate(); r < audio.MinFileRate || r > audio.MaxFileRate {
		t.Fatalf("rate is %v", r)
	}
	var samples []float64
	dst := make([]float64, step)
	for {
		n, err := s.Read(ctx, dst)
		if n < 0 || n > len(dst) || (n > 0) == (err != nil) {
			t.Fatalf("Read returned %d, %v", n, err)
		}
		// Constant frames of FLAC hold much in little: the beginning will do.
		if err == io.EOF || len(samples) > 1<<20 {
			return samples, s.Flaws(), nil
		}
		if err != nil {
			if _, again := s.Read(ctx, dst); again != err {
				t.Fatalf("Read returned %v after %v", again, err)
			}
			return samples, s.Flaws(), err
		}
		samples = append(samples, dst[:n]...)
	}
}

// allowance is the memory a file may cost: the buffers of a source, and the
// samples kept here.
func allowance(file []byte) uint64 { return 1<<20 + 100*uint64(len(file)) }

func FuzzWAV(f *testing.F) {
	for _, form := range forms {
		x := sound(20, 2)
		f.Add(riff(form.fmtChunk(2, 48000), chunk("data", form.data(x))), 0)
		f.Add(riff(form.extensible(2, 48000, form.bits), chunk("data", form.data(x))), 2)
		f.Add(riff(chunk("bext", make([]byte, 3)), form.fmtChunk(1, 8000), sized("data", 0, form.data(x))), 1)
		f.Add(riff(form.fmtChunk(2, 48000), sized("data", math.MaxUint32, form.data(x))), 1)
		f.Add(rf64("RF64", 1<<40, form.fmtChunk(1, 96000), sized("data", math.MaxUint32, form.data(x))), 0)
		f.Add(riff(form.fmtChunk(2, 48000), sized("LIST", 0xFFFFFFF0, nil)), 0)
	}
	f32 := formNamed("f32")
	f.Add(riff(f32.fmtChunk(1, 48000), chunk("data", f32.data([]float64{math.NaN(), 1, math.Inf(1), math.NaN()}))), 0)
	f.Add(riff(f32.fmtChunk(2, 8000), chunk("data", f32.data(slices.Repeat([]float64{1e30, 1, 0.5, -0.5}, 100)))), 0)
	f.Fuzz(func(t *testing.T, file []byte, channel int) {
		hearAny(t, file, channel, allowance(file))
	})
}

// flacAllowance adds what the decoder allocates for each frame, which takes a
// dozen bytes at least.
func flacAllowance(file []byte) uint64 {
	return allowance(file) + 1<<26 + uint64(len(file)/12)*8*65536*4
}

func FuzzFLAC(f *testing.F) {
	file, _ := smallFLAC()
	f.Add(file, 0)
	f.Add(id3(20, string(file)), 1)
	f.Add(file[:len(file)-5], 0)
	f.Add(flacStream(2, 24, 100, [md5.Size]byte{}, flacFrame(0, 100, 10, make([]byte, 20))), 2)
	f.Fuzz(func(t *testing.T, file []byte, channel int) {
		hearAny(t, file, channel, flacAllowance(file))
	})
}

// FuzzFLACFrame has the checksums right, so that the subframes are reached.
func FuzzFLACFrame(f *testing.F) {
	f.Add(byte(0), byte(16), byte(15), verbatim(1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16))
	f.Add(byte(10), byte(24), byte(63), []byte{0x00, 0x40, 0x00, 0x00, 0x00, 0x20, 0x00, 0x00})
	f.Add(byte(1), byte(8), byte(191), append([]byte{0x14, 1, 2, 0x00, 0x40}, bytes.Repeat([]byte{0xA5}, 300)...)) // fixed
	f.Add(byte(8), byte(16), byte(31), append([]byte{0x42, 0, 1, 0, 2, 0x10, 0x40}, bytes.Repeat([]byte{0x5A}, 300)...))
	f.Add(byte(0), byte(31), byte(31), []byte{0x03, 0x00, 0x00, 0x01}) // wasted bits
	f.Fuzz(func(t *testing.T, channels, bits, n byte, body []byte) {
		count := [16]int{1, 2, 3, 4, 5, 6, 7, 8, 2, 2, 2, 1, 1, 1, 1, 1}[channels%16]
		frame := flacFrame(0, int(n)+1, channels%16, body)
		file := flacStream(count, int(bits%32)+1, 0, [md5.Size]byte{}, frame)
		hearAny(t, file, 0, flacAllowance(file))
	})
}

// FuzzContainer is for telling files apart.
func FuzzContainer(f *testing.F) {
	file, _ := smallFLAC()
	for _, b := range [][]byte{
		nil, []byte("text\n"), pad("\xFF\xFB\x90\x64"), id3(300, "\xFF\xF1\x50\x80"), id3(3, string(id3(3, string(file)))),
		ogg("\x01vorbis"), ogg("OpusHead"), pad("\x00\x00\x00\x20ftypM4A "), pad("FORM\x00\x00\x10\x00AIFFCOMM"), []byte("RIFF"), []byte("fLa"),
	} {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, file []byte) {
		hearAny(t, file, 0, flacAllowance(file))
	})
}
