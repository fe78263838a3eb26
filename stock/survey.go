package stock

import (
	"context"
	"database/sql"
	"errors"
	"math"
	"time"

	"pluckweigh/physics"
	"pluckweigh/survey"
)

// A Pluck is one that was heard of an instrument that is surveyed. It stays as it was
// kept. Its frequencies and its inharmonicity have neither unit nor remarks.
type Pluck struct {
	At     time.Time // kept to the millisecond
	Source string    // the take that it was heard in, or empty
	Start  float64   // s from its beginning
	survey.Heard
	Clock physics.Relative // of the recorder
}

func (p Pluck) check() error {
	what := "pluck"
	above := func(all ...float64) bool {
		for _, v := range all {
			if !(v > 0) || math.IsInf(v, 0) {
				return false
			}
		}
		return true
	}
	rough := func(v, u float64) bool { return !(u <= roughest*v) }
	fine := func(all ...float64) bool {
		for _, v := range all {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return false
			}
		}
		return true
	}
	f0, u0, f1, u1 := float64(p.F0.Value), float64(p.F0.U), float64(p.F1.Value), float64(p.F1.U)
	switch {
	case !above(f0, u0, f1, u1) || rough(f0, u0) || rough(f1, u1):
		return &physics.InputError{What: what, Why: "has a pitch that is no number above zero with a standard uncertainty"}
	case !fine(float64(p.B.Value), float64(p.B.U), p.Corr, p.Clock.U, p.Start) || p.B.Value < 0 || p.B.U < 0 || p.Clock.U < 0:
		return &physics.InputError{What: what, Why: "has an impossible inharmonicity, clock or start"}
	case p.Clip != nil && (!above(p.Clip.Ratio, p.Clip.U, float64(p.Clip.Mass.Value)) || !(p.Clip.Mass.U >= 0) || !fine(p.Clip.Correlation)):
		return &physics.InputError{What: what, Why: "has an impossible clip"}
	case p.Named < survey.Nowhere || p.Named >= mostPositions:
		return &physics.InputError{What: what, Why: "has an impossible position"}
	}
	if y := p.At.Year(); y < 1 || y > 9999 {
		return &physics.InputError{What: what, Why: "was heard in an impossible year"}
	}
	if err := checkText("clock", p.Clock.Said); err != nil {
		return err
	}
	return checkText("take", p.Source)
}

// An OtherInstrumentError is that of a survey that is of another instrument.
type OtherInstrumentError struct{ Survey, Of string }

func (e *OtherInstrumentError) Error() string {
	return "the survey \"" + e.Survey + "\" is of \"" + e.Of + "\""
}

// Hint says what to do.
func (e *OtherInstrumentError) Hint() string { return "name another one with --session" }

// heardColumns are what a pluck is.
var heardColumns = []string{"survey", "at", "source", "start", "f0", "u_f0", "f1", "u_f1", "b", "u_b", "b_heard", "correlation",
	"ratio", "u_ratio", "r_correlation", "mass", "u_mass", "mass_assumed", "clock", "clock_assumed", "clock_said", "position"}

// KeepPlucks adds plucks to the survey of that name of an instrument, which it begins
// where there is none: all of them, and they outlast a crash from then on, or none. What
// is there already is not added twice. The error may be an *OtherInstrumentError.
func (s *Store) KeepPlucks(ctx context.Context, name, instrument string, all ...Pluck) error {
	if err := CheckSession(name); err != nil {
		return err
	}
	if err := checkName("name of an instrument", instrument); err != nil {
		return err
	}
	for _, p := range all {
		if err := p.check(); err != nil {
			return err
		}
	}
	return s.change(ctx, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, "INSERT INTO surveys (name, instrument) VALUES (?, ?) ON CONFLICT DO NOTHING", name, instrument); err != nil {
			return err
		}
		var id int64
		var of string
		if err := tx.QueryRowContext(ctx, "SELECT id, instrument FROM surveys WHERE name = ?", name).Scan(&id, &of); err != nil {
			return err
		}
		if of != instrument {
			return &OtherInstrumentError{name, of}
		}
		for _, p := range all {
			var ratio, uRatio, corr, mass, uMass, assumed, position any
			if c := p.Clip; c != nil {
				ratio, uRatio, corr = c.Ratio, c.U, c.Correlation
				mass, uMass, assumed = float64(c.Mass.Value), float64(c.Mass.U), c.Mass.Assumed
			}
			if p.Named != survey.Nowhere {
				position = p.Named + 1
			}
			_, err := tx.ExecContext(ctx, inserting("heard", heardColumns, 1)+" ON CONFLICT DO NOTHING",
				id, p.At.UnixMilli(), p.Source, p.Start, float64(p.F0.Value), float64(p.F0.U), float64(p.F1.Value), float64(p.F1.U),
				float64(p.B.Value), float64(p.B.U), !p.B.Assumed, p.Corr, ratio, uRatio, corr, mass, uMass, assumed, p.Clock.U, p.Clock.Assumed, p.Clock.Said, position)
			if err != nil {
				return err
			}
		}
		return nil
	})
}

