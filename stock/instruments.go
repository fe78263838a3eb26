package stock

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	sqlite3 "modernc.org/sqlite/lib"

	"pluckweigh/physics"
)

// AddInstrument keeps a new instrument. The error may be an *physics.InputError or a
// *TakenError.
func (s *Store) AddInstrument(ctx context.Context, x Instrument) error {
	if err := x.check(); err != nil {
		return err
	}
	return s.change(ctx, func(tx *sql.Tx) error {
		var id int64
		err := tx.QueryRowContext(ctx, "INSERT INTO instruments (name, a4, most) VALUES (?, ?, ?) RETURNING id",
			x.Name, float64(x.A4), float64(x.Most)).Scan(&id)
		if violates(err, sqlite3.SQLITE_CONSTRAINT_UNIQUE) {
			return &TakenError{"instrument", x.Name}
		}
		if err != nil {
			return err
		}
		for n, p := range x.Positions {
			_, err := tx.ExecContext(ctx, `INSERT INTO positions (instrument, number, length, u_length, assumed, semitones, cents, slot)
				VALUES (?, ?, ?, ?, ?, ?, ?, ?)`, id, n+1, float64(p.Length.Value), float64(p.Length.U), p.Length.Assumed,
				p.Note.Semitones, p.Note.Cents, float64(p.Slot))
			if err != nil {
				return err
			}
		}
		return s.strung(ctx, tx, id, x.Strung())
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
	all, err := s.instruments(ctx, "WHERE i.name = ?", name)
	if err == nil && len(all) == 0 {
		return Instrument{}, s.missing(ctx, s.db, "instrument", "instruments", name)
	}
	if err != nil {
		return Instrument{}, err
	}
	return all[0], nil
}

// Instruments lists all instruments by name.
func (s *Store) Instruments(ctx context.Context) ([]Instrument, error) {
	return s.instruments(ctx, "")
}

func (s *Store) instruments(ctx context.Context, where string, args ...any) ([]Instrument, error) {
	rows, err := s.db.QueryContext(ctx, `SELECT i.name, i.a4, i.most, p.length, p.u_length, p.assumed, p.semitones, p.cents, p.slot, coalesce(s.name, '')
		FROM instruments i JOIN positions p ON p.instrument = i.id LEFT JOIN strings s ON s.id = p.string `+where+` ORDER BY i.name, p.number`, args...)
	if err != nil {
		return nil, s.told(err)
	}
	defer rows.Close()
	var out []Instrument
	for rows.Next() {
		var x Instrument
		var p Position
		var length, u float64
		err := rows.Scan(&x.Name, &x.A4, &x.Most, &length, &u, &p.Length.Assumed, &p.Note.Semitones, &p.Note.Cents, &p.Slot, &p.Strung)
		if err != nil {
			return nil, s.told(err)
		}
		p.Length.Value, p.Length.U = physics.Length(length), physics.Length(u)
		if len(out) == 0 || out[len(out)-1].Name != x.Name {
			out = append(out, x)
		}
		last := &out[len(out)-1]
		last.Positions = append(last.Positions, p)
	}
	return out, s.told(rows.Err())
}
