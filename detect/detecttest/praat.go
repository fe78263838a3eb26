package detecttest

import (
	"bytes"
	"context"
	_ "embed"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

//go:embed pitch.praat
var praatScript []byte

// Praat tracks the pitch of one file with Praat's autocorrelation method
// between floor and ceiling, in Hz. The floor sets the window: three periods.
func Praat(ctx context.Context, wav string, floor, ceiling float64) (Track, error) {
	ts, err := PraatAll(ctx, []string{wav}, floor, ceiling)
	if err != nil {
		return nil, err
	}
	return ts[0], nil
}

// PraatAll does what Praat does with many files in one process, so that the
// start of the program weighs little; without files it does nothing but start,
// which is what a benchmark has to take off.
func PraatAll(ctx context.Context, wavs []string, floor, ceiling float64) ([]Track, error) {
	ts, _, err := timedPraat(ctx, wavs, floor, ceiling)
	return ts, err
}

// timedPraat returns the processor time of the program as well.
func timedPraat(ctx context.Context, wavs []string, floor, ceiling float64) ([]Track, time.Duration, error) {
	if !(floor > 0 && floor < ceiling) { // so that NaN is refused, too
		return nil, 0, fmt.Errorf("pitch from %g to %g Hz: the floor must be positive and below the ceiling", floor, ceiling)
	}
	dir, err := os.MkdirTemp("", "praat-")
	if err != nil {
		return nil, 0, err
	}
	defer os.RemoveAll(dir)
	script, list := filepath.Join(dir, "pitch.praat"), filepath.Join(dir, "files.txt")
	var paths strings.Builder
	for _, w := range wavs {
		abs, err := filepath.Abs(w) // Praat takes paths relative to the script
		if err != nil {
			return nil, 0, err
		}
		if strings.ContainsAny(abs, "\r\n") {
			return nil, 0, fmt.Errorf("file name %q: a line break cannot be passed to praat", abs)
		}
		fmt.Fprintln(&paths, abs)
	}
	if err := os.WriteFile(script, praatScript, 0o600); err != nil {
		return nil, 0, err
	}
	if err := os.WriteFile(list, []byte(paths.String()), 0o600); err != nil {
		return nil, 0, err
	}
	// Praat keeps preferences in the home folder: give it one of its own.
	out, cpu, err := run(ctx, "praat", append(os.Environ(), "HOME="+dir), "praat", "--run", "--no-pref-files",
		"--no-plugins", "--pref-dir="+dir, script, number(floor), number(ceiling), list)
	if err != nil {
		return nil, 0, err
	}
	ts, err := praatTracks(out, len(wavs))
	return ts, cpu, err
}

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// praatTracks reads what pitch.praat prints: a line "file" ahead of every
// file's lines of time and pitch, and at the end a line "end".
func praatTracks(out []byte, files int) ([]Track, error) {
	var ts []Track
	ended := false
	for line := range bytes.Lines(out) {
		f := strings.Fields(string(line))
		switch {
		case len(f) == 0:
		case f[0] == "file":
			ts = append(ts, nil)
		case f[0] == "end":
			ended = true
		case len(f) == 2 && len(ts) > 0:
			s, err1 := strconv.ParseFloat(f[0], 64)
			hz, err2 := strconv.ParseFloat(f[1], 64)
			if err1 != nil || err2 != nil || !(hz > 0) || math.IsInf(hz, 0) {
				return nil, fmt.Errorf("praat printed %q: want time and pitch", line)
			}
			ts[len(ts)-1] = append(ts[len(ts)-1], Point{s, hz})
		default:
			return nil, fmt.Errorf("praat printed %q: want time and pitch", line)
		}
	}
	if !ended || len(ts) != files {
		return nil, fmt.Errorf("praat printed tracks of %d files of %d", len(ts), files)
	}
	return ts, nil
}
