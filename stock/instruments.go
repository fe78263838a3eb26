package stock

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	sqlite3 "modernc.org/sqlite/lib"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// AddInstrument keeps a new instrument. The error may be an *physics.InputError, a
// *TakenError, or of a string on it a *MissingError.
func (s *Store) AddInstrument(ctx context.Context, x Instrument) error {
	return s.change(ctx, func(tx *sql.Tx) error { return s.addInstrument(ctx, tx, x) })
}

func (s *Store) addInstrument(ctx context.Context, tx *sql.Tx, x Instrument) error {
	x, err := x.tuned()
	if err != nil {
		return err
	}
	if err := x.check(); err != nil {
		return err
	}
	var id int64
	err = tx.QueryRowContext(ctx, "INSERT INTO instruments (name, a4, division, most) VALUES (?, ?, ?, ?) RETURNING id",
		x.Name, float64(x.A4), x.Division.String(), float64(x.Most)).Scan(&id)
	if violates(err, sqlite3.SQLITE_CONSTRAINT_UNIQUE) {
		return &TakenError{"instrument", x.Name}
	}
	if err != nil {
		return err
	}
	return s.place(ctx, tx, id, x)
}

// place writes the positions of an instrument, in place of those that it has.
func (s *Store) place(ctx context.Context, tx *sql.Tx, id int64, x Instrument) error {
	if _, err := tx.ExecContext(ctx, "DELETE FROM positions WHERE instrument = ?", id); err != nil {
		return err
	}
	columns := []string{"instrument", "number", "length", "u_length", "assumed", "semitones", "cents", "said", "kind", "least", "slot"}
	for n, p := range x.Positions {
		if _, err := tx.ExecContext(ctx, inserting("positions", columns, 1), id, n+1, float64(p.Length.Value), float64(p.Length.U), p.Length.Assumed,
			p.Note.Semitones, p.Note.Cents, p.Said, p.Kind.String(), float64(p.Slot.Least), float64(p.Slot.Most)); err != nil {
			return err
		}
	}
	return s.strung(ctx, tx, id, x.Strung())
}

// EditInstrument has an instrument changed, all of it or nothing. Where a note was not
// said as a note, it is made anew of what was said. The error may be that of change, a
// *MissingError, a *TakenError or an *physics.InputError.
func (s *Store) EditInstrument(ctx context.Context, name string, change func(*Instrument) error) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		x, err := s.instrument(ctx, tx, name)
		if err != nil {
			return err
		}
		if err := change(&x); err != nil {
			return err
		}
		if x, err = x.tuned(); err != nil {
			return err
		}
		if err := x.check(); err != nil {
			return err
		}
		var id int64
		err = tx.QueryRowContext(ctx, "UPDATE instruments SET name = ?, a4 = ?, division = ?, most = ? WHERE name = ? RETURNING id",
			x.Name, float64(x.A4), x.Division.String(), float64(x.Most), name).Scan(&id)
		if violates(err, sqlite3.SQLITE_CONSTRAINT_UNIQUE) {
			return &TakenError{"instrument", x.Name}
		}
		if err != nil {
			return err
		}
		return s.place(ctx, tx, id, x)
	})
}

// StringUp says which strings are on an instrument: the name of one for each position,
// or an empty one for none. The error may be a *MissingError or an
// *physics.InputError.
func (s *Store) StringUp(ctx context.Context, instrument string, names []string) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		var id int64
		var positions int
		err := tx.QueryRowContext(ctx, "SELECT id, (SELECT count(*) FROM positions WHERE instrument = id) FROM instruments WHERE name = ?", instrument).Scan(&id, &positions)
		if errors.Is(err, sql.ErrNoRows) {
			return s.missing(ctx, tx, "instrument", "instruments", instrument)
		}
		if err != nil {
			return err
		}
		if len(names) != positions {
			return &physics.InputError{What: "number of strings", Text: fmt.Sprint(len(names)), Why: fmt.Sprintf("is not that of the positions of %q", instrument),
				Fix: fmt.Sprintf("name %d, in the order of the positions", positions)}
		}
		return s.strung(ctx, tx, id, names)
	})
}

