package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"pluckweigh/audio"
	"pluckweigh/calib"
	"pluckweigh/detect"
)

// A recording is one take as it came in.
type recording struct {
	name    string // the file, "-" for standard input, "" where there is none
	rate    float64
	samples []float64
	packed  []float32 // in place of samples, of a part that waits; see compact
	flaws   []audio.Flaw
	cut     bool // it went on beyond what is kept
	gone    int  // samples from its beginning that are kept no longer

	clock  calib.Clock // of the recorder
	remark string      // why a calibration of its clock is not applied; may be empty
}

// seconds is how long it is.
func (r *recording) seconds() float64 { return float64(r.gone+len(r.samples)+len(r.packed)) / r.rate }

// mostSeconds bounds what is kept of a take: a stream may have no end.
const mostSeconds = 600

// recentSeconds is what is kept at least where a microphone is listened to for longer
// than that: no pluck that is being measured began before.
const recentSeconds = 60

// forget drops what is older than so many seconds, now and then.
func (r *recording) forget(seconds float64) {
	keep := int(seconds * r.rate)
	old := len(r.samples) - keep
	if old <= keep/4 {
		return
	}
	r.gone += old
	if recent := r.samples[old:]; cap(r.samples) > 2*keep {
		r.samples = slices.Clone(recent) // so that what rang long is not held for ever
	} else {
		r.samples = r.samples[:copy(r.samples, recent)] // what is to be measured has its own
	}
}

// compact is a part of what is heard live to be measured later, which keeps nothing of the
// rest. Such samples are those of a file of 32-bit floats, so that nothing is lost.
func (r *recording) compact() *recording {
	c := *r
	c.samples, c.packed = nil, converted[float32](r.samples)
	return &c
}

// whole undoes compact.
func (r *recording) whole() *recording {
	w := *r
	w.packed, w.samples = nil, converted[float64](r.packed)
	return &w
}

// converted are numbers as those of another size.
func converted[To, From float32 | float64](x []From) []To {
	out := make([]To, len(x))
	for i, v := range x {
		out[i] = To(v)
	}
	return out
}

// spent is what is left of a recording when its samples were measured.
func (r *recording) spent() *recording {
	s := *r
	s.gone += len(s.samples) + len(s.packed)
	s.samples, s.packed = nil, nil
	return &s
}

// Samples read at a time, in seconds: short where somebody watches.
const (
	liveChunk = 0.02
	fileChunk = 0.5
)

// record reads src into rec, w and show (the latter two may be nil) until the
// sound is over, it has been asked to stop or --seconds have passed. What was
// heard before an error is kept. Where nothing is shown live, p says how far it is.
func (e *ears) record(ctx context.Context, src audio.Source, rec *recording, w *audio.Writer, show *live, p *progress) error {
	chunk, longest := fileChunk, float64(mostSeconds)
	if show != nil {
		chunk = liveChunk
	}
	if e.endless {
		longest = math.MaxInt32
	}
	wanted := e.seconds > 0 && float64(e.seconds) <= longest
	if wanted {
		longest = float64(e.seconds)
	}
	most := longest * rec.rate
	buf := make([]float64, max(1, int(chunk*rec.rate)))
	defer func() { rec.flaws = src.Flaws() }()
	for {
		room := int(most) - rec.gone - len(rec.samples)
		if room <= 0 && wanted {
			return nil
		}
		n, err := src.Read(ctx, buf[:min(len(buf), max(room, 1))])
		switch {
		case err == io.EOF:
			return nil
		case errors.Is(err, context.Canceled) && (show != nil || rec.name == "-"):
			return nil // asked to stop: what was heard so far is the take
		case err != nil:
			return err
		case room <= 0:
			rec.cut = true
			return nil
		}
		got := buf[:n]
		if show != nil || w != nil {
			// What a file keeps is what is measured, so that it gives the same again.
			for i, v := range got {
				got[i] = float64(float32(v))
			}
		}
		rec.samples = append(rec.samples, got...)
		if e.endless {
			rec.forget(show.needs())
		}
		if w != nil {
			if err := w.Write(got); err != nil {
				return failure{err}
			}
		}
		if show == nil {
			p.read(rec)
		} else if err := show.push(got); err != nil {
			return unwritten{err}
		}
	}
}

// Codes of the doubts that come from the material, beside those of package detect.
const (
	notFinite  detect.Code = "not_finite"        // samples are NaN or infinite
	tooLarge   detect.Code = "too_large"         // samples are too large to be sound
	cancelled  detect.Code = "cancelled"         // the channels cancel each other
	truncated  detect.Code = "truncated"         // the file ends before its header says
	tooLong    detect.Code = "too_long"          // only the beginning was measured
	notApplied detect.Code = "clock_not_applied" // a calibration of the recorder's clock does not hold here
	// implausible is a result that no string could have.
	implausible detect.Code = "implausible"
)

// doubts are what is to be said of the material.
func (r *recording) doubts() []detect.Doubt {
	var out []detect.Doubt
	count, samples := map[audio.FlawKind]int{}, map[audio.FlawKind]int64{}
	for _, f := range r.flaws {
		count[f.Kind]++
		samples[f.Kind] += f.Len
	}
	for _, f := range []struct {
		kind audio.FlawKind
		code detect.Code
		say  string
	}{
		{audio.Overrun, detect.Overrun, "samples were lost in"},
		{audio.NotFinite, notFinite, "samples are NaN or infinite in"},
		{audio.TooLarge, tooLarge, "samples are too large to be sound in"},
	} {
		if n := count[f.kind]; n > 0 {
			out = append(out, detect.Doubt{Code: f.code, Say: fmt.Sprintf("%s %s of the take", f.say, places(n))})
		}
	}
	if n := samples[audio.Cancelled]; n > 0 {
		out = append(out, detect.Doubt{Code: cancelled, Say: fmt.Sprintf("the channels cancel each other for %.1f s of the take", float64(n)/r.rate)})
	}
	if count[audio.Truncated] > 0 {
		out = append(out, detect.Doubt{Code: truncated, Say: "the file ends before its header says: it is damaged or was not finished"})
	}
	if r.remark != "" {
		out = append(out, detect.Doubt{Code: notApplied, Say: r.remark})
	}
	if r.cut {
		out = append(out, detect.Doubt{Code: tooLong, Say: fmt.Sprintf("only the first %d minutes were measured", mostSeconds/60)})
	}
	return out
}

func places(n int) string {
	if n == 1 {
		return "one place"
	}
	return fmt.Sprintf("%d places", n)
}

// damaged are the stretches that must not be measured. Before the end of a file
// that was cut off, and where channels cancel, the samples are what they should be:
// what the channels leave of each other may be a string still.
func (r *recording) damaged() []detect.Flaw {
	var out []detect.Flaw
	for _, f := range r.flaws {
		switch f.Kind {
		case audio.Overrun, audio.NotFinite, audio.TooLarge:
			out = append(out, detect.Flaw{At: f.At, Len: f.Len})
		}
	}
	return out
}

// part is the recording from one time to another, in seconds, as far as it is kept.
func (r *recording) part(from, to float64) *recording {
	all := r.gone + len(r.samples)
	a := min(max(r.gone, int(from*r.rate)), all)
	b := min(max(a, int(to*r.rate)), all)
	p := &recording{rate: r.rate, clock: r.clock, samples: r.samples[a-r.gone : b-r.gone]}
	for _, f := range r.flaws {
		if f.At+f.Len >= int64(a) && f.At < int64(b) {
			f.At -= int64(a)
			p.flaws = append(p.flaws, f)
		}
	}
	return p
}