// Plucks lists what was heard in a survey, in the order in which it was kept, and of which
// instrument. The error may be a *MissingError.
func (s *Store) Plucks(ctx context.Context, name string) (instrument string, all []Pluck, err error) {
	err = s.db.QueryRowContext(ctx, "SELECT instrument FROM surveys WHERE name = ?", name).Scan(&instrument)
	if errors.Is(err, sql.ErrNoRows) {
		return "", nil, s.missing(ctx, s.db, "survey", "surveys", name)
	}
	if err != nil {
		return "", nil, s.told(err)
	}
	rows, err := s.db.QueryContext(ctx, `SELECT at, source, start, f0, u_f0, f1, u_f1, b, u_b, b_heard, correlation,
		ratio, u_ratio, r_correlation, mass, u_mass, mass_assumed, clock, clock_assumed, clock_said, position
		FROM heard WHERE survey = (SELECT id FROM surveys WHERE name = ?) ORDER BY id`, name)
	if err != nil {
		return "", nil, s.told(err)
	}
	defer rows.Close()
	for rows.Next() {
		var p Pluck
		var at int64
		var heard bool
		var ratio, uRatio, corr, mass, uMass sql.NullFloat64
		var assumed sql.NullBool
		var position sql.NullInt64
		if err := rows.Scan(&at, &p.Source, &p.Start, &p.F0.Value, &p.F0.U, &p.F1.Value, &p.F1.U, &p.B.Value, &p.B.U, &heard, &p.Corr,
			&ratio, &uRatio, &corr, &mass, &uMass, &assumed, &p.Clock.U, &p.Clock.Assumed, &p.Clock.Said, &position); err != nil {
			return "", nil, s.told(err)
		}
		p.At, p.B.Assumed, p.Named = time.UnixMilli(at), !heard, survey.Nowhere
		if ratio.Valid && uRatio.Valid {
			of := physics.Measured[physics.Mass]{Value: physics.Mass(mass.Float64), U: physics.Mass(uMass.Float64), Assumed: assumed.Bool}
			p.Clip = &survey.Clip{Mass: of, Ratio: ratio.Float64, U: uRatio.Float64, Correlation: corr.Float64}
		}
		if position.Valid {
			p.Named = int(position.Int64) - 1
		}
		all = append(all, p)
	}
	return instrument, all, s.told(rows.Err())
}

// A Survey is an instrument that is or was surveyed.
type Survey struct {
	Name, Instrument string
	Plucks           int
	Last             time.Time
}

// Surveys lists those in which something was heard, the latest first.
func (s *Store) Surveys(ctx context.Context) ([]Survey, error) {
	rows, err := s.db.QueryContext(ctx, `SELECT s.name, s.instrument, count(*), max(h.at)
		FROM surveys s JOIN heard h ON h.survey = s.id GROUP BY s.id ORDER BY max(h.at) DESC, s.name`)
	if err != nil {
		return nil, s.told(err)
	}
	defer rows.Close()
	var out []Survey
	for rows.Next() {
		var x Survey
		var last int64
		if err := rows.Scan(&x.Name, &x.Instrument, &x.Plucks, &last); err != nil {
			return nil, s.told(err)
		}
		x.Last = time.UnixMilli(last)
		out = append(out, x)
	}
	return out, s.told(rows.Err())
}
