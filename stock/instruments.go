package stock

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strings"

	sqlite3 "modernc.org/sqlite/lib"

	"pluckweigh/physics"
	"pluckweigh/stock/choose"
	"pluckweigh/stock/traits"
)

// AddInstrument keeps a new instrument. The error may be an *physics.InputError, a
// *TakenError, or of a string on it a *MissingError.
func (s *Store) AddInstrument(ctx context.Context, x Instrument) error {
	return s.change(ctx, func(tx *sql.Tx) error { return s.addInstrument(ctx, tx, x) })
}

// addInstrument adds an instrument whole, or, where it is wrong, nothing of it.
func (s *Store) addInstrument(ctx context.Context, tx *sql.Tx, x Instrument) error {
	x, err := x.tuned()
	if err != nil {
		return err
	}
	if err := x.check(); err != nil {
		return err
	}
	on, err := s.stringsOn(ctx, tx, x)
	if err != nil {
		return err
	}
	var id int64
	err = tx.QueryRowContext(ctx, inserting("instruments", instrumentColumns, 1)+" RETURNING id", valuesOf(x)...).Scan(&id)
	if violates(err, sqlite3.SQLITE_CONSTRAINT_UNIQUE) {
		return &TakenError{"instrument", x.Name}
	}
	if err != nil {
		return err
	}
	return s.place(ctx, tx, id, x, on)
}

// instrumentColumns are what an instrument is without its positions.
var instrumentColumns = []string{"name", "a4", "division", "most", "wish", "sum"}

// valuesOf are those of an instrument. Its sum counts its positions too, so that none is
// lost.
func valuesOf(x Instrument) []any {
	values := []any{x.Name, float64(x.A4), x.Division.String(), float64(x.Most), x.Wish.String()}
	return append(values, sumOf(append(values, len(x.Positions))...))
}

// placeColumns are what a position is.
var placeColumns = []string{"instrument", "number", "length", "u_length", "assumed", "semitones", "cents", "said", "kind", "least", "slot", "string", "sum"}

// values are those of a position of an instrument, and of the string on it, or nil.
func (p Position) values(instrument int64, number int, str any) []any {
	return summed(instrument, number, float64(p.Length.Value), float64(p.Length.U), p.Length.Assumed,
		p.Note.Semitones, p.Note.Cents, p.Said, p.Kind.String(), float64(p.Slot.Least), float64(p.Slot.Most), str)
}

// stringsOn are the IDs of the strings on an instrument, by position, nil for none. The
// error may be a *MissingError.
func (s *Store) stringsOn(ctx context.Context, tx *sql.Tx, x Instrument) ([]any, error) {
	ids := make([]any, len(x.Positions))
	for n, name := range x.Strung() {
		if name == "" {
			continue
		}
		id, _, err := facts(ctx, tx, name)
		if errors.Is(err, sql.ErrNoRows) {
			return nil, s.missing(ctx, tx, "string", "strings", name)
		}
		if err != nil {
			return nil, err
		}
		ids[n] = id
	}
	return ids, nil
}

// place writes the positions of an instrument, with the IDs of the strings on them, in
// place of those that it has.
func (s *Store) place(ctx context.Context, tx *sql.Tx, id int64, x Instrument, on []any) error {
	if _, err := tx.ExecContext(ctx, "DELETE FROM positions WHERE instrument = ?", id); err != nil {
		return err
	}
	for n, p := range x.Positions {
		if _, err := tx.ExecContext(ctx, inserting("positions", placeColumns, 1), p.values(id, n+1, on[n])...); err != nil {
			return err
		}
	}
	return nil
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
		return s.rewrite(ctx, tx, name, x)
	})
}

// rewrite writes an instrument in place of that of a name.
func (s *Store) rewrite(ctx context.Context, tx *sql.Tx, name string, x Instrument) error {
	on, err := s.stringsOn(ctx, tx, x)
	if err != nil {
		return err
	}
	var id int64
	err = tx.QueryRowContext(ctx, "UPDATE instruments SET ("+strings.Join(instrumentColumns, ", ")+") = "+places(len(instrumentColumns))+" WHERE name = ? RETURNING id",
		append(valuesOf(x), name)...).Scan(&id)
	if violates(err, sqlite3.SQLITE_CONSTRAINT_UNIQUE) {
		return &TakenError{"instrument", x.Name}
	}
	if err != nil {
		return err
	}
	return s.place(ctx, tx, id, x, on)
}

// StringUp says which strings are on an instrument: the name of one for each position,
// or an empty one for none. The error may be a *MissingError or an
// *physics.InputError.
func (s *Store) StringUp(ctx context.Context, instrument string, names []string) error {
	return s.EditInstrument(ctx, instrument, func(x *Instrument) error {
		if len(names) != len(x.Positions) {
			return &physics.InputError{What: "number of strings", Text: fmt.Sprint(len(names)), Why: fmt.Sprintf("is not that of the positions of %q", instrument),
				Fix: fmt.Sprintf("name %d, in the order of the positions", len(x.Positions))}
		}
		for n, name := range names {
			x.Positions[n].Strung = name
		}
		return nil
	})
}

