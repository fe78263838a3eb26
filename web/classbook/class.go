// Package classbook keeps what a class measures: who sits where, which lesson it is, and the
// points that each seat adds. All of it is in one file that only grows, written before
// anybody is told that it is kept, so that it outlasts whatever ends the program. It knows
// nothing of the network.
package classbook

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"maps"
	"strings"
	"sync"

	"pluckweigh/lesson"
	"pluckweigh/web/internal/secret"
)

// Limits on a class.
const (
	MostSeats  = 200
	mostOfSeat = 600 // points of one seat in one lesson
	mostAtOnce = 60  // points in one message
	mostName   = 40  // characters
	mostKey    = 64  // bytes
	mostWhy    = 120
)

// A Seat is one who measures.
type Seat struct {
	Number int    `json:"seat"`
	Name   string `json:"name"`
}

// An Entry is a point that a seat added.
type Entry struct {
	ID    int          `json:"id"`
	Seat  int          `json:"seat"`
	Point lesson.Point `json:"point"`
}

// A State is a class as its teacher sees it.
type State struct {
	Lesson  string            `json:"lesson"`
	Givens  map[string]string `json:"givens"` // as typed
	Seats   []Seat            `json:"seats"`
	Entries []Entry           `json:"entries"` // of the lesson
}

// An Error says what a class does not do, and what to do instead.
type Error struct{ Say, Do string }

func (e *Error) Error() string { return e.Say }

// Hint says what to do.
func (e *Error) Hint() string { return e.Do }

// ErrUnkept is what an error is that lies in the keeping: the same may be kept later.
var ErrUnkept = errors.New("it could not be kept")

// unkept is such an error.
type unkept struct{ why *Error }

func (u unkept) Error() string      { return u.why.Error() }
func (u unkept) Hint() string       { return u.why.Hint() }
func (u unkept) Unwrap() error      { return u.why }
func (unkept) Is(target error) bool { return target == ErrUnkept }

// A Class is safe for use by many goroutines.
type Class struct {
	mu      sync.Mutex
	log     *logFile
	begun   begun
	lesson  string
	givens  map[string]string
	seats   []*seat
	entries []*entry
	watch   map[chan struct{}]bool
}

type seat struct {
	Seat
	token [sha256.Size]byte // its hash
	keys  map[string]bool   // what was added
	count map[string]int    // points, by lesson
}

type entry struct {
	Entry
	lesson string
}

// begun is how a class begins.
type begun struct {
	Code    string `json:"code"`
	Teacher string `json:"teacher"` // the key to the teacher's page
}

// Open continues the class kept in a file, or begins one there with a lesson. It must be
// closed.
func Open(path string) (*Class, error) {
	c := &Class{givens: map[string]string{}, watch: map[chan struct{}]bool{}}
	log, err := openLog(path, c.replay)
	if err != nil {
		return nil, err
	}
	c.log = log
	if c.begun.Code == "" {
		b := begun{Code: newCode(), Teacher: secret.New()}
		if err := c.keep(record{Begin: &b}); err != nil {
			return nil, errors.Join(err, log.close())
		}
		if err := c.Teach(lesson.All()[0].ID, nil); err != nil {
			return nil, errors.Join(err, log.close())
		}
	}
	return c, nil
}

// Close ends the keeping.
func (c *Class) Close() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.log.close()
}

// Add adds points of a seat's own. A key stands for one message: what comes a second time,
// because the answer was lost, is kept once.
func (c *Class) Add(number int, id, key string, points []lesson.Point) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if number < 1 || number > len(c.seats) {
		return &Error{"there is no such seat", "join the class again"}
	}
	s := c.seats[number-1]
	switch {
	case key == "" || len(key) > mostKey:
		return &Error{"the points have no key", ""}
	case s.keys[key]:
		return nil
	case id != c.lesson:
		return &Error{"the class is at another lesson by now", "look what it is about, and measure for that"}
	case len(points) == 0 || len(points) > mostAtOnce:
		return &Error{fmt.Sprintf("there are %d points, and 1 to %d are taken at once", len(points), mostAtOnce), ""}
	case s.count[id]+len(points) > mostOfSeat:
		return &Error{fmt.Sprintf("a seat adds up to %d points", mostOfSeat), "ask the teacher"}
	}
	l, err := lesson.Named(id)
	if err != nil {
		return err
	}
	own := make([]lesson.Point, len(points))
	for i, p := range points {
		if err := l.Check(p); err != nil {
			return err
		}
		// What a seat says of its points is bounded, and whose they are is not its to say.
		own[i] = lesson.Point{X: p.X, Y: p.Y, B: p.B, From: shorten(p.From), Note: shorten(p.Note), Group: fmt.Sprintf("seat %d", number)}
		if len(p.Doubts) > 0 {
			own[i].Doubts = []string{shorten(strings.Join(p.Doubts, "; "))}
		}
		if p.Aside != "" {
			own[i].Aside = shorten(p.Aside)
		}
	}
	return c.keep(record{Add: &added{number, id, key, own}})
}

func shorten(s string) string {
	s = strings.ToValidUTF8(s, "")
	if r := []rune(s); len(r) > mostWhy {
		return string(r[:mostWhy])
	}
	return s
}

// Aside sets a point aside, for a reason that is shown, or for none has it count again.
func (c *Class) Aside(id int, why string) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if id < 1 || id > len(c.entries) {
		return &Error{"there is no such point", ""}
	}
	return c.keep(record{Aside: &setAside{id, shorten(why)}})
}

// Teach takes up a lesson, with what is told once for all points of it. The points of
// others are kept.
func (c *Class) Teach(id string, givens map[string]string) error {
	if _, err := lesson.Named(id); err != nil {
		return err
	}
	if len(givens) > 20 {
		return &Error{"too much is told", ""}
	}
	told := map[string]string{}
	for name, text := range givens {
		told[shorten(name)] = shorten(text)
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.keep(record{Teach: &taught{id, told}})
}

// State is the class as it is now.
func (c *Class) State() State {
	c.mu.Lock()
	defer c.mu.Unlock()
	s := State{Lesson: c.lesson, Givens: maps.Clone(c.givens), Seats: []Seat{}, Entries: []Entry{}}
	for _, x := range c.seats {
		s.Seats = append(s.Seats, x.Seat)
	}
	for _, e := range c.entries {
		if e.lesson == c.lesson {
			s.Entries = append(s.Entries, e.Entry)
		}
	}
	return s
}

// Lesson is what the class is at, and what is told once.
func (c *Class) Lesson() (id string, givens map[string]string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.lesson, maps.Clone(c.givens)
}

// Watch returns a channel on which there is something after each change, and how to end
// that. Changes that follow each other may come as one.
func (c *Class) Watch() (changed <-chan struct{}, end func()) {
	ch := make(chan struct{}, 1)
	c.mu.Lock()
	c.watch[ch] = true
	c.mu.Unlock()
	return ch, func() {
		c.mu.Lock()
		delete(c.watch, ch)
		c.mu.Unlock()
	}
}
