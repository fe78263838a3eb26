package mic

import (
	"errors"
	"math"
	"testing"

	"pluckweigh/audio"
)

var inputsHere = []Device{
	{Name: "Built-in Microphone", HostAPI: "Core", Channels: 1, Rate: 44100},
	{Name: "USB Interface", HostAPI: "Core", Channels: 4, Rate: 96000, IsDefault: true},
	{Name: "USB Interface Loopback", HostAPI: "Core", Channels: 2, Rate: 48000},
	{Name: "Line", HostAPI: "MME", Channels: 2, Rate: 44100},
	{Name: "Line", HostAPI: "WASAPI", Channels: 2, Rate: 48000},
}

func TestFind(t *testing.T) {
	for _, c := range []struct {
		name string
		want string // full name, or empty for an error
		kind error
	}{
		{"", "USB Interface (Core)", nil},
		{"  ", "USB Interface (Core)", nil},
		{"built", "Built-in Microphone (Core)", nil},
		{"MICRO", "Built-in Microphone (Core)", nil},
		{"usb interface", "USB Interface (Core)", nil}, // a whole name wins
		{"usb", "", ErrNoMatch},
		{"loop", "USB Interface Loopback (Core)", nil},
		{"line", "", ErrNoMatch},
		{"line (wasapi)", "Line (WASAPI)", nil},
		{"mme", "Line (MME)", nil},
		{"bluetooth", "", ErrNoMatch},
	} {
		d, err := find(inputsHere, c.name)
		if !errors.Is(err, c.kind) || err == nil && d.String() != c.want {
			t.Errorf("%q: %v, %v", c.name, d, err)
		}
		var e *audio.Error
		if err != nil && (!errors.As(err, &e) || e.Hint() == "") {
			t.Errorf("%q: no hint in %v", c.name, err)
		}
	}
	if _, err := find(nil, ""); !errors.Is(err, ErrNoDevice) {
		t.Errorf("without devices: %v", err)
	}
	if _, err := find(inputsHere[:1], ""); !errors.Is(err, ErrNoDevice) {
		t.Errorf("without a default: %v", err)
	}
}

func TestChannelsFor(t *testing.T) {
	hardware := Device{HostAPI: "ALSA", Channels: 4}
	software := Device{HostAPI: "ALSA", Channels: 64}
	for _, c := range []struct {
		device  Device
		channel int
		want    int // 0 for an error
	}{
		{hardware, 0, 4}, {hardware, 1, 2}, {hardware, 3, 3}, {hardware, 5, 0},
		{Device{Channels: 1}, 0, 1}, {Device{Channels: 1}, 1, 1}, {Device{Channels: 1}, 2, 0},
		{software, 0, 1}, {software, 1, 2}, {software, 8, 8}, {software, 65, 0},
		{Device{HostAPI: "Core Audio", Channels: 64}, 0, 64},
		{software.servedBy(served{48000, 6, "in"}, true), 0, 6},
		{software.servedBy(served{48000, 1, "in"}, true), 2, 0},
	} {
		n, err := c.device.channelsFor(c.channel)
		if n != c.want || (err != nil) != (c.want == 0) || err != nil && !errors.Is(err, ErrNotOffered) {
			t.Errorf("%+v, channel %d: %d, %v", c.device, c.channel, n, err)
		}
	}
}

func TestServedBy(t *testing.T) {
	guess := Device{Name: "pulse", HostAPI: "ALSA", Channels: 32, Rate: 44100}
	if !guess.guessed() {
		t.Error("32 channels at 44.1 kHz are a guess")
	}
	for _, sure := range []Device{{HostAPI: "ALSA", Channels: 2, Rate: 44100}, {HostAPI: "ALSA", Channels: 128, Rate: 48000}, {HostAPI: "JACK Audio Connection Kit", Channels: 64, Rate: 44100}} {
		if sure.guessed() {
			t.Errorf("%+v is no guess", sure)
		}
	}
	if d := guess.servedBy(served{96000, 1, "in"}, true); d.Rate != 96000 || d.Channels != 1 || d.hardware() != "in" {
		t.Errorf("served: %+v", d)
	}
	if d := guess.servedBy(served{}, false); d.Rate != 48000 || d.Channels != 32 || d.hardware() != "pulse (ALSA)" {
		t.Errorf("not known: %+v", d)
	}
}

func TestOptionsCheck(t *testing.T) {
	for _, o := range []Options{{Rate: -1}, {Rate: math.NaN()}, {Rate: math.Inf(1)}, {Rate: 1e12}, {Channel: -1}} {
		if err := o.check(); !errors.Is(err, ErrNotOffered) {
			t.Errorf("%+v: %v", o, err)
		}
	}
	if err := (Options{Rate: 44100, Channel: 2}).check(); err != nil {
		t.Error(err)
	}
}
