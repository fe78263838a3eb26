package web

import (
	"context"
	"errors"
	"slices"
	"sync"
	"time"

	"pluckweigh/lesson"
	"pluckweigh/web/classbook"
)

// role is what a page may do.
type role int

const (
	owner    role = iota // of a machine that serves itself alone
	stranger             // has not joined the class yet
	seat
	teacher
)

// A classroom is the class and who of it is here.
type classroom struct {
	*classbook.Class
	guesses guessing
	taken   *crowd // seats, by who took them since the class was begun or continued

	mu   sync.Mutex
	here map[int]int // pages, by seat
}

func (r *classroom) come(seat, by int) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.here[seat] += by; r.here[seat] == 0 {
		delete(r.here, seat)
	}
}

func (r *classroom) present() map[int]int {
	r.mu.Lock()
	defer r.mu.Unlock()
	out := map[int]int{}
	for s, n := range r.here {
		out[s] = n
	}
	return out
}

// What is said in a class.
type (
	// A joinAsk is the wish for a seat: a new one by the code, or one's own by its token.
	joinAsk struct {
		Code  string `json:"code"`
		Name  string `json:"name"`
		Token string `json:"token"`
	}
	teachAsk struct {
		Key string `json:"key"`
	}
	// An addAsk adds points of one's own.
	addAsk struct {
		Lesson string         `json:"lesson"`
		Key    string         `json:"key"`
		Points []lesson.Point `json:"points"`
	}
	setAsk struct {
		Lesson string            `json:"lesson"`
		Givens map[string]string `json:"givens"`
	}
	asideAsk struct {
		ID  int    `json:"id"`
		Why string `json:"why"`
	}
	lookAsk struct {
		Seat int `json:"seat"` // whose points are judged; 0 for all together
	}
)

// What is told in a class.
type (
	// hello tells a page that it is one of a class.
	hello struct {
		Hello bool `json:"class_here"`
	}
	joined struct {
		Joined joinedJSON `json:"joined"`
	}
	joinedJSON struct {
		classbook.Seat
		Token string `json:"token"`
	}
	// unseated tells a page that the seat that it had is none of this class.
	unseated struct {
		Unseated bool `json:"unseated"`
	}
	addedKey struct {
		Added string   `json:"added"`
		No    *Trouble `json:"no,omitempty"`    // why they were not taken
		Later bool     `json:"later,omitempty"` // they may be taken yet
	}
	lessonNow struct {
		Class lessonJSON `json:"class"`
	}
	lessonJSON struct {
		Lesson string            `json:"lesson"`
		Givens map[string]string `json:"givens"`
	}
	classNow struct {
		Teaching teachingJSON `json:"teaching"`
	}
	teachingJSON struct {
		lessonJSON
		Code   string     `json:"code"`
		At     []string   `json:"at"`          // where seats join, that which others can reach first
		Print  string     `json:"certificate"` // its fingerprint
		Seats  []seatJSON `json:"seats"`
		Look   int        `json:"look"`
		IDs    []int      `json:"ids"` // of the points judged
		Of     []int      `json:"of"`  // their seats
		Judged judged     `json:"judged"`
	}
	seatJSON struct {
		classbook.Seat
		Points int  `json:"points"`
		Here   bool `json:"here"`
	}
)

// tellEvery is how often a page is told at most what has changed, and sharedMost how many
// points are judged together.
const (
	tellEvery  = 700 * time.Millisecond
	lookEvery  = 10 * time.Second
	sharedMost = 3000
)

// classSays does what a page says in a class. It tells whether it was one of those things.
func (t *talk) classSays(ctx context.Context, m said) (bool, error) {
	room := t.s.room
	if room == nil {
		return false, nil
	}
	var err error
	switch {
	case m.Join != nil:
		err = t.join(ctx, *m.Join)
	case m.Teach != nil:
		err = t.teach(ctx, *m.Teach)
	case t.role == stranger && (m.Ask != nil || m.Judge != nil):
		// A page says what it has been told before it knows that it is in a class.
	case t.role == stranger:
		return true, problem{Trouble{Say: "join the class first"}}
	case m.Add != nil && t.role == seat:
		told := addedKey{Added: m.Add.Key}
		if err := room.Add(t.seat, m.Add.Lesson, m.Add.Key, m.Add.Points); err != nil {
			no := TroubleOf(err)
			told.No, told.Later = &no, errors.Is(err, classbook.ErrUnkept)
		}
		t.out.Result(told)
	case m.Set != nil && t.role == teacher:
		err = room.Class.Teach(m.Set.Lesson, m.Set.Givens)
	case m.Aside != nil && t.role == teacher:
		err = room.Aside(m.Aside.ID, m.Aside.Why)
	case m.Look != nil && t.role == teacher:
		t.look.Store(int64(m.Look.Seat))
		select {
		case t.again <- struct{}{}:
		default:
		}
	case m.Add != nil, m.Set != nil, m.Aside != nil, m.Look != nil:
		return true, problem{Trouble{Say: "that is not yours to do"}}
	default:
		return false, nil
	}
	if err != nil {
		t.out.Result(troubled{TroubleOf(err)})
	}
	return true, nil
}

