package stock

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"strings"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
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
	k := knowing{texts: map[string]string{}}
	var n int
	if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM strings").Scan(&n); err != nil {
		return nil, s.told(err)
	}
	k.strings, k.measured, k.of = make([]String, 0, n), make([]int, 0, n), make(map[int64]int, n)
	if err := gather(ctx, tx, "strings NOT INDEXED", "id, "+strings.Join(factColumns, ", ")+", measured", k.addString); err != nil {
		return nil, s.told(err)
	}
	if err := gather(ctx, tx, "measurements NOT INDEXED", "id, set_aside, mark, sum, "+strings.Join(measurementColumns[:sumColumn], ", "), k.addMeasurement); err != nil {
		return nil, s.told(err)
	}
	if len(k.strings) < n { // by the index of names
		return nil, s.told(&damageError{"the list of strings", fmt.Errorf("%d are missing", n-len(k.strings))})
	}
	if err := k.settle(); err != nil {
		return nil, s.told(err)
	}
	return k.strings, nil
}

// usual is how many measurements most strings have at most.
const usual = 8

// knowing is what was read so far.
type knowing struct {
	strings  []String
	measured []int             // how many measurements each has
	of       map[int64]int     // which string an ID is
	texts    map[string]string // those that many rows have, each once
	lastID   int64             // of the string that the measurement before was of
	last     *String
}

// addString takes a row: ID, factColumns and how many measurements there are.
func (k *knowing) addString(row []driver.Value) error {
	id, ok0 := row[0].(int64)
	name, ok1 := row[1].(string)
	kind, ok2 := row[2].(string)
	of, ok3 := row[3].(string)
	label, ok4 := row[4].(string)
	left, counted := row[5].(int64)
	sum, ok5 := row[6].(int64)
	measured, ok6 := row[7].(int64)
	if !(ok0 && ok1 && ok2 && ok3 && ok4 && (counted || row[5] == nil) && ok5 && ok6) || sum != sumOf(name, kind, of, label, row[5]) {
		return &damageError{what: fmt.Sprintf("the string %q", strings.Clone(name))}
	}
	x := String{Material: k.text(of), Label: strings.Clone(label), Measurements: make([]Measurement, 0, min(max(measured, 0), usual))}
	x.Name, x.Left = strings.Clone(name), traits.Uncounted
	if counted {
		x.Left = int(left)
	}
	var err error
	if x.Kind, err = traits.ParseKind(kind); err != nil {
		return &damageError{fmt.Sprintf("the string %q", x.Name), err}
	}
	k.of[id] = len(k.strings)
	k.strings, k.measured = append(k.strings, x), append(k.measured, int(measured))
	return nil
}

// addMeasurement takes a row: ID, why it is set aside, the two sums, and what the first is of.
// When it was made and of what reading is not kept: nothing follows of it.
func (k *knowing) addMeasurement(row []driver.Value) error {
	id, ok0 := row[0].(int64)
	aside, ok1 := row[1].(string)
	mark, ok2 := row[2].(int64)
	sum, ok3 := row[3].(int64)
	of, ok4 := row[4].(int64)
	property, ok5 := row[5].(string)
	value, ok6 := row[6].(float64)
	u, ok7 := row[7].(float64)
	dof, ok8 := row[8].(float64)
	assumed, ok9 := row[9].(int64)
	route, ok10 := row[10].(string)
	_, ok11 := row[11].(string)
	_, ok12 := row[12].(string)
	if !(ok0 && ok1 && ok2 && ok3 && ok4 && ok5 && ok6 && ok7 && ok8 && ok9 && ok10 && ok11 && ok12) {
		return &damageError{what: fmt.Sprintf("measurement %d", id)}
	}
	if k.last == nil || of != k.lastID {
		i, ok := k.of[of]
		if !ok {
			return &damageError{fmt.Sprintf("measurement %d", id), errors.New("its string is missing")}
		}
		k.lastID, k.last = of, &k.strings[i]
	}
	x := k.last
	m := Measurement{ID: id, Property: Property(k.text(property)), Value: value, U: u, DoF: dof, Assumed: assumed != 0, Route: k.text(route), SetAside: k.text(aside)}
	err := m.Check()
	if err != nil || sum != sumOf(of, property, value, u, dof, assumed, route, row[11], row[12]) || mark != sumOf(sum, aside) {
		return &damageError{fmt.Sprintf("measurement %d of the string %q", id, x.Name), err}
	}
	x.Measurements = append(x.Measurements, m)
	return nil
}

// text is a text that may be kept.
func (k *knowing) text(s string) string {
	kept, ok := k.texts[s]
	if !ok {
		kept = strings.Clone(s)
		k.texts[kept] = kept
	}
	return kept
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
