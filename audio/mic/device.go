package mic

import (
	"fmt"
	"math"
	"strings"

	"pluckweigh/audio"
)

// A Device is a sound input.
type Device struct {
	Name      string  // as the system calls it
	HostAPI   string  // the sound system it belongs to, such as ALSA, Core Audio, Windows WASAPI
	Channels  int     // input channels, at most; what the sound server really has where it tells
	Rate      float64 // native sample rate in hertz, as far as the system tells
	IsDefault bool    // what Open takes when no name is given

	behind string // the sound server's name for what it takes sound from, where it told
	index  int    // PortAudio's number for it, good until the library is shut down
}

// String is the device's full name, which Open takes too.
func (d Device) String() string { return d.Name + " (" + d.HostAPI + ")" }

// hardware names what has the clock: what is behind a sound server, where that is
// known, since the server's own name stays when another device is plugged in.
func (d Device) hardware() string {
	if d.behind != "" {
		return d.behind
	}
	return d.String()
}

// ALSA devices with this many channels or more are taken to be no hardware but
// software that converts to whatever is asked for: PortAudio reports 32 for
// PulseAudio, 64 or 128 for PipeWire, 128 for ALSA's own plug.
const softwareChannels = 32

func (d Device) isSoftware() bool { return d.HostAPI == "ALSA" && d.Channels >= softwareChannels }

// guessed says that PortAudio does not know the device's native rate: it tries
// 44.1 kHz first, and takes it to be native when it is not refused.
func (d Device) guessed() bool { return d.isSoftware() && d.Rate == 44100 }

// servedBy corrects a guess by what the sound server says, or, when it says
// nothing (known is false), by what nearly all of today's hardware runs at.
func (d Device) servedBy(s served, known bool) Device {
	if !known {
		d.Rate = 48000
		return d
	}
	d.Rate, d.Channels, d.behind = s.rate, s.channels, s.name
	return d
}

// channelsFor is how many channels to open so that channel (as in Options) is
// among them and is not itself a mix.
func (d Device) channelsFor(channel int) (int, error) {
	switch {
	case channel > d.Channels:
		return 0, &audio.Error{
			What: fmt.Sprintf("sound input %q has no channel %d", d, channel),
			Do:   fmt.Sprintf("it has %d; leave the channel out to mix all", d.Channels),
			Err:  ErrNotOffered,
		}
	case channel > 0:
		// Asked for one channel, software would hand out a mix.
		return min(max(channel, 2), d.Channels), nil
	case d.isSoftware():
		return 1, nil // it mixes what it has, and only it knows how much that is
	}
	return d.Channels, nil
}

// Options say what to capture.
type Options struct {
	// Device is part of a device's name, or of its full name (see
	// [Device.String]), in any case. A whole name wins over a part of another.
	// Empty means the system's default input.
	Device string

	// Rate is the sample rate in hertz; 0 means the device's native rate, the
	// only one that is sure not to pass through a resampler.
	Rate float64

	// Channel is the channel to take, counted from 1; 0 means the mean of all.
	Channel int

	// Verbose lets through what the sound libraries write to C's standard error.
	Verbose bool
}

// maxRate is above what any sound device runs at, in hertz.
const maxRate = 1e6

// check refuses what no device can have.
func (o Options) check() error {
	if math.IsNaN(o.Rate) || o.Rate < 0 || o.Rate > maxRate {
		return &audio.Error{What: fmt.Sprintf("sample rate %g Hz is not possible", o.Rate), Do: "leave it out for the device's own", Err: ErrNotOffered}
	}
	if o.Channel < 0 {
		return &audio.Error{What: fmt.Sprintf("channel %d is not possible", o.Channel), Do: "count channels from 1; 0 mixes all", Err: ErrNotOffered}
	}
	return nil
}

// find picks the device that name means.
func find(devices []Device, name string) (Device, error) {
	if len(devices) == 0 {
		return Device{}, ErrNoDevice
	}
	want := strings.ToLower(strings.TrimSpace(name))
	var whole, part []Device
	for _, d := range devices {
		short, full := strings.ToLower(d.Name), strings.ToLower(d.String())
		switch {
		case want == "":
			if d.IsDefault {
				return d, nil
			}
		case want == full: // no two devices of one host API should share a name
			return d, nil
		case want == short:
			whole = append(whole, d)
		case strings.Contains(full, want):
			part = append(part, d)
		}
	}
	if want == "" {
		return Device{}, &audio.Error{What: "the system has no default sound input", Do: "name one of: " + names(devices), Err: ErrNoDevice}
	}
	found := whole
	if len(found) == 0 {
		found = part
	}
	switch len(found) {
	case 1:
		return found[0], nil
	case 0:
		return Device{}, &audio.Error{What: fmt.Sprintf("no sound input is called %q", name), Do: "there are: " + names(devices), Err: ErrNoMatch}
	}
	return Device{}, &audio.Error{What: fmt.Sprintf("%q could be any of %d sound inputs", name, len(found)), Do: "name one of: " + names(found), Err: ErrNoMatch}
}

// names lists the devices' full names.
func names(devices []Device) string {
	s := make([]string, len(devices))
	for i, d := range devices {
		s[i] = fmt.Sprintf("%q", d)
	}
	return strings.Join(s, ", ")
}
