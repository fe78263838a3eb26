package main

import (
	"fmt"
	"math"
	"slices"
	"sync"
	"time"

	"pluckweigh/audio"
	"pluckweigh/detect"
)

// before is how much is measured along before a pluck's onset, s: what the sound
// was before it tells noise from string.
const before = 0.3

// An audience is told what a live recording has in it, in place of its being printed: of
// a pluck twice where it is measured while it rings, and once more when it is over.
type audience interface {
	soon() float64 // s after which a pluck is measured while it rings
	enough() bool  // one that was, and can be trusted, is not to be measured once more
	// turn waits until it is its turn that something is measured, for which somebody waits
	// or not, and returns how to give that back; hurry says that somebody waits by now.
	turn(soon bool) (done func())
	hurry()
	now(detect.Now)
	plucked(measured, detect.Pluck)
	failed(error)
}

// every is the time between two signs of life.
const every = 100 * time.Millisecond

// live follows a recording that is still coming in.
type live struct {
	e       *ears
	rec     *recording
	tracker *detect.Tracker
	flaws   func() []audio.Flaw
	line    *statusLine
	shown   float64 // s, when something was last shown

	queue *pluckQueue // plucks to be measured
	done  chan measured
	count int // plucks so far
	last  int // number of the last that was told when it was over

	mu    sync.Mutex
	early map[int]measured // what was measured of plucks while they rang, by their numbers, for an audience

	began  float64 // s, where the pluck began that is to be measured soon; 0 for none
	rang   bool    // a pluck did at the last push
	sooner float64 // s, onset of the last one that was measured while it rang
	enough float64 // s, likewise, of the last of those that can be trusted
	over   float64 // s, onset of the last one that was measured when it was over; -1 for none
}

// ringing is a pluck to be measured.
type ringing struct {
	rec    *recording
	from   float64 // s, where rec lies in the take
	onset  float64 // s, in the take
	number int
	at     time.Time // of the onset, as far as the sound came without delay
	soon   bool      // it still rings
}

// measured is what came of it.
type measured struct {
	ringing
	answer *answer
	err    error
}

// newLive begins to follow rec, of which flaws tells the flaws so far. It must be
// ended.
func newLive(e *ears, rec *recording, flaws func() []audio.Flaw, line *statusLine) *live {
	l := &live{e: e, rec: rec, flaws: flaws, tracker: detect.NewTracker(rec.rate), line: line, shown: -every.Seconds(), over: -1,
		queue: newPluckQueue(), done: make(chan measured, 64), early: map[int]measured{}}
	// Measuring must not keep the sound waiting.
	go func() {
		defer close(l.done)
		l.work()
	}()
	if e.watching != nil {
		return l // it says so itself
	}
	until := "Ctrl-C ends it"
	if e.seconds > 0 {
		until = fmt.Sprintf("it ends after %s s, or with Ctrl-C", &e.seconds)
	}
	fmt.Fprintf(e.err, "listening at %g Hz: pluck the string and let it ring; %s\n", rec.rate, until)
	return l
}

// push takes in what has just been added to the recording. It fails when what it
// has to show cannot be written.
func (l *live) push(x []float64) error {
	now := l.tracker.Push(nil)
	next := false // another pluck has begun
	for piece := range slices.Chunk(x, max(1, int(l.rec.rate*noticed))) {
		before := now.Seconds
		now = l.tracker.Push(piece)
		for from, to, ok := l.tracker.Next(); ok; from, to, ok = l.tracker.Next() {
			l.measure(from, to, false)
			// A pluck that has said enough rings on, and is no other.
			next = next || now.Ringing && to < before
		}
	}
	l.hurry(now, next)
	for more := true; more; {
		select {
		case m := <-l.done:
			l.tell(m)
		default:
			more = false
		}
	}
	if now.Seconds-l.shown >= every.Seconds() {
		l.shown = now.Seconds
		return l.show(now)
	}
	return nil
}

const (
	noticed   = 0.01 // s, less than it takes a tracker to notice an onset: one that ends a pluck lies before
	onsetOff  = 0.05 // s by which a pluck began before that was noticed
	samePluck = 0.2  // s within which two onsets are one
)

