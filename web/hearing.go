package web

import (
	"context"
	"time"

	"pluckweigh/audio"
)

// sound takes in what the browser recorded, at the pace of a recording.
func (t *talk) sound(ctx context.Context, b []byte) error {
	if t.feed == nil {
		return nil // it was on its way when the listening ended
	}
	recorded := time.Duration(float64(t.feed.sent) / t.feed.rate * float64(time.Second))
	if recorded > time.Since(t.began)+ahead {
		return problem{Trouble{Say: "more sound came than can have been recorded"}}
	}
	if err := t.feed.send(ctx, b); err != nil {
		return problem{TroubleOf(err)}
	}
	return nil
}

// start begins to listen.
func (t *talk) start(ctx context.Context, s start) error {
	if t.done != nil {
		select {
		case <-t.done:
		default:
			return problem{Trouble{Say: "it is listening already", Hint: "stop it first"}}
		}
	}
	open, err := t.open(s)
	if err != nil {
		return err
	}
	hearing, cancel := context.WithCancel(ctx)
	t.cancel, t.done = cancel, make(chan struct{})
	go func(done chan struct{}) {
		defer close(done)
		defer cancel()
		if err := t.hear(hearing, s.From, open); err != nil {
			t.out.Result(troubled{TroubleOf(err)})
		}
		t.out.Result(listening{})
	}(t.done)
	return nil
}

// open says how to open the microphone that is meant.
func (t *talk) open(s start) (func(context.Context) (audio.Source, error), error) {
	t.feed = nil
	switch {
	case s.From == "browser" && !(s.Rate >= audio.MinFileRate && s.Rate <= audio.MaxFileRate):
		return nil, problem{Trouble{Say: "the browser's microphone has a sample rate that cannot be used", Hint: "choose another microphone"}}
	case s.From == "browser":
		f := newFeed(s.Rate)
		t.feed, t.began = f, time.Now()
		return func(context.Context) (audio.Source, error) { return f, nil }, nil
	case s.From == "machine" && (t.s.o.OpenMic == nil || t.role != owner):
		return nil, problem{Trouble{Say: "this machine's microphone cannot be used", Hint: "use the browser's"}}
	case s.From == "machine" && len(s.Name) > longestTyped:
		return nil, problem{Trouble{Say: "the name of the sound input is too long", Hint: "part of it is enough"}}
	case s.From == "machine":
		return func(ctx context.Context) (audio.Source, error) { return t.s.o.OpenMic(ctx, s.Name) }, nil
	}
	return nil, problem{Trouble{Say: "there is no such microphone", Hint: "choose that of the browser or of the machine"}}
}

// hear hears a microphone to its end.
func (t *talk) hear(ctx context.Context, from string, open func(context.Context) (audio.Source, error)) error {
	src, err := open(ctx)
	if err != nil {
		return err
	}
	defer src.Close()
	on := listening{Listening: true, From: from, Rate: src.Rate()}
	if r, ok := src.(audio.Recorder); ok {
		on.Device = r.Device()
	}
	t.out.Result(on)
	return t.ears.Hear(ctx, src)
}

// stop ends the hearing, if there is one: what has come is heard to its end.
func (t *talk) stop() {
	switch {
	case t.feed != nil:
		t.feed.end(nil)
		t.feed = nil
	case t.cancel != nil:
		t.cancel()
	}
}

// leave ends the hearing of a page that is gone, and waits for it.
func (t *talk) leave() {
	if t.done != nil {
		t.cancel()
		<-t.done
	}
}
