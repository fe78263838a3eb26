// Package audio brings sound in as mono float64 samples, from a file, standard
// input, a microphone (package mic) or a synthetic string (package synth). It
// knows nothing of pitch.
package audio

import (
	"context"
	"errors"
	"time"
)

// ErrClosed is returned by Read after Close, and by a Read that Close interrupts.
var ErrClosed = errors.New("audio: source is closed")

// A Source delivers mono samples at one sample rate. Full scale is ±1; floating
// point material may exceed it. Every implementation passes
// audiotest.Conform.
//
// The contract of Read, whose only legal returns are these:
//
//	n > 0,  nil      the first n samples of dst are new, contiguous in time with
//	                 those before unless Flaws says otherwise, and within
//	                 ±MaxSample
//	n == 0, nil      only when len(dst) == 0
//	n == 0, io.EOF   the sound is over; every later Read says the same
//	n == 0, err      anything else: the source has failed and every later Read
//	                 returns the same error, except that after a cancelled
//	                 context (ctx.Err()) a later Read with a live context goes on
//	                 where this one stopped
//
// Read may deliver fewer samples than asked for, never fails with samples in
// hand, delivers none under a context that is over already, and returns within
// 2 s of a context's end, of Close, and of a device's death. dst beyond n is
// left alone. After Close, Read returns ErrClosed; what it says when an ended
// source is read under a context that is over, or is closed as well, may be
// either. Read is called by one goroutine at a time; Rate, Flaws and Close may
// be called from any.
type Source interface {
	// Rate is the sample rate in hertz, positive, constant for the source's life.
	Rate() float64

	// Read fills dst with up to len(dst) samples.
	Read(ctx context.Context, dst []float64) (n int, err error)

	// Flaws lists what is known to be wrong with the samples delivered so far,
	// by position, within what was delivered. Where there would be very many, one
	// flaw may stand for several and what lies between them. The slice is the
	// caller's.
	Flaws() []Flaw

	// Close frees what the source holds and wakes a waiting Read. Closing twice
	// is allowed and returns nil the second time.
	Close() error
}

// FlawKind says what happened to a stretch of samples.
type FlawKind int

const (
	Overrun   FlawKind = iota // samples were lost by the recording chain
	NotFinite                 // NaN or infinite in the material, delivered as 0
	Truncated                 // the file ends before its header says
	TooLarge                  // beyond MaxSample in the material, delivered as 0
	Cancelled                 // the channels are of opposite phase and cancel in their mean: one alone says more

	kinds // how many there are
)

// String names the kind in a word or two.
func (k FlawKind) String() string {
	switch k {
	case Overrun:
		return "overrun"
	case NotFinite:
		return "not finite"
	case Truncated:
		return "truncated"
	case TooLarge:
		return "too large"
	case Cancelled:
		return "cancelled"
	}
	return "unknown flaw"
}

// stretch tells whether a flaw of this kind is Len delivered samples long. The
// others are places between samples.
func (k FlawKind) stretch() bool { return k == NotFinite || k == TooLarge || k == Cancelled }

// A Flaw is a place in the delivered samples where something went wrong.
type Flaw struct {
	Kind FlawKind
	At   int64 // index of the first delivered sample concerned, from 0
	Len  int64 // samples concerned: damaged, or lost at At; 0 where unknown
}

// An Arrival is a moment at which a recorder handed samples over.
type Arrival struct {
	Samples int64         // handed over so far, these and known losses included
	At      time.Duration // by the system's clock, from any beginning
	Gap     bool          // before these samples were lost, unknown how many
}

// A Recorder is a Source that is a device: it has a name and a clock of its own.
type Recorder interface {
	Source

	// Device names the device as the user may, always the same for the same one.
	Device() string

	// Arrivals lists when samples came since it was last called, as far as is known.
	// It is called by the goroutine that calls Read.
	Arrivals() []Arrival
}
