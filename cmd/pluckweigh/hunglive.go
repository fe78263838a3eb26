package main

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"sync"

	"pluckweigh/physics"
)

// listen asks for each load in turn and hears the pluck under it.
func (h *hanging) listen(ctx context.Context, loads hangs, print func(*answer) error) ([]taken, error) {
	h.e.judge = judge{late: true, many: true}
	defer func(save string) { h.e.save, h.e.plucked, h.e.ready = save, nil, nil }(h.e.save)
	base, overwrite := h.e.save, h.e.overwrite
	for i, x := range loads {
		// Said before anything is hung, not when the last load is.
		if name := keptAs(base, i+1, x.load); base != "" && !overwrite && exists(name) {
			return nil, existsAlready(name)
		}
	}
	var out []taken
	for i, x := range loads {
		// Nobody is to hang anything before there is a microphone that listens.
		h.e.ready = sync.OnceFunc(func() {
			fmt.Fprintf(h.e.err, "load %d of %d: %s %s, let it come to rest, then pluck\n", i+1, len(loads), h.does(), x.load)
		})
		h.e.overwrite = overwrite
		if base != "" {
			h.e.save = keptAs(base, i+1, x.load)
		}
		for {
			t, again, err := h.underLoad(ctx, x, out, print)
			if err != nil {
				return nil, err
			}
			if !again {
				out = append(out, t)
				break
			}
			h.e.overwrite = true // what was heard was not under this load
		}
	}
	return out, nil
}

// underLoad listens for one pluck that can be trusted. It is to be called again
// where the string still sounded as under the load before.
func (h *hanging) underLoad(ctx context.Context, x hung, before []taken, print func(*answer) error) (t taken, again bool, err error) {
	one, stop := context.WithCancel(ctx)
	defer stop()
	heard := false
	h.e.plucked = func() {
		heard = true
		stop()
	}
	var a *answer
	a, err = h.e.tell(one, "", "", func(b *answer) error {
		if again = h.unchanged(x, b, before); again {
			return nil // no take under this load: the next is printed
		}
		return print(b)
	})
	switch {
	case ctx.Err() != nil:
		return t, false, ctx.Err()
	case again:
		fmt.Fprintf(h.e.err, "that sounded as under %s: %s %s, then pluck\n", before[len(before)-1].load, h.does(), x.load)
		return t, true, nil
	case err != nil && exitCode(err) != codeUntrusted:
		return t, false, err
	case err != nil && heard:
		fmt.Fprintln(h.e.err, "that cannot be trusted after all: pluck again")
		return t, true, nil
	}
	report(h.e.err, err)
	return taken{x, a, err}, false, nil
}

// does is what is to be done to have the next load hang.
func (h *hanging) does() string {
	if h.taking {
		return "take off all but"
	}
	return "hang"
}

// unchanged tells whether the string still sounds as under the load before.
func (h *hanging) unchanged(x hung, a *answer, before []taken) bool {
	if len(before) == 0 || a.take.Reading == nil {
		return false
	}
	last := before[len(before)-1]
	if last.err != nil || !physics.Different([]physics.Load{last.load, x.load}, h.gravity.Value) {
		return false
	}
	return physics.StillUnder(physics.Frequency(last.answer.take.Reading.F0.V), physics.Frequency(a.take.Reading.F0.V),
		last.load.Pull(h.gravity.Value).Value, x.load.Pull(h.gravity.Value).Value)
}

// keptAs names the file that keeps what was heard under a load: take.wav becomes
// take-1-2kg.wav.
func keptAs(save string, number int, load physics.Load) string {
	ext := filepath.Ext(save)
	return fmt.Sprintf("%s-%d-%s%s", strings.TrimSuffix(save, ext), number, load, ext)
}
