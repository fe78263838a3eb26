package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"sync"
	"time"

	"pluckweigh/detect"
	"pluckweigh/physics"
	"pluckweigh/settle/diary"
	"pluckweigh/stock"
	"pluckweigh/web"
)

// A pageSettle watches a string settle on a page as the command does.
type pageSettle struct {
	file *stockFile

	mu    sync.Mutex
	w     *settling
	event *diary.When
	all   []pitched
}

// newPageSettle begins or continues what was asked for. What is wrong is told by the place
// where it was typed, and there is none then.
func newPageSettle(ctx context.Context, file *stockFile, a web.SettleAsk, a4 physics.Frequency, troubles map[string]web.Trouble) *pageSettle {
	given := map[string]bool{}
	w := newSettling()
	w.e = &ears{streams: streams{out: io.Discard, err: io.Discard}, reference: referencePitch()}
	w.e.reference.hz = a4
	w.session, w.temperature, w.event = a.Session, a.Temperature, a.Event
	w.now, w.given = time.Now(), func(flag string) bool { return given[flag] }
	w.warm.given = w.given
	s := &pageSettle{file: file, w: w}
	t := typing{"settle-", troubles, false}
	t.set("session", a.Session, stock.CheckSession)
	t.set("within", a.Within, w.within.Set)
	t.set("for", a.For, w.ahead.Set)
	given["warmth"] = t.set("warmth", a.Warmth, w.warm.per.Set)
	t.set("temperature", a.Temperature, func(text string) error {
		c, err := diary.ParseTemperature(text)
		w.typed = &c
		return err
	})
	given["event"] = t.set("event", a.Event, func(text string) (err error) {
		at, err := diary.ParseWhen(text, w.zone)
		if err == nil && !at.Dated() {
			err = &callError{text + " has no date", "write it like 2026-11-28 14:02"}
		}
		s.event = &at
		return err
	})
	if !given["event"] {
		s.event = nil
	}
	if t.wrong {
		return nil
	}
	if path, err := file.path(); err == nil && w.session != "" && exists(path) {
		if err := file.read(ctx, s.read); err != nil {
			t.refuse("session", err)
			return nil
		}
	}
	return s
}

// read takes in what the session has, which may be nothing yet.
func (s *pageSettle) read(st *stock.Store) (err error) {
	if s.all, err = s.w.kept(context.Background(), st); isMissing(err) {
		return nil
	}
	return err
}

func (s *pageSettle) early() bool { return false }

func (s *pageSettle) hear(x []float64, rate float64, o detect.Options) (detect.Take, error) {
	return detect.Analyze(x, rate, o)
}

func (s *pageSettle) keep(ctx context.Context, m measured, p detect.Pluck) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	w := s.w
	if w.session == "" {
		w.session = time.Now().Format(time.DateTime)
	}
	return s.file.change(ctx, func(st *stock.Store) error {
		w.store = st
		defer func() { w.store = nil }()
		if err := w.keep(ctx, reading(p, diary.When{Time: m.at}, w.temperatureTyped(), "")); err != nil {
			return err
		}
		return s.read(st)
	})
}

func (s *pageSettle) told(context.Context) (any, error) {
	s.mu.Lock()
	w, all, event := *s.w, s.all, s.event
	s.mu.Unlock() // what follows takes time
	j := pageSettleJSON{Caution: []string{caution}, Session: w.session, Readings: len(all), Rows: []pageLine{}, Laws: []pageLaw{}, Doubts: []string{}}
	a, err := w.answer(all, w.e.reference.hz, event, nil)
	switch {
	case len(all) == 0:
		j.Waiting = web.Trouble{Say: "no reading yet", Hint: "pluck the string by itself, and let it ring"}
	case err != nil:
		j.Waiting = web.TroubleOf(err)
		j.Waiting.Say = fmt.Sprintf("%s so far: %s", counted(len(all), "reading"), j.Waiting.Say)
	default:
		j.tell(a)
	}
	return struct {
		Settle pageSettleJSON `json:"settle"`
	}{j}, nil
}

// pageSettleJSON is the course of a pitch: as settle --json prints it, in words, and as it
// is drawn.
type pageSettleJSON struct {
	Caution  []string     `json:"caution"` // that stands before strings are tuned
	Session  string       `json:"session"`
	Readings int          `json:"readings"`
	Waiting  web.Trouble  `json:"waiting"` // why there is nothing to tell yet
	Asked    string       `json:"asked"`   // within how much for how long
	Verdict  string       `json:"verdict"`
	Move     string       `json:"move"`
	Rows     []pageLine   `json:"rows"`
	Laws     []pageLaw    `json:"laws"`
	Doubts   []string     `json:"doubts"`
	Course   *pageCourse  `json:"course"`
	Data     *settledJSON `json:"data"`
}

type pageLaw struct {
	Law     string   `json:"law"`
	Weight  *float64 `json:"weight"`
	Formula string   `json:"formula"`
}

// pageCourse is what is drawn, in the units of its axes.
type pageCourse struct {
	X      string       `json:"x"`
	Y      string       `json:"y"`
	K      float64      `json:"k"`
	Ahead  *float64     `json:"ahead"` // from where on it is to come
	Mark   *float64     `json:"mark"`  // where something was done to the string; null for nothing
	Points []pageReads  `json:"points"`
	Law    [][3]float64 `json:"law"` // x, y and its standard uncertainty
	Steps  []pageStep   `json:"steps"`
}

type pageReads struct {
	X   *float64 `json:"x"`
	Y   *float64 `json:"y"`
	U   *float64 `json:"u"`
	Odd bool     `json:"odd"`
}

type pageStep struct {
	From *float64 `json:"from"`
	To   *float64 `json:"to"`
	Name string   `json:"name"`
}

// courseParts is how finely a law is drawn.
const courseParts = 200

func (j *pageSettleJSON) tell(a *settled) {
	j.Asked, j.Verdict = wished(a.forecast), verdict(a.forecast)
	if !a.forecast.TooShort {
		j.Move = fmt.Sprintf("by then it moves by %s  (k = %d); the probability that it stays within is %s", signed(a.forecast.Move, 1, "cents"), physics.Coverage, probability(a.forecast.Holds))
	}
	for _, r := range a.rows() {
		j.Rows = append(j.Rows, pageLine{r.name, r.say})
	}
	for _, l := range a.course.Laws {
		if l.Weight >= leastShown {
			j.Laws = append(j.Laws, pageLaw{l.Law.String(), finite(l.Weight), formula(l)})
		}
	}
	for _, d := range a.doubts {
		j.Doubts = append(j.Doubts, d.Say)
	}
	data := newSettledJSON(a)
	j.Data = &data
	c := a.chart()
	p := &pageCourse{X: c.X, Y: c.Y, K: c.K, Ahead: finite(c.Ahead), Mark: finite(c.Mark), Points: []pageReads{}, Steps: []pageStep{}}
	for _, r := range c.Readings {
		p.Points = append(p.Points, pageReads{finite(r.X), finite(r.Y), finite(r.U), r.Odd})
	}
	for _, s := range c.Steps {
		p.Steps = append(p.Steps, pageStep{finite(s.From), finite(s.To), s.Name})
	}
	for i := range courseParts + 1 {
		x := c.From + (c.To-c.From)*float64(i)/courseParts
		if y, u := c.Law(x); !math.IsNaN(y+u) && !math.IsInf(y+u, 0) {
			p.Law = append(p.Law, [3]float64{x, y, u})
		}
	}
	j.Course = p
}
