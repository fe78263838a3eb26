package stock

import (
	"cmp"
	"context"
	"database/sql"
	"database/sql/driver"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"pluckweigh/physics"
)

// A Pitch is one heard of a string that is watched. It stays as it was kept.
type Pitch struct {
	At          time.Time // kept to the millisecond
	Hz, U       float64   // U is the standard uncertainty, above zero
	Temperature float64   // °C; NaN where not known
	Source      string    // the take that it was heard in, or empty
}

func (p Pitch) check() error {
	what := "pitch"
	switch {
	case !(p.Hz > 0) || math.IsInf(p.Hz, 0) || !(p.U > 0) || !(p.U <= roughest*p.Hz):
		return &physics.InputError{What: what, Why: "is no number above zero with a standard uncertainty"}
	case math.IsInf(p.Temperature, 0):
		return &physics.InputError{What: what, Why: "has an impossible temperature"}
	}
	if y := p.At.Year(); y < 1 || y > 9999 {
		return &physics.InputError{What: what, Why: "was heard in an impossible year"}
	}
	return checkText("take", p.Source)
}

// KeepPitches adds pitches to the session of that name, which it begins where there is
// none: all of them, and they outlast a crash from then on, or none. What is there already
// is not added twice.
func (s *Store) KeepPitches(ctx context.Context, session string, all ...Pitch) error {
	if err := CheckSession(session); err != nil {
		return err
	}
	for _, p := range all {
		if err := p.check(); err != nil {
			return err
		}
	}
	return s.change(ctx, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, "INSERT INTO sessions (name) VALUES (?) ON CONFLICT DO NOTHING", session); err != nil {
			return err
		}
		add, err := tx.PrepareContext(ctx, `INSERT INTO pitches (session, at, hz, u, temperature, source)
			VALUES ((SELECT id FROM sessions WHERE name = ?), ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING`)
		if err != nil {
			return err
		}
		defer add.Close()
		for _, p := range all {
			warm := any(p.Temperature)
			if math.IsNaN(p.Temperature) {
				warm = nil
			}
			if _, err := add.ExecContext(ctx, session, p.At.UnixMilli(), p.Hz, p.U, warm, p.Source); err != nil {
				return err
			}
		}
		return nil
	})
}

// Pitches lists what was heard in a session, in the order of time. The error may be a
// *MissingError.
func (s *Store) Pitches(ctx context.Context, session string) ([]Pitch, error) {
	type row struct {
		Pitch
		at, id int64
	}
	var all []row
	source := ""
	err := gather(ctx, s.db, "pitches WHERE session = (SELECT id FROM sessions WHERE name = ?)", "id, at, hz, u, temperature, source", func(v []driver.Value) error {
		id, ok0 := v[0].(int64)
		at, ok1 := v[1].(int64)
		hz, ok2 := v[2].(float64)
		u, ok3 := v[3].(float64)
		warm, given := v[4].(float64)
		of, ok4 := v[5].(string)
		if !(ok0 && ok1 && ok2 && ok3 && ok4 && (given || v[4] == nil)) {
			return &damageError{what: fmt.Sprintf("a pitch of the session %q", session)}
		}
		if !given {
			warm = math.NaN()
		}
		if of != source { // most are heard in the same take as the one before, or in none
			source = strings.Clone(of)
		}
		all = append(all, row{Pitch{time.UnixMilli(at), hz, u, warm, source}, at, id})
		return nil
	}, session)
	if err != nil {
		return nil, s.told(err)
	}
	slices.SortFunc(all, func(x, y row) int { return cmp.Or(cmp.Compare(x.at, y.at), cmp.Compare(x.id, y.id)) })
	out := make([]Pitch, len(all))
	for i, r := range all {
		out[i] = r.Pitch
	}
	if len(out) == 0 {
		return nil, s.missing(ctx, s.db, "session", "sessions", session)
	}
	return out, nil
}

// A Session is a string that is or was watched.
type Session struct {
	Name        string
	Pitches     int
	First, Last time.Time
}

// Sessions lists them, the latest first.
func (s *Store) Sessions(ctx context.Context) ([]Session, error) {
	rows, err := s.db.QueryContext(ctx, `SELECT s.name, count(*), min(p.at), max(p.at)
		FROM sessions s JOIN pitches p ON p.session = s.id GROUP BY s.id ORDER BY max(p.at) DESC, s.name`)
	if err != nil {
		return nil, s.told(err)
	}
	defer rows.Close()
	var out []Session
	for rows.Next() {
		var x Session
		var first, last int64
		if err := rows.Scan(&x.Name, &x.Pitches, &first, &last); err != nil {
			return nil, s.told(err)
		}
		x.First, x.Last = time.UnixMilli(first), time.UnixMilli(last)
		out = append(out, x)
	}
	return out, s.told(rows.Err())
}

// CheckSession returns an *physics.InputError for what cannot be the name of a session.
func CheckSession(name string) error { return checkName("name of a session", name) }
