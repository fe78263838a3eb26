package mic

import (
	"strconv"
	"strings"
)

// A served is what a PulseAudio or PipeWire server says of its default source.
// Through ALSA, such a server offers any rate and dozens of channels, and
// PortAudio takes it to be a 44.1 kHz device: the true values are only here.
type served struct {
	rate     float64 // Hz
	channels int
	name     string // the server's for the source
}

// parseServer reads the answers of `pactl info` ("Default Source: NAME") and of
// `pactl list short sources` ("NUMBER, NAME, MODULE, s16le 2ch 48000Hz, STATE",
// separated by tabs).
func parseServer(info, sources string) (served, bool) {
	var name string
	for line := range strings.Lines(info) {
		if after, ok := strings.CutPrefix(line, "Default Source:"); ok {
			name = strings.TrimSpace(after)
		}
	}
	for line := range strings.Lines(sources) {
		column := strings.Split(strings.TrimSpace(line), "\t")
		if name == "" || len(column) < 4 || column[1] != name {
			continue
		}
		format := strings.Fields(column[3])
		if len(format) != 3 {
			return served{}, false
		}
		channels, err1 := strconv.Atoi(strings.TrimSuffix(format[1], "ch"))
		rate, err2 := strconv.ParseUint(strings.TrimSuffix(format[2], "Hz"), 10, 32)
		if err1 != nil || err2 != nil || channels < 1 || channels > 255 || rate == 0 || rate > maxRate {
			return served{}, false
		}
		return served{rate: float64(rate), channels: channels, name: name}, true
	}
	return served{}, false
}
