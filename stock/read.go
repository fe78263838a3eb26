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
			if err := x.complete(x.measured); err != nil {
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
	var r measuredRow
	f.id, err = scanFacts(rows, &f.String, append([]any{&f.measured, &f.strings}, r.columns()...)...)
	if err != nil || !r.id.Valid {
		f.m = Measurement{}
		return err
	}
	f.m, err = r.measurement(f.id, f.Name)
	return err
}

// A measuredRow is a measurement as the file has it; its ID is null where there is
// none.
type measuredRow struct {
	id, sum, mark                            sql.NullInt64
	property, route, made, reading, setAside sql.NullString
	value, u, dof                            sql.NullFloat64
	assumed                                  sql.NullBool
}

// columns are where its columns go, in their order in selected.
func (r *measuredRow) columns() []any {
	return []any{&r.id, &r.property, &r.value, &r.u, &r.dof, &r.assumed, &r.route, &r.made, &r.reading, &r.sum, &r.setAside, &r.mark}
}

// measurement is the row, of the string of that ID and name, if it is as it was
// written.
func (r *measuredRow) measurement(of int64, name string) (m Measurement, err error) {
	m = Measurement{ID: r.id.Int64, Property: Property(r.property.String), Value: r.value.Float64, U: r.u.Float64, DoF: r.dof.Float64,
		Assumed: r.assumed.Bool, Route: r.route.String, Reading: r.reading.String, SetAside: r.setAside.String}
	if m.Made, err = undated(r.made.String); err == nil {
		err = m.Check()
	}
	if err != nil || r.sum.Int64 != sumOf(of, r.property.String, m.Value, m.U, m.DoF, m.Assumed, m.Route, r.made.String, m.Reading) || r.mark.Int64 != sumOf(r.sum.Int64, m.SetAside) {
		return Measurement{}, &damageError{fmt.Sprintf("measurement %d of the string %q", m.ID, name), err}
	}
	return m, nil
}
