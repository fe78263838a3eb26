package stock

import (
	"context"
	"database/sql"
	"errors"
	"slices"

	sqlite3 "modernc.org/sqlite/lib"

	"pluckweigh/physics/spelling"
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
	err := tx.QueryRowContext(ctx, inserting("strings", factColumns, 1)+" RETURNING id", factsOf(x)...).Scan(&id)
	if violates(err, sqlite3.SQLITE_CONSTRAINT_UNIQUE) {
		return &TakenError{"string", x.Name}
	}
	if err != nil {
		return err
	}
	return measured(ctx, tx, id, x.Measurements)
}

// measured adds measurements to the string of that ID.
func measured(ctx context.Context, tx *sql.Tx, id int64, all []Measurement) error {
	if len(all) == 0 {
		return nil
	}
	if _, err := tx.ExecContext(ctx, inserting("measurements", measurementColumns, len(all))+" ON CONFLICT DO NOTHING", appendValues(nil, id, all)...); err != nil {
		return err
	}
	return recount(ctx, tx, id)
}

// recount notes how many measurements the string of that ID has.
func recount(ctx context.Context, tx *sql.Tx, id int64) error {
	_, err := tx.ExecContext(ctx, "UPDATE strings SET measured = (SELECT count(*) FROM measurements WHERE string = ?1) WHERE id = ?1", id)
	return err
}

// Keep adds what x says to the string of that name, which it begins where there is
// none, and returns the string as it is then and whether it is new. What was not known
// of it is filled in, and measurements that are there already are not added twice. The
// error is an *physics.InputError where x is said to be what it is not in stock.
func (s *Store) Keep(ctx context.Context, x String) (now String, fresh bool, err error) {
	if err := x.Check(); err != nil {
		return String{}, false, err
	}
	err = s.change(ctx, func(tx *sql.Tx) error {
		id, is, err := facts(ctx, tx, x.Name)
		if fresh = errors.Is(err, sql.ErrNoRows); fresh {
			err = insert(ctx, tx, x)
		} else if err == nil {
			err = add(ctx, tx, id, is, x)
		}
		if err == nil {
			now, err = s.one(ctx, tx, x.Name)
		}
		return err
	})
	return now, fresh, err
}

// add adds what x says to the string that is in stock under that ID.
func add(ctx context.Context, tx *sql.Tx, id int64, is, x String) error {
	filled, err := is.fill(x)
	if err == nil && filled {
		err = update(ctx, tx, id, is)
	}
	if err != nil {
		return err
	}
	return measured(ctx, tx, id, x.Measurements)
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
		id, _, err := facts(ctx, tx, name)
		if err == nil {
			err = update(ctx, tx, id, x)
		}
		if err != nil {
			return err
		}
		for i, m := range before {
			if why := x.Measurements[i].SetAside; why != m.SetAside {
				if _, err := tx.ExecContext(ctx, "UPDATE measurements SET set_aside = ?1, mark = "+sumName+"(sum, ?1) WHERE id = ?2", why, m.ID); err != nil {
					return err
				}
			}
		}
		return measured(ctx, tx, id, x.Measurements[had:])
	})
}

// Remove drops a string with all that was measured of it, and says what places it was on.
func (s *Store) Remove(ctx context.Context, name string) (was []Place, err error) {
	err = s.change(ctx, func(tx *sql.Tx) (err error) {
		if was, err = s.unstring(ctx, tx, name); err != nil {
			return err
		}
		r, err := tx.ExecContext(ctx, "DELETE FROM strings WHERE name = ?", name)
		return s.dropped(ctx, tx, r, err, "string", "strings", name)
	})
	return was, err
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
