package audio

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
)

// What WAV and FLAC files are accepted.
const (
	MinFileRate     = 8_000   // Hz
	MaxFileRate     = 384_000 // Hz
	MaxFileChannels = 32
)

// Options say how a file or stream becomes mono.
type Options struct {
	// Channel is the channel to take, from 1. Zero takes the mean of all.
	Channel int
}

// Open opens a WAV or FLAC file. What a file is shows in its content, whatever
// its name. It is decoded as it is read, so that its size does not matter.
//
// WAV: 8, 16, 24 and 32-bit integer and 32 and 64-bit floating point, RIFF,
// RF64 and BW64; of fewer valid bits than the container has, the upper ones count.
// FLAC: 4 to 31 bits (32 are beyond the library that decodes it). All other files
// are refused with an *Error, lossy ones because lossy coding moves partials.
//
// Samples that are not finite or beyond ±MaxSample are delivered as 0 and are a
// flaw; those of less than 2^-149, the least that 32-bit floating point holds, are
// delivered as 0. Channels that cancel in the mean of all are a flaw as well.
func Open(path string, o Options) (Source, error) {
	return OpenContext(context.Background(), path, o)
}

// OpenContext is Open for a path that may make it wait, as a named pipe does:
// it gives up when ctx ends. The context has no part in reading.
func OpenContext(ctx context.Context, path string, o Options) (Source, error) {
	type opened struct {
		f   *os.File
		err error
	}
	result := make(chan opened) // unbuffered: a file is either taken or closed
	go func() {
		f, err := openFile(path)
		select {
		case result <- opened{f, err}:
		case <-ctx.Done():
			if f != nil {
				f.Close()
			}
		}
	}()
	select {
	case r := <-result:
		if r.err != nil {
			return nil, r.err
		}
		return start(ctx, path, r.f, r.f, o)
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// NewReader returns a source of the WAV or FLAC stream r, such as standard
// input, under the rules of Open. It waits for the stream's header.
//
// The source never closes r, and it may have read further than what it has
// delivered. A Read of r that blocks keeps neither Read nor Close waiting, but
// one goroutine, until it returns.
func NewReader(r io.Reader, o Options) (Source, error) {
	return NewReaderContext(context.Background(), r, o)
}

// NewReaderContext is NewReader, giving up when ctx ends before the stream's
// header has come. The context has no part in reading.
func NewReaderContext(ctx context.Context, r io.Reader, o Options) (Source, error) {
	name := "stream"
	if f, ok := r.(interface{ Name() string }); ok {
		name = f.Name()
	}
	if r == io.Reader(os.Stdin) {
		name = "standard input"
	}
	return start(ctx, name, r, nil, o)
}

// openFile opens what may hold sound at path.
func openFile(path string) (*os.File, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, pathError(path, err)
	}
	info, err := f.Stat()
	if err == nil && info.IsDir() {
		err = &Error{Name: path, What: "is a directory", Do: "name a WAV or FLAC file in it"}
	} else if err != nil {
		err = pathError(path, err)
	}
	if err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}

// pathError words what the operating system says about path.
func pathError(path string, err error) *Error {
	e := &Error{Name: path, Err: err}
	var cause *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		e.What, e.Do = "no such file", "check the name and the folder"
	case errors.Is(err, fs.ErrPermission):
		e.What, e.Do = "permission denied", "check who may use the file and its folder"
	case errors.As(err, &cause):
		e.What = cause.Err.Error()
	default:
		e.What = err.Error()
	}
	return e
}

// A decoder turns the bytes of one stream into samples, of the channel chosen or
// of all. They need not be finite: the stream sees to that.
type decoder interface {
	rate() float64
	channels() int // how many are delivered

	// decode fills the channels of dst, all of one length, with up to so many
	// samples each, as they come. It returns n > 0 and nil, or 0 and an error:
	// io.EOF at the end of the sound, and errTruncated where the file ends before
	// its header says. After an error it is not called again.
	decode(dst [][]float64) (n int, err error)
}

// errTruncated ends a stream which lacks samples at its end.
type errTruncated struct {
	missing int64 // samples; 0 where unknown
}

func (e errTruncated) Error() string { return fmt.Sprintf("%d samples are missing", e.missing) }

// newDecoder reads the header of r.
func newDecoder(r io.Reader, o Options) (decoder, error) {
	br := bufio.NewReaderSize(r, 64<<10)
	format, err := sniff(br)
	if err != nil {
		return nil, err
	}
	if format == flacFile {
		return newFLAC(br, o)
	}
	return newWAV(br, o)
}

// checkShape refuses what cannot be a sound recording, or not one of channel.
func checkShape(rate int64, channels, channel int) error {
	if rate < MinFileRate || rate > MaxFileRate {
		return &Error{
			What: fmt.Sprintf("sample rate of %d Hz is outside %d to %d Hz", rate, MinFileRate, MaxFileRate),
			Do:   "record at 44100 or 48000 Hz",
		}
	}
	if channels < 1 || channels > MaxFileChannels {
		return &Error{
			What: fmt.Sprintf("%d channels are outside 1 to %d", channels, MaxFileChannels),
			Do:   "record one or two channels",
		}
	}
	if channel < 0 || channel > channels {
		return &Error{
			What: fmt.Sprintf("there is no channel %d: the sound has %d", channel, channels),
			Do:   channelHint(channels),
		}
	}
	return nil
}

// channelHint says which channels there are to choose from.
func channelHint(channels int) string {
	if channels == 1 {
		return "it has one channel: leave the choice out"
	}
	return fmt.Sprintf("choose a channel from 1 to %d, or 0 for the mean of all", channels)
}
