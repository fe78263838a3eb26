package detecttest

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"pluckweigh/audio"
)

// A Wav is a file to be heard, and what is in it.
type Wav struct {
	Path    string
	Rate    float64 // Hz
	Samples []float64
}

// Write makes the file.
func (w Wav) Write() error {
	f, err := audio.Create(w.Path, w.Rate)
	if err != nil {
		return err
	}
	return errors.Join(f.Write(w.Samples), f.Close())
}

// A Rival is a general-purpose pitch detector of a Debian package, run as a
// program, as whoever tries it would.
type Rival struct {
	Name string
	// hear returns the tracks of the files, how many times the program was
	// started, and its processor time.
	hear func(ctx context.Context, wavs []Wav) (tracks []Track, starts int, cpu time.Duration, err error)
}

// Rivals are aubio's detectors in windows of at least 80 ms, 4096 samples at
// 44.1 and 48 kHz (the comb needs twice that), and Praat's autocorrelation in
// windows of 150 ms.
func Rivals() []Rival {
	return []Rival{
		aubioRival("yinfft", 0.08),
		aubioRival("yinfast", 0.08),
		aubioRival("fcomb", 0.16),
		{Name: "Praat ac", hear: func(ctx context.Context, wavs []Wav) ([]Track, int, time.Duration, error) {
			var paths []string
			for _, w := range wavs {
				paths = append(paths, w.Path)
			}
			ts, cpu, err := timedPraat(ctx, paths, 20, 1500)
			return ts, 1, cpu, err
		}},
	}
}

// aubioRival runs a method in windows of a power of two of samples, at least so
// many seconds. One run hears one file, and to start takes it longer than to hear a
// short one: files of one rate are strung together.
func aubioRival(method string, window float64) Rival {
	return Rival{Name: "aubio " + method, hear: func(ctx context.Context, wavs []Wav) (ts []Track, starts int, cpu time.Duration, err error) {
		ts = make([]Track, len(wavs))
		rates := map[float64][]int{}
		for i, w := range wavs {
			rates[w.Rate] = append(rates[w.Rate], i)
		}
		for rate, which := range rates {
			size := 256
			for float64(size) < window*rate {
				size *= 2
			}
			long, at, err := joined(wavs, which)
			if err != nil {
				return nil, 0, 0, err
			}
			t, spent, err := timedAubio(ctx, method, size, long)
			if err := errors.Join(err, os.Remove(long)); err != nil {
				return nil, 0, 0, err
			}
			for k, i := range which {
				ts[i] = t.cut(at[k], at[k]+float64(len(wavs[i].Samples))/rate)
			}
			starts, cpu = starts+1, cpu+spent
		}
		return ts, starts, cpu, nil
	}}
}

// joined strings files of one rate together beside the first and returns the path,
// and when each begins, s.
func joined(wavs []Wav, which []int) (path string, at []float64, err error) {
	first := wavs[which[0]]
	path = filepath.Join(filepath.Dir(first.Path), fmt.Sprintf("joined-%g.wav", first.Rate))
	f, err := audio.Create(path, first.Rate)
	if err != nil {
		return "", nil, err
	}
	samples := 0
	for _, i := range which {
		at = append(at, float64(samples)/first.Rate)
		samples += len(wavs[i].Samples)
		err = errors.Join(err, f.Write(wavs[i].Samples))
	}
	return path, at, errors.Join(err, f.Close())
}

// cut is the part of a track from one time to another, its times from there on.
func (t Track) cut(from, to float64) Track {
	var out Track
	for _, p := range t {
		if p.Time >= from && p.Time < to {
			out = append(out, Point{p.Time - from, p.Hz})
		}
	}
	return out
}

// Hear returns the tracks of the files and the processor time they took, less
// start for each time that the program was started.
func (r Rival) Hear(ctx context.Context, wavs []Wav, start time.Duration) ([]Track, time.Duration, error) {
	ts, starts, cpu, err := r.hear(ctx, wavs)
	return ts, max(0, cpu-time.Duration(starts)*start), err
}

// Start returns the processor time that the program takes to start: the median of
// several runs on 0.2 s of silence.
func (r Rival) Start(ctx context.Context) (time.Duration, error) {
	dir, err := os.MkdirTemp("", "rival-")
	if err != nil {
		return 0, err
	}
	defer os.RemoveAll(dir)
	silence := Wav{filepath.Join(dir, "silence.wav"), 48000, make([]float64, 48000/5)}
	if err := silence.Write(); err != nil {
		return 0, err
	}
	var runs []time.Duration
	for range 7 {
		_, starts, cpu, err := r.hear(ctx, []Wav{silence})
		if err != nil {
			return 0, err
		}
		runs = append(runs, cpu/time.Duration(starts))
	}
	slices.Sort(runs)
	return runs[len(runs)/2], nil
}
