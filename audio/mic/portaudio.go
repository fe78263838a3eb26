//go:build cgo && !nomic

package mic

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/gordonklaus/portaudio"

	"pluckweigh/audio"
)

const (
	openBound  = 10 * time.Second       // slow drivers and Bluetooth take seconds
	closeBound = time.Second            // within the 2 s that audio.Source allows
	firstCall  = 3 * time.Second        // from a stream's start to its first samples
	latency    = 100 * time.Millisecond // of the device's buffer, at least: reading late must not lose samples
)

// usualRates are tried when the rate asked for is refused, in hertz.
var usualRates = []float64{8000, 11025, 16000, 22050, 32000, 44100, 48000, 88200, 96000, 176400, 192000, 352800, 384000}

// Devices lists the sound inputs. It is not an error that there is none. verbose
// lets through what the sound libraries write to C's standard error, which often
// says why a device is missing.
func Devices(ctx context.Context, verbose bool) ([]Device, error) {
	return call(ctx, openBound, func() ([]Device, error) {
		if err := start(verbose); err != nil {
			return nil, err
		}
		defer stop()
		return inputs(ctx)
	}, func([]Device) {})
}

// Open starts the capture and returns when the first samples have come. It
// fails with an error that is one of this package's kinds, or the context's.
func Open(ctx context.Context, o Options) (audio.Source, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	c, err := call(ctx, openBound, func() (*capture, error) { return open(ctx, o) }, (*capture).shut)
	if err != nil {
		return nil, err
	}
	s := newSource(c.in, c.rate, c.channel, c.release)
	s.device = c.device.hardware()
	if err := c.wait(ctx); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

// A capture is a running stream.
type capture struct {
	device  Device
	stream  *portaudio.Stream
	in      *intake
	rate    float64
	channel int // as in Options, among those opened
}

// open starts PortAudio and in it a stream. To be called in turn.
func open(ctx context.Context, o Options) (_ *capture, err error) {
	if err := start(o.Verbose); err != nil {
		return nil, err
	}
	defer func() {
		if err != nil {
			stop()
		}
	}()
	devices, err := inputs(ctx)
	if err != nil {
		return nil, err
	}
	d, err := find(devices, o.Device)
	if err != nil {
		return nil, err
	}
	channels, err := d.channelsFor(o.Channel)
	if err != nil {
		return nil, err
	}
	rate := o.Rate
	if rate == 0 {
		rate = d.Rate
	}
	infos, err := portaudio.Devices()
	if err != nil {
		return nil, err
	}
	info := infos[d.index]
	p := portaudio.StreamParameters{
		Input: portaudio.StreamDeviceParameters{
			Device:   info,
			Channels: channels,
			Latency:  max(latency, info.DefaultHighInputLatency),
		},
		SampleRate: rate,
		// With the buffer's length left to PortAudio an overflow is reported with
		// the first frame after the loss, which gives its place.
		FramesPerBuffer: portaudio.FramesPerBufferUnspecified,
		Flags:           portaudio.ClipOff | portaudio.DitherOff, // samples as they are
	}
	in := newIntake(channels, rate)
	stream, err := portaudio.OpenStream(p, func(buf []float32, _ portaudio.StreamCallbackTimeInfo, flags portaudio.StreamCallbackFlags) {
		in.take(buf, flags&portaudio.InputOverflow != 0)
	})
	if err != nil {
		return nil, refused(d, p, err)
	}
	if i := stream.Info(); i != nil && i.SampleRate > 0 {
		rate = i.SampleRate // what the hardware says it really runs at
	}
	if err := stream.Start(); err != nil {
		stream.Close()
		return nil, refused(d, p, err)
	}
	return &capture{device: d, stream: stream, in: in, rate: rate, channel: o.Channel}, nil
}

// wait returns once the device has delivered.
func (c *capture) wait(ctx context.Context) error {
	tick := time.NewTicker(poll)
	defer tick.Stop()
	for waited := time.Duration(0); waited < firstCall; waited += poll {
		if c.in.calls.Load() > 0 {
			return nil
		}
		select {
		case <-tick.C:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return &audio.Error{
		What: fmt.Sprintf("sound input %q was opened but delivers nothing", c.device),
		Do:   "plug it in again, or take another one; see `pluckweigh devices`",
		Err:  ErrDied,
	}
}

// shut ends the stream and PortAudio's use. To be called in turn. Stop, not
// Abort: that cancels PortAudio's thread, which may be inside the callback.
func (c *capture) shut() {
	c.stream.Stop() // fails when the device is gone; Close frees it all the same
	c.stream.Close()
	stop()
}

// release is shut for any caller.
func (c *capture) release() error {
	_, err := call(context.Background(), closeBound, func() (struct{}, error) {
		c.shut()
		return struct{}{}, nil
	}, func(struct{}) {})
	return err
}

// refused says why a stream could not be had: the rate, if others work.
func refused(d Device, p portaudio.StreamParameters, cause error) error {
	var works []string
	offered := false
	for _, r := range usualRates {
		q := p
		q.SampleRate = r
		if portaudio.IsFormatSupported(q, func([]float32) {}) == nil {
			works = append(works, strconv.FormatFloat(r, 'g', -1, 64))
			offered = offered || r == p.SampleRate
		}
	}
	if len(works) > 0 && !offered {
		return &audio.Error{
			What: fmt.Sprintf("sound input %q does not offer a sample rate of %g Hz", d, p.SampleRate),
			Do:   "rates that work, in hertz: " + strings.Join(works, ", "),
			Err:  ErrNotOffered,
		}
	}
	return &audio.Error{
		What: fmt.Sprintf("sound input %q cannot be opened: %v", d, cause),
		Do:   "it may be unplugged, in use by another program, or not permitted to this one",
		Err:  ErrNoDevice,
	}
}

// inputs lists the devices that have an input. To be called in turn.
func inputs(ctx context.Context) ([]Device, error) {
	infos, err := portaudio.Devices()
	if err != nil {
		return nil, &audio.Error{What: fmt.Sprintf("the sound library cannot list its devices: %v", err), Err: ErrCannotStart}
	}
	standard, err := portaudio.DefaultInputDevice()
	if err != nil && !errors.Is(err, portaudio.NoDefaultInputDevice) {
		return nil, &audio.Error{What: fmt.Sprintf("the sound library cannot name its default input: %v", err), Err: ErrCannotStart}
	}
	var devices []Device
	for _, i := range infos {
		if i.MaxInputChannels < 1 {
			continue
		}
		devices = append(devices, Device{
			Name:      i.Name,
			HostAPI:   i.HostApi.Name,
			Channels:  i.MaxInputChannels,
			Rate:      i.DefaultSampleRate,
			IsDefault: i == standard,
			index:     i.Index,
		})
	}
	if slices.ContainsFunc(devices, Device.guessed) {
		server, ok := askServer(ctx)
		for i, d := range devices {
			if d.guessed() {
				devices[i] = d.servedBy(server, ok)
			}
		}
	}
	return devices, nil
}