// hurry has a pluck measured while it rings, where that is wanted.
func (l *live) hurry(now detect.Now, next bool) {
	switch {
	case l.soon() == 0:
	case l.e.audience != nil && l.rang && now.Ringing && now.Seconds-l.onset() >= longestHeld && !l.measured(l.onset()):
		l.measure(l.onset(), now.Seconds, false) // as it is by now: no more of it is kept
	case !now.Ringing:
		l.began = 0
	case !l.rang || next:
		l.began = max(now.Seconds-onsetOff, 1e-9)
	case l.began > 0 && now.Seconds-l.began >= l.soon():
		l.measure(l.began, now.Seconds, true)
		l.sooner, l.began = l.began, 0
	}
	l.rang = now.Ringing
}

// soon is after how many seconds a pluck is measured while it rings; 0 for never.
func (l *live) soon() float64 {
	if l.e.audience != nil {
		return l.e.audience.soon()
	}
	return l.e.soon
}

// onset is that of the pluck that rings, s.
func (l *live) onset() float64 {
	if l.began > 0 {
		return l.began
	}
	return l.sooner
}

// measured tells whether a pluck was measured when it was over.
func (l *live) measured(onset float64) bool { return math.Abs(onset-l.over) <= samePluck }

// What is kept of the sound for an audience, s: there may be many at once.
const (
	longestHeld = 8.0 // of a pluck that rings: more than is measured of one
	idleHeld    = 2.0 // where none does: more than lies before a pluck that is just noticed
)

// needs is how much of the sound so far may still be measured, s; l is nil where nothing
// is shown.
func (l *live) needs() float64 {
	switch {
	case l == nil || l.e.audience == nil:
		return recentSeconds
	case l.rang:
		return longestHeld + idleHeld
	}
	return idleHeld
}

// measure has a pluck measured that rang from one time to another.
func (l *live) measure(from, to float64, soon bool) {
	if l.e.audience != nil && l.measured(from) {
		return
	}
	start := max(0, from-before)
	l.rec.flaws = l.flaws()
	if l.sooner == 0 || math.Abs(from-l.sooner) > samePluck {
		l.count++
	}
	if !soon {
		l.over = from
	}
	ago := time.Duration((l.rec.seconds() - from) * float64(time.Second))
	r := ringing{l.rec.part(start, to).compact(), start, from, l.count, time.Now().Add(-ago), soon}
	most := 0
	if l.e.audience != nil {
		most = mostOver
	}
	if left, full := l.queue.put(r, most); full {
		l.leave(left)
	}
	if most > 0 && l.urgent(r) {
		l.e.audience.hurry()
	}
}

// end waits for what is being measured. It leaves a line on the terminal that
// says so for what follows.
func (l *live) end() {
	const wait = "measuring what was heard"
	if l.e.audience != nil && l.rang { // no more will be heard of it
		l.measure(l.onset(), l.rec.seconds(), false)
	}
	l.queue.end()
	l.line.set(wait)
	for m := range l.done {
		l.tell(m)
		l.line.set(wait)
	}
}

// show shows what is heard at the moment.
func (l *live) show(now detect.Now) error {
	if l.e.audience != nil {
		l.e.audience.now(now)
		return nil
	}
	if w := l.e.watching; w != nil {
		w.now(now, l.e.reference.hz)
		return nil
	}
	if l.e.json {
		return writeLine(l.e.out, lively{newLiveJSON(now, l.e.reference.hz)})
	}
	pitch := "-"
	if note, ok := noteNow(now, l.e.reference.hz); ok {
		pitch = fmt.Sprintf("%s %+.0f cents  %.1f Hz", note.Name(), note.Cents, now.Hz)
	}
	l.line.set(fmt.Sprintf("%6.1f s  %4.0f dB %s  %s", now.Seconds, now.LevelDB, levelBar(now.LevelDB), pitch))
	return nil
}

// levelBar draws a level from −60 dB to full scale.
func levelBar(db float64) string {
	const cells = 20
	bar := make([]byte, cells)
	for i := range bar {
		bar[i] = ' '
		if db > -60+60*float64(i)/cells {
			bar[i] = '='
		}
	}
	return "[" + string(bar) + "]"
}