// strung puts strings on an instrument.
func (s *Store) strung(ctx context.Context, tx *sql.Tx, instrument int64, names []string) error {
	for n, name := range names {
		var id sql.NullInt64
		if name != "" {
			err := tx.QueryRowContext(ctx, "SELECT id FROM strings WHERE name = ?", name).Scan(&id)
			if errors.Is(err, sql.ErrNoRows) {
				return s.missing(ctx, tx, "string", "strings", name)
			}
			if err != nil {
				return err
			}
		}
		if _, err := tx.ExecContext(ctx, "UPDATE positions SET string = ? WHERE instrument = ? AND number = ?", id, instrument, n+1); err != nil {
			return err
		}
	}
	return nil
}

// RemoveInstrument drops an instrument. The error may be a *MissingError.
func (s *Store) RemoveInstrument(ctx context.Context, name string) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		r, err := tx.ExecContext(ctx, "DELETE FROM instruments WHERE name = ?", name)
		return s.dropped(ctx, tx, r, err, "instrument", "instruments", name)
	})
}

// Instrument is the instrument of that name. The error may be a *MissingError.
func (s *Store) Instrument(ctx context.Context, name string) (Instrument, error) {
	return s.instrument(ctx, s.db, name)
}

func (s *Store) instrument(ctx context.Context, q querier, name string) (Instrument, error) {
	all, err := s.instruments(ctx, q, "WHERE i.name = ?", name)
	if err == nil && len(all) == 0 {
		return Instrument{}, s.missing(ctx, q, "instrument", "instruments", name)
	}
	if err != nil {
		return Instrument{}, err
	}
	return all[0], nil
}

// Instruments lists all instruments by name.
func (s *Store) Instruments(ctx context.Context) ([]Instrument, error) {
	return s.instruments(ctx, s.db, "")
}

func (s *Store) instruments(ctx context.Context, q querier, where string, args ...any) ([]Instrument, error) {
	rows, err := q.QueryContext(ctx, `SELECT i.name, i.a4, i.division, i.most, p.length, p.u_length, p.assumed, p.semitones, p.cents, p.said, p.kind, p.least, p.slot, coalesce(s.name, '')
		FROM instruments i JOIN positions p ON p.instrument = i.id LEFT JOIN strings s ON s.id = p.string `+where+` ORDER BY i.name, p.number`, args...)
	if err != nil {
		return nil, s.told(err)
	}
	defer rows.Close()
	var out []Instrument
	for rows.Next() {
		x, p, err := scanPosition(rows)
		if err != nil {
			return nil, s.told(err)
		}
		if len(out) == 0 || out[len(out)-1].Name != x.Name {
			out = append(out, x)
		}
		last := &out[len(out)-1]
		last.Positions = append(last.Positions, p)
	}
	if err := rows.Err(); err != nil {
		return nil, s.told(err)
	}
	for _, x := range out {
		if err := x.check(); err != nil {
			return nil, fmt.Errorf("instrument %q cannot be read: %w", x.Name, err)
		}
	}
	return out, nil
}

// scanPosition reads a row: an instrument without its positions, and one of these.
func scanPosition(r row) (x Instrument, p Position, err error) {
	var length, u float64
	var division, kind string
	err = r.Scan(&x.Name, &x.A4, &division, &x.Most, &length, &u, &p.Length.Assumed, &p.Note.Semitones, &p.Note.Cents, &p.Said,
		&kind, &p.Slot.Least, &p.Slot.Most, &p.Strung)
	if err != nil {
		return x, p, err
	}
	p.Length.Value, p.Length.U = physics.Length(length), physics.Length(u)
	if division != "" {
		x.Division, err = physics.ParseDivision(division)
	}
	if err == nil {
		p.Kind, err = traits.ParseKind(kind)
	}
	return x, p, err
}
