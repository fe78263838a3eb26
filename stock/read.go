package stock

import (
	"context"
	"database/sql"
	"fmt"
	"iter"
)

// selected reads strings with their measurements, a row for each of these. Of what is
// found by an index it is counted how much there must be.
const selected = `SELECT s.id, s.name, s.winding, s.material, s.label, s.remain, s.sum, s.measured, (SELECT count(*) FROM strings NOT INDEXED),
	m.id, m.property, m.value, m.u, m.dof, m.assumed, m.route, m.made, m.reading, m.sum, m.set_aside, m.mark
	FROM strings s LEFT JOIN measurements m ON m.string = s.id `

// String is the string of that name. The error may be a *MissingError.
func (s *Store) String(ctx context.Context, name string) (String, error) {
	return s.one(ctx, s.db, name)
}

// one is the string of that name, as a transaction or anybody sees it.
func (s *Store) one(ctx context.Context, q querier, name string) (String, error) {
	for x, err := range s.read(ctx, q, false, selected+"WHERE s.name = ? ORDER BY m.id", name) {
		return x, err
	}
	return String{}, s.missing(ctx, q, "string", "strings", name)
}

// Strings lists all strings by name.
func (s *Store) Strings(ctx context.Context) ([]String, error) {
	var out []String
	for x, err := range s.All(ctx) {
		if err != nil {
			return nil, err
		}
		out = append(out, x)
	}
	return out, nil
}

// All goes through the strings by name, without holding all in memory. It ends at
// the first error.
func (s *Store) All(ctx context.Context) iter.Seq2[String, error] {
	return s.read(ctx, s.db, true, selected+"ORDER BY s.name, m.id")
}

// read makes strings of rows of which those of one string follow each other: of all
// strings, or not.
func (s *Store) read(ctx context.Context, q querier, all bool, query string, args ...any) iter.Seq2[String, error] {
	return func(yield func(String, error) bool) {
		rows, err := q.QueryContext(ctx, query, args...)
		if err != nil {
			yield(String{}, s.told(err))
			return
		}
		defer rows.Close()
		var x, next found
		n := 0 // strings
		finish := func() bool {
			if len(x.Measurements) != x.measured {
				err := &damageError{fmt.Sprintf("the string %q", x.Name), fmt.Errorf("%d of its measurements are missing", x.measured-len(x.Measurements))}
				yield(String{}, s.told(err))
				return false
			}
			x.settle()
			return yield(x.String, nil)
		}
		for rows.Next() {
			if err := next.scan(rows); err != nil {
				yield(String{}, s.told(err))
				return
			}
			if n == 0 || next.id != x.id {
				if n > 0 && !finish() {
					return
				}
				n++
				x = next
				x.Measurements = nil
			}
			if next.m.ID != 0 {
				x.Measurements = append(x.Measurements, next.m)
			}
		}
		if err := rows.Err(); err != nil {
			yield(String{}, s.told(err))
			return
		}
		if n > 0 && !finish() {
			return
		}
		if all && n > 0 && n != x.strings {
			yield(String{}, s.told(&damageError{"the list of strings", fmt.Errorf("%d are missing", x.strings-n)}))
		}
	}
}

// A found is what a row has: a string, how many measurements it has, how many strings
// there are, and one of its measurements, the ID of which is 0 where there is none.
type found struct {
	id                int64
	measured, strings int
	String
	m Measurement
}

// scan reads a row.
func (f *found) scan(rows *sql.Rows) (err error) {
	var (
		number, sum, mark                        sql.NullInt64
		property, route, made, reading, setAside sql.NullString
		value, u, dof                            sql.NullFloat64
		assumed                                  sql.NullBool
	)
	f.id, err = scanFacts(rows, &f.String, &f.measured, &f.strings, &number, &property, &value, &u, &dof, &assumed, &route, &made, &reading, &sum, &setAside, &mark)
	if err != nil {
		return err
	}
	f.m = Measurement{ID: number.Int64, Property: Property(property.String), Value: value.Float64, U: u.Float64, DoF: dof.Float64,
		Assumed: assumed.Bool, Route: route.String, Reading: reading.String, SetAside: setAside.String}
	if !number.Valid {
		return nil
	}
	m := &f.m
	if m.Made, err = undated(made.String); err == nil {
		err = m.Check()
	}
	if err != nil || sum.Int64 != sumOf(f.id, property.String, m.Value, m.U, m.DoF, m.Assumed, m.Route, made.String, m.Reading) || mark.Int64 != sumOf(sum.Int64, m.SetAside) {
		return &damageError{fmt.Sprintf("measurement %d of the string %q", m.ID, f.Name), err}
	}
	return nil
}
