package main

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"pluckweigh/audio"
	"pluckweigh/detect"
	"pluckweigh/physics"
)

// before is how much is measured along before a pluck's onset, s: what the sound
// was before it tells noise from string.
const before = 0.3

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

	jobs  chan ringing
	done  chan measured
	count int // plucks so far

	began  float64 // s, where the pluck began that is to be measured soon; 0 for none
	rang   bool    // a pluck did at the last push
	sooner float64 // s, onset of the last one that was measured while it rang
	enough float64 // s, likewise, of the last of those that can be trusted
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
	l := &live{e: e, rec: rec, flaws: flaws, tracker: detect.NewTracker(rec.rate), line: line, shown: -every.Seconds(),
		jobs: make(chan ringing, 64), done: make(chan measured, 64)}
	// Measuring must not keep the sound waiting.
	go func() {
		defer close(l.done)
		defer e.unwatch() // of use only where it panics
		for r := range l.jobs {
			a, err := e.measure(r.rec)
			l.done <- measured{r, a, err}
		}
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
	now := l.tracker.Push(x)
	next := false // another pluck has begun
	for from, to, ok := l.tracker.Next(); ok; from, to, ok = l.tracker.Next() {
		l.measure(from, to, false)
		next = now.Ringing && now.Seconds-to < pluckedLately
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
	pluckedLately = 0.1  // s within which a pluck has just begun
	onsetOff      = 0.05 // s by which it began before that was noticed
	samePluck     = 0.2  // s within which two onsets are one
)

// hurry has a pluck measured while it rings, where that is wanted.
func (l *live) hurry(now detect.Now, next bool) {
	switch {
	case l.e.soon == 0:
	case !now.Ringing:
		l.began = 0
	case !l.rang || next:
		l.began = max(now.Seconds-onsetOff, 1e-9)
	case l.began > 0 && now.Seconds-l.began >= l.e.soon:
		l.measure(l.began, now.Seconds, true)
		l.sooner, l.began = l.began, 0
	}
	l.rang = now.Ringing
}

// measure has a pluck measured that rang from one time to another.
func (l *live) measure(from, to float64, soon bool) {
	start := max(0, from-before)
	l.rec.flaws = l.flaws()
	if l.sooner == 0 || math.Abs(from-l.sooner) > samePluck {
		l.count++
	}
	ago := time.Duration((l.rec.seconds() - from) * float64(time.Second))
	r := ringing{l.rec.part(start, to), start, from, l.count, time.Now().Add(-ago), soon}
	for {
		select {
		case l.jobs <- r:
			return
		case m := <-l.done:
			l.tell(m)
		}
	}
}

// end waits for what is being measured. It leaves a line on the terminal that
// says so for what follows.
func (l *live) end() {
	const wait = "measuring what was heard"
	close(l.jobs)
	l.line.set(wait)
	for m := range l.done {
		l.tell(m)
		l.line.set(wait)
	}
}

// liveJSON is a sign of life: Pluck is there when one has been measured.
type liveJSON struct {
	Seconds *float64 `json:"seconds"`
	Level   *float64 `json:"level_db"`
	Hz      *float64 `json:"hz"`
	Note    *string  `json:"note"`
	Cents   *float64 `json:"cents"`
}

type livePluckJSON struct {
	Pluck      pluckJSON       `json:"pluck"`
	Survey     any             `json:"survey,omitempty"`
	Tension    *tensionJSON    `json:"tension,omitempty"`
	UnitWeight *unitWeightJSON `json:"unit_weight,omitempty"`
}

// lively keeps signs of life apart from the answer on a take.
type lively struct {
	Live any `json:"live"`
}

// show shows what is heard at the moment.
func (l *live) show(now detect.Now) error {
	if w := l.e.watching; w != nil {
		w.now(now, l.e.reference.hz)
		return nil
	}
	note, err := physics.NearestNote(physics.Frequency(now.Hz), l.e.reference.hz)
	pitched := now.Hz > 0 && err == nil
	if l.e.json {
		j := liveJSON{Seconds: finite(now.Seconds), Level: finite(now.LevelDB)}
		if pitched {
			name := note.Name()
			j.Hz, j.Note, j.Cents = finite(now.Hz), &name, finite(note.Cents)
		}
		return writeLine(l.e.out, lively{j})
	}
	pitch := "-"
	if pitched {
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

// tell prints what came of measuring a pluck.
func (l *live) tell(m measured) {
	if m.err != nil {
		l.line.clear()
		report(l.e.err, m.err)
		return
	}
	if len(m.answer.take.Plucks) == 0 {
		return // no pluck after all
	}
	// The end of the one before and the beginning of the next may be there too.
	p := slices.MinFunc(m.answer.take.Plucks, func(p, q detect.Pluck) int {
		return cmp.Compare(math.Abs(p.Start+m.from-m.onset), math.Abs(q.Start+m.from-m.onset))
	})
	if m.soon && p.Trusted {
		l.enough = m.onset
	} else if m.soon || l.enough > 0 && math.Abs(m.onset-l.enough) < samePluck {
		return // it is measured again when it is over, or was measured before
	}
	if l.e.each != nil {
		l.e.each(m, p)
	}
	if w := l.e.watching; w != nil {
		w.plucked(m, p)
	}
	if l.e.plucked != nil && p.Trusted && m.answer.trusted() {
		l.e.plucked()
	}
	if l.e.json {
		j := livePluckJSON{Pluck: newPluckJSON(p, m.from)}
		switch m.answer.kind {
		case ofTension:
			j.Tension = newTensionJSON(m.answer.figure)
		case ofUnitWeight, ofIdentity:
			j.UnitWeight = newUnitWeightJSON(m.answer.figure)
		}
		if l.e.told != nil {
			_, j.Survey = l.e.told()
		}
		writeLine(l.e.out, lively{j})
		return
	}
	l.line.clear()
	say := m.answer.brief(p)
	if l.e.told != nil && p.Trusted {
		say, _ = l.e.told()
	}
	fmt.Fprintf(l.e.out, "pluck %d at %.1f s: %s\n", m.number, m.onset, say)
}

// brief says in a line what a pluck came to.
func (a *answer) brief(p detect.Pluck) string {
	if !p.Trusted || !a.trusted() {
		for _, d := range slices.Concat(p.Doubts, a.doubts) {
			if d.Fatal {
				return "not trusted: " + d.Say
			}
		}
		return "not trusted"
	}
	s := fmt.Sprintf("%s  f0 %s", noteOf(*a.note), expanded(hertz(p.F0)))
	if a.figure != nil {
		s += fmt.Sprintf("  %s %s", a.figure.label, a.figure.expanded)
	}
	return s
}