var errGuesses = problem{Trouble{Say: "that was wrong too often", Hint: "wait a minute, and read it once more from the teacher's screen"}}

var errSeatsEach = problem{Trouble{Say: "all seats that one device may take are taken", Hint: "go on in the browser that you joined by first, or ask the teacher: --seats-each"}}

// join gives a page its seat.
func (t *talk) join(ctx context.Context, j joinAsk) error {
	room := t.s.room
	if t.role != stranger {
		return problem{Trouble{Say: "this page has joined already"}}
	}
	if !fit(j.Code, j.Name, j.Token) {
		return problem{Trouble{Say: "what was typed is too long", Hint: "a code has six letters and digits, a name up to 40"}}
	}
	// A token is too long to be guessed, and who has one does not wait for those who guess.
	s, known := room.Back(j.Token)
	token := j.Token
	if !known && !room.guesses.may(t.from, time.Now()) {
		return errGuesses
	}
	if !known && !room.Joins(j.Code) {
		room.guesses.wrong(t.from, time.Now())
		if j.Code == "" && j.Token != "" {
			t.out.Result(unseated{true})
			return nil
		}
		return problem{Trouble{Say: "that is not the class's code", Hint: "read it once more from the teacher's screen"}}
	}
	if !known {
		if !room.taken.enter(t.from) {
			return errSeatsEach
		}
		var err error
		if s, token, err = room.Join(j.Name); err != nil {
			room.taken.leave(t.from)
			return err
		}
	}
	t.role, t.seat = seat, s.Number
	t.outside.Store(false)
	room.come(s.Number, 1)
	t.out.Result(joined{joinedJSON{s, token}})
	go t.follow(ctx, false)
	return nil
}

// teach gives a page the teacher's screen.
func (t *talk) teach(ctx context.Context, a teachAsk) error {
	room := t.s.room
	if t.role != stranger {
		return problem{Trouble{Say: "this page has joined already"}}
	}
	if !room.guesses.may(t.from, time.Now()) {
		return errGuesses
	}
	if !fit(a.Key) || !room.Teaches(a.Key) {
		room.guesses.wrong(t.from, time.Now())
		return problem{Trouble{Say: "that is not the teacher's key", Hint: "use the address that pluckweigh serve printed"}}
	}
	t.role = teacher
	t.outside.Store(false)
	go t.follow(ctx, true)
	return nil
}

// follow tells a page how the class goes on.
func (t *talk) follow(ctx context.Context, teaches bool) {
	changed, end := t.s.room.Watch()
	defer end()
	last := ""
	for {
		if teaches {
			now := t.s.room.teaching(int(t.look.Load()))
			now.At, now.Print = t.s.o.Hosts, t.s.o.Certificate
			t.out.Result(classNow{now})
		} else {
			id, givens := t.s.room.Lesson()
			now := lessonNow{lessonJSON{id, givens}}
			if b := string(encode(now)); b != last {
				last = b
				t.out.Result(now)
			}
		}
		select {
		case <-ctx.Done():
			return
		case <-changed:
		case <-t.again:
		case <-time.After(lookEvery): // who is here changes without a word
		}
		select {
		case <-ctx.Done():
			return
		case <-time.After(tellEvery):
		}
	}
}

// teaching is the class as the teacher sees it.
func (r *classroom) teaching(look int) teachingJSON {
	s := r.State()
	here := r.present()
	out := teachingJSON{lessonJSON: lessonJSON{s.Lesson, s.Givens}, Code: r.Code(), Look: look, Seats: []seatJSON{}, IDs: []int{}, Of: []int{}}
	count := map[int]int{}
	var points []lesson.Point
	for _, e := range slices.Backward(s.Entries) { // of very many the latest
		count[e.Seat]++
		if (look == 0 || e.Seat == look) && len(points) < sharedMost {
			points = append(points, e.Point)
			out.IDs = append(out.IDs, e.ID)
			out.Of = append(out.Of, e.Seat)
		}
	}
	slices.Reverse(points)
	slices.Reverse(out.IDs)
	slices.Reverse(out.Of)
	for _, x := range s.Seats {
		out.Seats = append(out.Seats, seatJSON{x, count[x.Number], here[x.Number] > 0})
	}
	out.Judged, _ = judgeAsk{s.Lesson, points, s.Givens}.judge()
	return out
}
