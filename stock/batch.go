package stock

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"math/bits"
	"slices"
	"strings"

	"pluckweigh/physics"
)

// full is how many strings a batch holds: with more, a string takes no less time.
const full = 128

// A batch puts strings into the stock, many with one statement.
type batch struct {
	ctx      context.Context
	tx       *sql.Tx
	h        head
	bad      func(line int, err error)
	done     *Imported
	next     int64  // ID of the next new string
	strings  []line // good ones that wait
	odd      []line // that wait to be told of
	values   []any  // of rows; kept to be used again
	prepared map[string]*sql.Stmt
}

// A line is what became of one of a list.
type line struct {
	number int
	String
	err error
}

func newBatch(ctx context.Context, tx *sql.Tx, h head, done *Imported, bad func(line int, err error)) (*batch, error) {
	b := &batch{ctx: ctx, tx: tx, h: h, bad: bad, done: done, prepared: map[string]*sql.Stmt{}}
	return b, tx.QueryRowContext(ctx, "SELECT coalesce(max(id), 0) + 1 FROM strings").Scan(&b.next)
}

func (b *batch) close() {
	for _, s := range b.prepared {
		s.Close()
	}
}

// add takes a line.
func (b *batch) add(number int, fields []string) error {
	x, err := b.h.parseString(fields)
	if err != nil {
		return b.refuse(number, err)
	}
	x.Material = material(x.Material)
	b.strings = append(b.strings, line{number: number, String: x})
	return b.flushFull()
}

// refuse takes a line that is wrong.
func (b *batch) refuse(number int, err error) error {
	var input *physics.InputError
	if !errors.As(err, &input) {
		return err
	}
	b.odd = append(b.odd, line{number: number, err: err})
	return b.flushFull()
}

func (b *batch) flushFull() error {
	if len(b.strings) < full && len(b.odd) < full {
		return nil
	}
	return b.flush()
}

// A known is a string that is in stock, or new in this batch.
type known struct {
	id int64
	String
	fresh, filled, measured bool
	sums                    map[int64]bool // of the measurements of a fresh one
}

// flush puts what waits into the stock, and tells of what is wrong.
func (b *batch) flush() error {
	all, err := b.find()
	if err != nil {
		return err
	}
	var news []*known
	found := b.values[:0]
	for _, l := range b.strings {
		is, has := all[l.Name]
		if !has {
			is = &known{id: b.next, String: l.String, fresh: true, sums: map[int64]bool{}}
			all[l.Name] = is
			news = append(news, is)
			b.next++
		} else if filled, err := is.fill(l.String); err != nil {
			b.odd = append(b.odd, line{number: l.number, err: err})
			continue
		} else if filled && !is.fresh {
			is.filled = true
		}
		from := len(found)
		found = appendValues(found, is.id, l.Measurements)
		is.measured = is.measured || len(found) > from
		for ; from < len(found) && is.fresh; from += len(measurementColumns) {
			is.sums[found[from+sumColumn].(int64)] = true
		}
	}
	b.strings, b.values = b.strings[:0], found
	if err := b.keep(all, news, found); err != nil {
		return err
	}
	slices.SortStableFunc(b.odd, func(x, y line) int { return cmp.Compare(x.number, y.number) })
	for _, l := range b.odd {
		b.done.Bad++
		b.bad(l.number, l.err)
	}
	b.odd = b.odd[:0]
	return nil
}

// keep writes new strings, what became known of the others, and what was measured.
func (b *batch) keep(all map[string]*known, news []*known, found []any) error {
	var fresh []any
	for _, k := range news {
		fresh = append(fresh, k.id, len(k.sums))
		fresh = append(fresh, factsOf(k.String)...)
	}
	if err := b.insert("strings", append([]string{"id", "measured"}, factColumns...), "", fresh); err != nil {
		return err
	}
	b.done.Strings += len(news)
	if err := b.insert("measurements", measurementColumns, " ON CONFLICT DO NOTHING", found); err != nil {
		return err
	}
	for _, k := range all {
		if k.filled {
			if err := update(b.ctx, b.tx, k.id, k.String); err != nil {
				return err
			}
			b.done.Filled++
		}
		if k.measured && !k.fresh {
			if err := recount(b.ctx, b.tx, k.id); err != nil {
				return err
			}
		}
	}
	return nil
}

// find lists those of the strings that are in stock already, by name.
func (b *batch) find() (map[string]*known, error) {
	all := map[string]*known{}
	var names []any
	for _, l := range b.strings {
		names = append(names, l.Name)
	}
	for len(names) > 0 {
		n := portion(len(names))
		s, err := b.prepare("SELECT id, " + strings.Join(factColumns, ", ") + " FROM strings WHERE name IN " + places(n))
		if err != nil {
			return nil, err
		}
		rows, err := s.QueryContext(b.ctx, names[:n]...)
		if err != nil {
			return nil, err
		}
		for rows.Next() {
			var k known
			if k.id, err = scanFacts(rows, &k.String); err != nil {
				rows.Close()
				return nil, err
			}
			all[k.Name] = &k
		}
		if err := errors.Join(rows.Err(), rows.Close()); err != nil {
			return nil, err
		}
		names = names[n:]
	}
	return all, nil
}

// insert adds rows to a table.
func (b *batch) insert(table string, columns []string, or string, values []any) error {
	for len(values) > 0 {
		rows := portion(len(values) / len(columns))
		s, err := b.prepare(inserting(table, columns, rows) + or)
		if err != nil {
			return err
		}
		n := rows * len(columns)
		r, err := s.ExecContext(b.ctx, values[:n]...)
		if err != nil {
			return err
		}
		added, err := r.RowsAffected()
		if err != nil {
			return err
		}
		if table == "measurements" {
			b.done.Measurements += int(added)
		}
		values = values[n:]
	}
	return nil
}

// portion is how many of n rows one statement takes: a power of two, so that there are
// few statements to prepare.
func portion(n int) int { return 1 << (bits.Len(uint(min(n, full))) - 1) }

// prepare makes a statement ready once.
func (b *batch) prepare(text string) (*sql.Stmt, error) {
	if s, ok := b.prepared[text]; ok {
		return s, nil
	}
	s, err := b.tx.PrepareContext(b.ctx, text)
	if err == nil {
		b.prepared[text] = s
	}
	return s, err
}
