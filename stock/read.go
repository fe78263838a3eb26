package stock

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"iter"
)

// selected reads strings with their measurements, a row for each of these.
const selected = `SELECT s.id, s.name, s.winding, s.material, s.label, s.remain,
	m.id, m.property, m.value, m.u, m.dof, m.assumed, m.route, m.made, m.reading, m.set_aside
	FROM strings s LEFT JOIN measurements m ON m.string = s.id `

// String is the string of that name. The error may be a *MissingError.
func (s *Store) String(ctx context.Context, name string) (String, error) {
	return s.one(ctx, s.db, name)
}

// one is the string of that name, as a transaction or anybody sees it.
func (s *Store) one(ctx context.Context, q querier, name string) (String, error) {
	for x, err := range s.read(ctx, q, selected+"WHERE s.name = ? ORDER BY m.id", name) {
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
	return s.read(ctx, s.db, selected+"ORDER BY s.name, m.id")
}

// read makes strings of rows of which those of one string follow each other.
func (s *Store) read(ctx context.Context, q querier, query string, args ...any) iter.Seq2[String, error] {
	return func(yield func(String, error) bool) {
		rows, err := q.QueryContext(ctx, query, args...)
		if err != nil {
			yield(String{}, s.told(err))
			return
		}
		defer rows.Close()
		var x String
		var last int64 // ID of x; 0 for none yet
		for rows.Next() {
			id, next, m, err := scan(rows)
			if err != nil {
				yield(String{}, s.told(err))
				return
			}
			if id != last {
				x.settle()
				if last != 0 && !yield(x, nil) {
					return
				}
				x, last = next, id
			}
			if m != nil {
				x.Measurements = append(x.Measurements, *m)
			}
		}
		if err := rows.Err(); err != nil {
			yield(String{}, s.told(err))
			return
		}
		if x.settle(); last != 0 {
			yield(x, nil)
		}
	}
}

// scan reads a row: a string's ID, the string, and a measurement if there is one.
func scan(rows *sql.Rows) (id int64, x String, m *Measurement, err error) {
	var (
		number                                   sql.NullInt64
		property, route, made, reading, setAside sql.NullString
		value, u, dof                            sql.NullFloat64
		assumed                                  sql.NullBool
	)
	id, err = scanFacts(rows, &x, &number, &property, &value, &u, &dof, &assumed, &route, &made, &reading, &setAside)
	if err != nil {
		return 0, String{}, nil, err
	}
	if !number.Valid {
		return id, x, nil, nil
	}
	m = &Measurement{ID: number.Int64, Property: Property(property.String), Value: value.Float64, U: u.Float64, DoF: dof.Float64,
		Assumed: assumed.Bool, Route: route.String, Reading: reading.String, SetAside: setAside.String}
	if m.Made, err = undated(made.String); err == nil {
		err = m.Check()
	}
	if err != nil {
		return 0, String{}, nil, errors.Join(fmt.Errorf("measurement %d of %q cannot be read", m.ID, x.Name), err)
	}
	return id, x, m, nil
}
