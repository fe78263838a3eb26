package main

import (
	"context"
	"io"
	"sync"
	"time"

	"pluckweigh/audio"
	"pluckweigh/detect"
	"pluckweigh/web"
)

// pageEars hear for a page what the commands hear, and tell it in their words. They
// implement web.Ears, and are the audience of what is heard.
type pageEars struct {
	to       web.Teller
	recorder string
	turns    *turns     // of all pages
	file     *stockFile // where what is heard may be kept; nil for nowhere

	mu     sync.Mutex
	mine   *turn // the last that was asked for; nil for none
	typed  typed
	told   []toldAt   // what was typed lately, the latest last
	last   *pageHeard // the last pluck that can be trusted; nil for none
	newest int        // number of that, in this listening
	pool   pagePool
	apart  []int     // plucks that are left out of it
	asked  web.Ask   // the last
	work   *pageWork // what plucks are kept for; nil for nothing
}

// pageHeard is a pluck that was told to a page, and by whose clock.
type pageHeard struct {
	number int
	heard  heard
}

func newPageEars(to web.Teller, recorder string, t *turns, file *stockFile) *pageEars {
	p := &pageEars{to: to, recorder: recorder, turns: t, file: file}
	p.typed, _ = understand(web.Ask{})
	return p
}

// soonOnPage is after how many seconds a page is told of a pluck that still rings. It is told
// once more when that is over.
const soonOnPage = 1.0

// Hear implements web.Ears.
func (p *pageEars) Hear(ctx context.Context, src audio.Source) error {
	line := &statusLine{}
	e := &ears{streams: streams{out: io.Discard, err: io.Discard}, reference: referencePitch(),
		recorder: p.recorder, endless: true, audience: p, listen: p.listen, judge: judge{late: true}}
	if w := p.works(); w != nil {
		w.begin()
	}
	p.mu.Lock()
	p.newest = 0
	p.mu.Unlock()
	rec := &recording{rate: src.Rate()}
	e.setClock(rec, src)
	show := newLive(e, rec, src.Flaws, line)
	err := e.record(ctx, src, rec, nil, show, &progress{line: line})
	src.Close() // what follows takes time
	show.end()
	return err
}

// listen hears a pluck, with the note expected as it is known by then.
func (p *pageEars) listen(x []float64, rate float64, o detect.Options) (detect.Take, error) {
	p.mu.Lock()
	o.Near = float64(p.typed.near)
	clip, work := p.typed.lesson != nil && p.typed.lesson.Clip, p.work
	p.mu.Unlock()
	switch {
	case work != nil:
		return work.hear(x, rate, o)
	case clip:
		return detect.AnalyzeLoaded(x, rate, detect.Mass{}, o)
	}
	return detect.Analyze(x, rate, o)
}

// works is what plucks are kept for; nil for nothing.
func (p *pageEars) works() *pageWork {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.work
}

// soon implements audience.
func (p *pageEars) soon() float64 {
	if w := p.works(); w != nil && w.early() {
		return enoughOf
	}
	return soonOnPage
}

// turn implements audience.
func (p *pageEars) turn(soon bool) (done func()) {
	t := p.turns.ask(soon)
	p.mu.Lock()
	p.mine = t
	p.mu.Unlock()
	<-t.given
	return func() { p.turns.done(t) }
}

// hurry implements audience.
func (p *pageEars) hurry() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.mine != nil {
		p.turns.hurry(p.mine)
	}
}

// enough implements audience: where plucks of many pages wait, one that was read while it
// rang is not read once more, unless how it rings is what is asked.
func (p *pageEars) enough() bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.turns.crowded() && p.work == nil && (p.typed.lesson == nil || !p.typed.lesson.Rings)
}

// Ask implements web.Ears.
func (p *pageEars) Ask(a web.Ask) {
	k, told := understand(a)
	p.mu.Lock()
	work, before := p.work, p.asked
	p.mu.Unlock()
	if work == nil || !sameTask(a, before) {
		if work = p.task(a, k, told.Troubles); work != nil {
			work.goOn(p.works())
		}
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.typed, p.work, p.apart, p.asked = k, work, a.Apart, a
	p.told = remember(p.told, toldAt{k, time.Now()})
	if work != nil {
		work.tell()
	}
	p.to.Result(struct {
		Asked askedJSON `json:"asked"`
	}{told})
	if p.last != nil {
		p.to.Result(struct {
			Pull *pagePullJSON `json:"pull"`
		}{p.pull(*p.last)})
		p.tellTogether()
	}
}

func (p *pageEars) tellTogether() {
	p.to.Result(struct {
		Together *togetherJSON `json:"together"`
	}{p.together()})
}

// now implements audience.
func (p *pageEars) now(now detect.Now) {
	p.mu.Lock()
	a4 := p.typed.a4
	p.mu.Unlock()
	p.to.Sign(lively{newLiveJSON(now, a4)})
}

// failed implements audience.
func (p *pageEars) failed(err error) {
	p.to.Result(struct {
		Trouble web.Trouble `json:"trouble"`
	}{web.TroubleOf(err)})
}

// plucked implements audience.
func (p *pageEars) plucked(m measured, q detect.Pluck) {
	if w := p.works(); w != nil {
		defer w.take(m, q)
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	j := newPagePluckJSON(m, q, p.typed.a4)
	switch {
	case m.soon && !j.Trusted:
		return // what is still to come may tell more
	case j.Trusted:
		r := detect.Reading{F0: q.F0, F1: q.F1, B: q.B, BKnown: q.BKnown, Corr: q.Corr, Plucks: 1, Load: q.Load, Doubts: q.Doubts}
		if q.Load == nil {
			h := pageHeard{m.number, heard{r, m.rec.clock}}
			if j.Pull = p.pull(h); m.number >= p.newest { // one before it may take longer
				p.last, p.newest = &h, m.number
			}
		}
		if q.Load == nil && !m.soon {
			j.ID = p.pool.add(q, m.rec.clock)
			defer p.tellTogether()
		}
		if !m.soon {
			j.Lesson, j.Points, j.NoPoint = p.pointsFor(m.at, detect.Take{Rate: m.answer.take.Rate, Seconds: m.answer.take.Seconds, Plucks: []detect.Pluck{q}, Reading: &r})
		}
	}
	p.to.Result(lively{j})
}

// pull is how hard the string pulls that a pluck was heard of, nil where its length or
// its weight is not known.
func (p *pageEars) pull(h pageHeard) *pagePullJSON {
	k := p.typed
	if !k.length.given || !k.weight.given {
		return nil
	}
	f, err := tensionOf(h.heard, k.length.Measured, k.weight.Measured, k.held.Ends)
	return newPagePullJSON(h.number, f, err)
}

var _ web.Ears = (*pageEars)(nil)
