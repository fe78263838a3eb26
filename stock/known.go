package stock

import (
	"context"
	"database/sql"
	"fmt"
	"strings"

	"pluckweigh/physics"
)

// Known lists what is known of all strings, in the order in which they came into the
// file: quicker than All, and without the measurements that it follows of, for whoever
// chooses or recognises one of many.
func (s *Store) Known(ctx context.Context) ([]String, error) {
	tx, err := s.db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true}) // both tables as they are at one moment
	if err != nil {
		return nil, s.told(err)
	}
	defer tx.Rollback()
	k := knowing{}
	var n int
	if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM strings").Scan(&n); err != nil {
		return nil, s.told(err)
	}
	k.strings, k.measured, k.of = make([]String, 0, n), make([]int, 0, n), make(map[int64]int, n)
	for _, read := range []struct {
		query string
		row   func(*sql.Rows) error
	}{
		// Each table from one end to the other, without an index.
		{"SELECT id, " + strings.Join(factColumns, ", ") + ", measured FROM strings NOT INDEXED", k.addString},
		{"SELECT string, id, property, value, u, dof, assumed, route, made, reading, sum, set_aside, mark FROM measurements NOT INDEXED", k.addMeasurement},
	} {
		if err := each(ctx, tx, read.query, read.row); err != nil {
			return nil, s.told(err)
		}
	}
	if len(k.strings) < n { // by the index of names
		return nil, s.told(&damageError{"the list of strings", fmt.Errorf("%d are missing", n-len(k.strings))})
	}
	if err := k.settle(); err != nil {
		return nil, s.told(err)
	}
	return k.strings, nil
}

// each has a query's rows read.
func each(ctx context.Context, q querier, query string, row func(*sql.Rows) error) error {
	rows, err := q.QueryContext(ctx, query)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := row(rows); err != nil {
			return err
		}
	}
	return rows.Err()
}

// usual is how many measurements most strings have at most.
const usual = 8

// knowing is what was read so far.
type knowing struct {
	strings  []String
	measured []int         // how many measurements each has
	of       map[int64]int // which string an ID is
}

func (k *knowing) addString(rows *sql.Rows) error {
	var x String
	var measured int
	id, err := scanFacts(rows, &x, &measured)
	if err != nil {
		return err
	}
	k.of[id] = len(k.strings)
	x.Measurements = make([]Measurement, 0, min(max(measured, 0), usual))
	k.strings, k.measured = append(k.strings, x), append(k.measured, measured)
	return nil
}

func (k *knowing) addMeasurement(rows *sql.Rows) error {
	var id int64
	var r measuredRow
	if err := rows.Scan(append([]any{&id}, r.columns()...)...); err != nil {
		return unscanned(err, "a measurement")
	}
	i, ok := k.of[id]
	if !ok {
		return &damageError{fmt.Sprintf("measurement %d", r.id.Int64), fmt.Errorf("its string is missing")}
	}
	m, err := r.measurement(id, k.strings[i].Name)
	if err == nil {
		k.strings[i].Measurements = append(k.strings[i].Measurements, m)
	}
	return err
}

// settle works out what follows of the measurements, and lets go of these.
func (k *knowing) settle() error {
	materials := map[string]physics.Material{}
	for i := range k.strings {
		x := &k.strings[i]
		if err := x.complete(k.measured[i]); err != nil {
			return err
		}
		m, ok := materials[x.Material]
		if !ok {
			m = x.madeOf()
			materials[x.Material] = m
		}
		x.settleOf(m)
		x.Measurements = nil
	}
	return nil
}
