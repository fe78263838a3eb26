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

// BenchmarkWAV reads 10 s at 48 kHz, and 1 s of what is most.
func BenchmarkWAV(b *testing.B) {
	for _, name := range []string{"s16", "s24", "f32"} {
		for _, channels := range []int{1, 2} {
			b.Run(fmt.Sprintf("%s/%d", name, channels), func(b *testing.B) {
				benchmarkRead(b, wav(name, channels, 48000, 480_000), 10)
			})
		}
	}
	b.Run("s24/32/192kHz", func(b *testing.B) { benchmarkRead(b, wav("s24", 32, 192000, 192_000), 1) })
}

// wav is a WAV file of noise, n frames long.
func wav(name string, channels, rate, n int) []byte {
	f := formNamed(name)
	return riff(f.fmtChunk(channels, rate), chunk("data", f.data(sound(n, channels))))
}

// BenchmarkFLAC reads 10 s at 48 kHz.
func BenchmarkFLAC(b *testing.B) {
	for _, bits := range []int{16, 24} {
		b.Run(fmt.Sprintf("s%d/2", bits), func(b *testing.B) {
			benchmarkRead(b, flacFile(b, bits), 10)
		})
	}
}

func flacFile(b *testing.B, bits int) []byte {
	file, err := os.ReadFile(flacOf(b, tones(480_000, 2, bits, 1), 2, bits, 48000))
	if err != nil {
		b.Fatal(err)
	}
	return file
}

// BenchmarkOpen opens a file of 10 s at 48 kHz and keeps all of it, 3.84 MB.
func BenchmarkOpen(b *testing.B) {
	for name, file := range map[string][]byte{"WAV": wav("s24", 2, 48000, 480_000), "FLAC": flacFile(b, 24)} {
		b.Run(name, func(b *testing.B) {
			path := writeFile(b, "a", file)
			b.ReportAllocs()
			b.SetBytes(int64(len(file)))
			for b.Loop() {
				s, err := audio.Open(path, audio.Options{})
				if err != nil {
					b.Fatal(err)
				}
				kept := make([]float64, 480_000)
				for got := 0; got < len(kept); {
					n, err := s.Read(context.Background(), kept[got:])
					if err != nil {
						b.Fatal(err)
					}
					got += n
				}
				s.Close()
			}
		})
	}
}
