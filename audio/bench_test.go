package audio_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"testing"

	"pluckweigh/audio"
)

// benchmarkRead reads the file again and again and reports how many seconds of
// sound a second takes.
func benchmarkRead(b *testing.B, file []byte, seconds float64) {
	dst := make([]float64, 4096)
	b.ReportAllocs()
	b.SetBytes(int64(len(file)))
	for b.Loop() {
		s, err := audio.NewReader(bytes.NewReader(file), audio.Options{})
		if err != nil {
			b.Fatal(err)
		}
		for err == nil {
			_, err = s.Read(context.Background(), dst)
		}
		s.Close()
		if err != io.EOF {
			b.Fatal(err)
		}
	}
	b.ReportMetric(seconds*float64(b.N)/b.Elapsed().Seconds(), "realtime")
}

// BenchmarkWAV reads 10 s at 48 kHz.
func BenchmarkWAV(b *testing.B) {
	for _, name := range []string{"s16", "s24", "f32"} {
		for _, channels := range []int{1, 2} {
			b.Run(fmt.Sprintf("%s/%d", name, channels), func(b *testing.B) {
				f := formNamed(name)
				x := sound(480_000, channels)
				benchmarkRead(b, riff(f.fmtChunk(channels, 48000), chunk("data", f.data(x))), 10)
			})
		}
	}
}

// BenchmarkFLAC reads 10 s at 48 kHz.
func BenchmarkFLAC(b *testing.B) {
	for _, bits := range []int{16, 24} {
		b.Run(fmt.Sprintf("s%d/2", bits), func(b *testing.B) {
			file, err := os.ReadFile(flacOf(b, tones(480_000, 2, bits, 1), 2, bits, 48000))
			if err != nil {
				b.Fatal(err)
			}
			benchmarkRead(b, file, 10)
		})
	}
}
