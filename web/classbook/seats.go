package classbook

import (
	"crypto/subtle"
	"fmt"
	"strings"
	"unicode"

	"pluckweigh/web/internal/secret"
)

// Join gives a seat to somebody who named the code, and a token by which that is found
// again.
func (c *Class) Join(name string) (Seat, string, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if len(c.seats) >= MostSeats {
		return Seat{}, "", &Error{fmt.Sprintf("all %d seats are taken", MostSeats), "ask the teacher to begin a new class"}
	}
	token := secret.New()
	s := seated{Seat: Seat{len(c.seats) + 1, tidy(name)}, Token: hash(token)}
	if err := c.keep(record{Seat: &s}); err != nil {
		return Seat{}, "", err
	}
	return s.Seat, token, nil
}

// Back is the seat of a token.
func (c *Class) Back(token string) (Seat, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	h := hash(token)
	found := -1
	for i, s := range c.seats {
		if subtle.ConstantTimeCompare(h, s.token[:]) == 1 {
			found = i
		}
	}
	if found < 0 {
		return Seat{}, false
	}
	return c.seats[found].Seat, true
}

// tidy leaves of a name what is fit to be shown.
func tidy(name string) string {
	name = strings.Join(strings.FieldsFunc(name, func(r rune) bool { return !unicode.IsPrint(r) || unicode.IsSpace(r) }), " ")
	if r := []rune(name); len(r) > mostName {
		name = string(r[:mostName])
	}
	return name
}
