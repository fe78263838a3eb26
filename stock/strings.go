package stock

import (
	"context"
	"database/sql"
	"errors"
	"slices"
	"strings"
	"time"

	sqlite3 "modernc.org/sqlite/lib"

	"pluckweigh/physics"
	"pluckweigh/physics/spelling"
	"pluckweigh/stock/traits"
)

// Add keeps a new string with its measurements. The error may be an
// *physics.InputError or a *TakenError.
func (s *Store) Add(ctx context.Context, x String) error {
	if err := x.Check(); err != nil {
		return err
	}
	return s.change(ctx, func(tx *sql.Tx) error {
		return insert(ctx, tx, x)
	})
}

func insert(ctx context.Context, tx *sql.Tx, x String) error {
	var id int64
	err := tx.QueryRowContext(ctx, "INSERT INTO strings (name, winding, material, label, remain) VALUES (?, ?, ?, ?, ?) RETURNING id",
		x.Name, x.Kind.String(), material(x.Material), x.Label, counted(x.Left)).Scan(&id)
	if violates(err, sqlite3.SQLITE_CONSTRAINT_UNIQUE) {
		return &TakenError{"string", x.Name}
	}
	if err != nil {
		return err
	}
	return measured(ctx, tx, id, x.Measurements)
}

// material is a material's name as physics writes it.
func material(name string) string {
	if name == "" {
		return "" // not known
	}
	if m, err := physics.ParseMaterial(name); err == nil {
		return m.Name
	}
	return name // none
}

// counted is a number of strings as it is kept.
func counted(left int) any {
	if left == traits.Uncounted {
		return nil
	}
	return left
}

// insertMeasurements adds so many measurements, but those that are there.
func insertMeasurements(n int) string {
	const row = "(?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
	return `INSERT INTO measurements (string, property, value, u, dof, assumed, route, made, reading, set_aside)
		VALUES ` + strings.Repeat(row+", ", n-1) + row + " ON CONFLICT DO NOTHING"
}

// argumentsOf are those of insertMeasurements, for the string of that ID.
func argumentsOf(id int64, all []Measurement) []any {
	var args []any
	for _, m := range all {
		args = append(args, id, m.Property, m.Value, m.U, m.DoF, m.Assumed, m.Route, dated(m.Made), m.Reading, m.SetAside)
	}
	return args
}

// measured adds measurements to the string of that ID.
func measured(ctx context.Context, tx *sql.Tx, id int64, all []Measurement) error {
	if len(all) == 0 {
		return nil
	}
	_, err := tx.ExecContext(ctx, insertMeasurements(len(all)), argumentsOf(id, all)...)
	return err
}

// dated is a time as it is kept.
func dated(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.RFC3339)
}

// undated reads it.
func undated(s string) (time.Time, error) {
	if s == "" {
		return time.Time{}, nil
	}
	t, err := time.Parse(time.RFC3339, s)
	return t.UTC(), err
}

// Keep adds measurements to the string of that name, which it begins where there is
// none, and returns the string as it is then and whether it is new. Measurements
// that are there already are not added twice.
func (s *Store) Keep(ctx context.Context, name string, all ...Measurement) (x String, fresh bool, err error) {
	begun := String{String: traits.String{Name: name, Left: traits.Uncounted}, Measurements: all}
	if err := begun.Check(); err != nil {
		return String{}, false, err
	}
	err = s.change(ctx, func(tx *sql.Tx) error {
		var id int64
		err := tx.QueryRowContext(ctx, "SELECT id FROM strings WHERE name = ?", name).Scan(&id)
		if fresh = errors.Is(err, sql.ErrNoRows); fresh {
			err = insert(ctx, tx, begun)
		} else if err == nil {
			err = measured(ctx, tx, id, all)
		}
		if err == nil {
			x, err = s.one(ctx, tx, name)
		}
		return err
	})
	return x, fresh, err
}

// Edit has a string changed, all of it or nothing. Of the measurements that it has,
// only SetAside may change, to why one no longer counts, or to nothing; those appended
// are added. The error may be that of change, a *MissingError, a *TakenError or an
// *physics.InputError.
func (s *Store) Edit(ctx context.Context, name string, change func(*String) error) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		x, err := s.one(ctx, tx, name)
		if err != nil {
			return err
		}
		had := len(x.Measurements)
		before := slices.Clone(x.Measurements)
		if err := change(&x); err != nil {
			return err
		}
		if err := x.Check(); err != nil {
			return err
		}
		var id int64
		err = tx.QueryRowContext(ctx, "UPDATE strings SET name = ?, winding = ?, material = ?, label = ?, remain = ? WHERE name = ? RETURNING id",
			x.Name, x.Kind.String(), material(x.Material), x.Label, counted(x.Left), name).Scan(&id)
		if violates(err, sqlite3.SQLITE_CONSTRAINT_UNIQUE) {
			return &TakenError{"string", x.Name}
		}
		if err != nil {
			return err
		}
		for i, m := range before {
			if why := x.Measurements[i].SetAside; why != m.SetAside {
				if _, err := tx.ExecContext(ctx, "UPDATE measurements SET set_aside = ? WHERE id = ?", why, m.ID); err != nil {
					return err
				}
			}
		}
		return measured(ctx, tx, id, x.Measurements[had:])
	})
}

// Remove drops a string with all that was measured of it.
func (s *Store) Remove(ctx context.Context, name string) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		r, err := tx.ExecContext(ctx, "DELETE FROM strings WHERE name = ?", name)
		return s.dropped(ctx, tx, r, err, "string", "strings", name)
	})
}

// dropped makes sure that what was to be dropped was there.
func (s *Store) dropped(ctx context.Context, tx *sql.Tx, r sql.Result, err error, what, table, name string) error {
	if err != nil {
		return err
	}
	n, err := r.RowsAffected()
	if err == nil && n == 0 {
		err = s.missing(ctx, tx, what, table, name)
	}
	return err
}

// missing is the error for a name that is not in a table, with one spelled like it.
func (s *Store) missing(ctx context.Context, q querier, what, table, name string) error {
	rows, err := q.QueryContext(ctx, "SELECT name FROM "+table+" LIMIT 10000")
	if err != nil {
		return s.told(err)
	}
	defer rows.Close()
	var names []string
	for rows.Next() {
		var n string
		if err := rows.Scan(&n); err != nil {
			return s.told(err)
		}
		names = append(names, n)
	}
	return errors.Join(s.told(rows.Err()), &MissingError{what, name, spelling.Nearest(name, names)})
}