// unstring takes a string that is to be dropped off all instruments, and says where it was.
func (s *Store) unstring(ctx context.Context, tx *sql.Tx, name string) (was []Place, err error) {
	all, err := s.strungWith(ctx, tx, name)
	for _, x := range all {
		was = append(was, placesOf(x, name)...)
		for n := range x.Positions {
			if p := &x.Positions[n]; p.Strung == name {
				p.Strung = ""
			}
		}
		if err == nil {
			err = s.rewrite(ctx, tx, x.Name, x)
		}
	}
	return was, err
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
	rows, err := q.QueryContext(ctx, "SELECT i.id, i."+strings.Join(instrumentColumns, ", i.")+", p."+strings.Join(placeColumns[1:], ", p.")+
		" FROM instruments i LEFT JOIN positions p ON p.instrument = i.id "+where+" ORDER BY i.name, p.number", args...)
	if err != nil {
		return nil, s.told(err)
	}
	defer rows.Close()
	var out []Instrument
	var sums []int64
	on := map[int64][]*string{} // where the names of strings belong
	for rows.Next() {
		x, sum, p, str, err := scanPosition(rows)
		if err != nil {
			return nil, s.told(err)
		}
		if len(out) == 0 || out[len(out)-1].Name != x.Name {
			// A place for all, so that none moves.
			x.Positions = make([]Position, 0, mostPositions)
			out, sums = append(out, x), append(sums, sum)
		}
		last := &out[len(out)-1]
		if len(last.Positions) == mostPositions {
			return nil, s.told(&damageError{fmt.Sprintf("the instrument %q", x.Name), nil})
		}
		last.Positions = append(last.Positions, p)
		if str != 0 {
			on[str] = append(on[str], &last.Positions[len(last.Positions)-1].Strung)
		}
	}
	if err := errors.Join(rows.Err(), rows.Close()); err != nil {
		return nil, s.told(err)
	}
	if err := nameStrings(ctx, q, on); err != nil {
		return nil, s.told(err)
	}
	for i := range out {
		out[i].Positions = slices.Clone(out[i].Positions)
		x := out[i]
		values := valuesOf(x)
		if err := x.check(); err != nil || sums[i] != values[len(values)-1] {
			return nil, s.told(&damageError{fmt.Sprintf("the instrument %q", x.Name), err})
		}
	}
	return out, nil
}

// nameStrings writes the names of strings, by ID.
func nameStrings(ctx context.Context, q querier, to map[int64][]*string) error {
	for id, names := range to {
		var x String
		_, err := scanFacts(q.QueryRowContext(ctx, "SELECT id, "+strings.Join(factColumns, ", ")+" FROM strings WHERE id = ?", id), &x)
		if errors.Is(err, sql.ErrNoRows) {
			err = &damageError{"a string on an instrument", err}
		}
		if err != nil {
			return err
		}
		for _, name := range names {
			*name = x.Name
		}
	}
	return nil
}

// scanPosition reads a row: an instrument without its positions, its sum, one of these,
// and the ID of the string on it, 0 for none.
func scanPosition(r row) (x Instrument, sum int64, p Position, str int64, err error) {
	var id int64
	var number, semitones, on, sumOfPlace sql.NullInt64
	var length, u, cents, least, most sql.NullFloat64
	var assumed sql.NullBool
	var division, wish string
	var said, kind sql.NullString
	err = r.Scan(&id, &x.Name, &x.A4, &division, &x.Most, &wish, &sum,
		&number, &length, &u, &assumed, &semitones, &cents, &said, &kind, &least, &most, &on, &sumOfPlace)
	if err != nil {
		return x, 0, p, 0, unscanned(err, fmt.Sprintf("an instrument, perhaps %q,", x.Name))
	}
	p.Length = physics.Measured[physics.Length]{Value: physics.Length(length.Float64), U: physics.Length(u.Float64), Assumed: assumed.Bool}
	p.Note = physics.Note{Semitones: int(semitones.Int64), Cents: cents.Float64}
	p.Said, p.Slot = said.String, choose.Slot{Least: physics.Length(least.Float64), Most: physics.Length(most.Float64)}
	if division != "" {
		x.Division, err = physics.ParseDivision(division)
	}
	if err == nil {
		x.Wish, err = ParseWish(wish)
	}
	if err == nil {
		p.Kind, err = traits.ParseKind(kind.String)
	}
	var of any
	if on.Valid {
		of = on.Int64
	}
	values := p.values(id, int(number.Int64), of)
	if err != nil || sumOfPlace.Int64 != values[len(values)-1] {
		err = &damageError{fmt.Sprintf("the instrument %q", x.Name), err}
	}
	return x, sum, p, on.Int64, err
}
