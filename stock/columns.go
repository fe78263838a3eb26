package stock

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	sqlite3 "modernc.org/sqlite/lib"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// factColumns are what a string is without what was measured of it.
var factColumns = []string{"name", "winding", "material", "label", "remain", "sum"}

// factsOf are those of a string.
func factsOf(x String) []any {
	return summed(x.Name, x.Kind.String(), material(x.Material), x.Label, counted(x.Left))
}

// summed are the values of a row, their sum behind them.
func summed(values ...any) []any { return append(values, sumOf(values...)) }

// A row is one that a query found, or one of them.
type row interface{ Scan(...any) error }

// scanFacts reads an ID and factColumns, and what more is wanted.
func scanFacts(r row, x *String, more ...any) (id int64, err error) {
	var kind string
	var left sql.NullInt64
	var sum int64
	if err := r.Scan(append([]any{&id, &x.Name, &kind, &x.Material, &x.Label, &left, &sum}, more...)...); err != nil {
		return 0, unscanned(err, fmt.Sprintf("a string, perhaps %q,", x.Name))
	}
	x.Left = remaining(left)
	if x.Kind, err = traits.ParseKind(kind); err != nil || sum != sumOf(x.Name, kind, x.Material, x.Label, counted(x.Left)) {
		return 0, &damageError{fmt.Sprintf("the string %q", x.Name), err}
	}
	return id, nil
}

// unscanned is the error of a row that does not have what was written.
func unscanned(err error, what string) error {
	if errors.Is(err, sql.ErrNoRows) {
		return err
	}
	return &damageError{what, err}
}

// facts are those of the string of that name. The error is sql.ErrNoRows where there is
// none.
func facts(ctx context.Context, q querier, name string) (id int64, x String, err error) {
	id, err = scanFacts(q.QueryRowContext(ctx, "SELECT id, "+strings.Join(factColumns, ", ")+" FROM strings WHERE name = ?", name), &x)
	return id, x, err
}

// update writes the facts of the string of that ID. The error may be a *TakenError.
func update(ctx context.Context, tx *sql.Tx, id int64, x String) error {
	_, err := tx.ExecContext(ctx, "UPDATE strings SET ("+strings.Join(factColumns, ", ")+") = "+places(len(factColumns))+" WHERE id = ?", append(factsOf(x), id)...)
	if violates(err, sqlite3.SQLITE_CONSTRAINT_UNIQUE) {
		return &TakenError{"string", x.Name}
	}
	return err
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
	return int64(left)
}

// remaining reads it.
func remaining(left sql.NullInt64) int {
	if !left.Valid {
		return traits.Uncounted
	}
	return int(left.Int64)
}

// measurementColumns are what a measurement is, and of which string.
var measurementColumns = []string{"string", "property", "value", "u", "dof", "assumed", "route", "made", "reading", "sum", "set_aside", "mark"}

// sumColumn is where the sum stands among them.
var sumColumn = slices.Index(measurementColumns, "sum")

// appendValues appends those of the measurements of the string of that ID.
func appendValues(to []any, id int64, all []Measurement) []any {
	for _, m := range all {
		from := len(to)
		to = append(to, id, string(m.Property), m.Value, m.U, m.DoF, m.Assumed, m.Route, dated(m.Made), m.Reading)
		sum := sumOf(to[from:]...)
		to = append(to, sum, m.SetAside, sumOf(sum, m.SetAside))
	}
	return to
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

// places stands for a row of n values in a statement.
func places(n int) string { return "(?" + strings.Repeat(", ?", n-1) + ")" }

// inserting is the statement that adds so many rows.
func inserting(table string, columns []string, rows int) string {
	row := places(len(columns))
	return fmt.Sprintf("INSERT INTO %s (%s) VALUES %s%s", table, strings.Join(columns, ", "), row, strings.Repeat(", "+row, rows-1))
}
