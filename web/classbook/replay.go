package classbook

import "crypto/sha256"

// keep writes a record, does what it says, and tells those who watch. c.mu is held.
func (c *Class) keep(r record) error {
	if err := c.log.write(r); err != nil {
		return err
	}
	if err := c.replay(r); err != nil {
		return err
	}
	for ch := range c.watch {
		select {
		case ch <- struct{}{}:
		default:
		}
	}
	return nil
}

// replay does what a record says.
func (c *Class) replay(r record) error {
	bad := &Error{"a record contradicts those before it", ""}
	switch {
	case r.Begin != nil:
		if c.begun.Code != "" || r.Begin.Code == "" || r.Begin.Teacher == "" {
			return bad
		}
		c.begun = *r.Begin
	case r.Seat != nil:
		if r.Seat.Number != len(c.seats)+1 || len(r.Seat.Token) != sha256.Size {
			return bad
		}
		s := &seat{Seat: r.Seat.Seat, keys: map[string]bool{}, count: map[string]int{}}
		copy(s.token[:], r.Seat.Token)
		c.seats = append(c.seats, s)
	case r.Add != nil:
		if r.Add.Seat < 1 || r.Add.Seat > len(c.seats) {
			return bad
		}
		s := c.seats[r.Add.Seat-1]
		s.keys[r.Add.Key] = true
		s.count[r.Add.Lesson] += len(r.Add.Points)
		for _, p := range r.Add.Points {
			c.entries = append(c.entries, &entry{Entry{len(c.entries) + 1, r.Add.Seat, p}, r.Add.Lesson})
		}
	case r.Aside != nil:
		if r.Aside.ID < 1 || r.Aside.ID > len(c.entries) {
			return bad
		}
		c.entries[r.Aside.ID-1].Point.Aside = r.Aside.Why
	case r.Teach != nil:
		c.lesson, c.givens = r.Teach.Lesson, r.Teach.Givens
	default:
		return bad
	}
	return nil
}
