package detecttest

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/bits"
	"os"
	"slices"
	"strconv"
	"time"
)

// aubioMethods are what Aubio accepts: the program takes an unknown method for
// no error and prints nothing.
var aubioMethods = []string{"yinfft", "yinfast", "yin", "mcomb", "fcomb", "schmitt"}

// aubioHops is the number of hops in a window: one track point a quarter window.
const aubioHops = 4

// Aubio runs aubiopitch (Debian: aubio-tools) on one file at the file's own
// sample rate, in windows of bufsize samples that start and end within the
// file. One process hears one file, and most of the time it takes for a short one
// is its start: a benchmark has to take that off, as measured on a very short file.
func Aubio(ctx context.Context, method string, bufsize int, wav string) (Track, error) {
	t, _, err := timedAubio(ctx, method, bufsize, wav)
	return t, err
}

// timedAubio returns the processor time of the program as well.
func timedAubio(ctx context.Context, method string, bufsize int, wav string) (Track, time.Duration, error) {
	if !slices.Contains(aubioMethods, method) {
		return nil, 0, fmt.Errorf("aubiopitch has no method %q: use one of %q", method, aubioMethods)
	}
	if bufsize < 256 || bits.OnesCount(uint(bufsize)) != 1 {
		return nil, 0, fmt.Errorf("bufsize of %d samples: use a power of two from 256", bufsize)
	}
	out, cpu, err := run(ctx, "aubio-tools", os.Environ(), "aubiopitch", "-i", wav, "-r", "0", "-p", method,
		"-B", strconv.Itoa(bufsize), "-H", strconv.Itoa(bufsize/aubioHops), "-u", "Hz", "-T", "seconds")
	if err != nil {
		return nil, 0, err
	}
	t, err := aubioTrack(out, method)
	if err != nil {
		return nil, 0, fmt.Errorf("aubiopitch on %s: %w", wav, err)
	}
	return t, cpu, nil
}

// aubioTrack reads lines of time and pitch, one a hop. The printed time is the
// start of the newest hop, the last of the window: frame i looked at what ends
// (i+1) hops into the file. Frames whose window begins before the file or ends
// behind it are left out, as are those without a pitch (printed as 0).
func aubioTrack(out []byte, method string) (Track, error) {
	var at, hz []float64
	for line := range bytes.Lines(out) {
		var s, f float64
		if _, err := fmt.Sscan(string(line), &s, &f); err != nil {
			return nil, fmt.Errorf("output %q: want time and pitch", line)
		}
		at, hz = append(at, s), append(hz, f)
	}
	if len(at) < 2 {
		return nil, fmt.Errorf("%d hops of output: the file is too short", len(at))
	}
	hop := at[len(at)-1] / float64(len(at)-1) // s; the printed times are rounded
	var t Track
	for i := aubioHops - 1; i < len(at)-1; i++ { // the last hop may be filled up with zeros
		if !(hz[i] > 0) || math.IsInf(hz[i], 0) {
			continue
		}
		span := aubioHops * hop
		if method == "yin" || method == "yinfast" {
			// These compare the first half of the window with itself one
			// period later; the rest serves longer periods only.
			span = span/2 + 1/hz[i]
		}
		t = append(t, Point{Time: float64(i+1-aubioHops)*hop + span/2, Hz: hz[i]})
	}
	return t, nil
}
