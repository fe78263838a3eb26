package stock

import (
	"context"
	"database/sql/driver"
	"fmt"
	"sync"
	"sync/atomic"

	"modernc.org/sqlite"
)

// Rows by the hundred thousand take a quarter of the time where SQLite hands them over one by
// one as it goes through the table, to a function of ours, and not by the way of database/sql.

// gatherName is the aggregate function in SQL that hands rows over. Its first argument is the
// number of a gathering.
const gatherName = "stock_gather"

var (
	gatherings sync.Map // by number
	gathered   atomic.Int64
)

// A gathering takes rows. Texts among the values are not to be kept: they are SQLite's own.
type gathering struct {
	row func(values []driver.Value) error
	err error // of the row that could not be taken
}

func init() {
	sqlite.MustRegisterFunction(gatherName, &sqlite.FunctionImpl{
		NArgs: -1, VolatileArgs: true,
		MakeAggregate: func(sqlite.FunctionContext) (sqlite.AggregateFunction, error) { return &handing{}, nil },
	})
}

// gather has all rows of what is said after FROM taken, in whatever order SQLite finds them.
func gather(ctx context.Context, q querier, from, columns string, row func([]driver.Value) error, args ...any) error {
	g, id := &gathering{row: row}, gathered.Add(1)
	gatherings.Store(id, g)
	defer gatherings.Delete(id)
	var n int
	err := q.QueryRowContext(ctx, "SELECT "+gatherName+" (?, "+columns+") FROM "+from, append([]any{id}, args...)...).Scan(&n)
	if g.err != nil {
		return g.err
	}
	return err
}

// handing hands rows over to a gathering; it is one evaluation of the function.
type handing struct {
	to   *gathering
	rows int64
}

func (h *handing) Step(_ *sqlite.FunctionContext, values []driver.Value) error {
	if h.to == nil {
		g, ok := gatherings.Load(values[0])
		if !ok {
			return fmt.Errorf("%s is for programs that keep a stock", gatherName)
		}
		h.to = g.(*gathering)
	}
	h.rows++
	h.to.err = h.to.row(values[1:])
	return h.to.err
}

func (h *handing) WindowInverse(*sqlite.FunctionContext, []driver.Value) error { return nil }

func (h *handing) WindowValue(*sqlite.FunctionContext) (driver.Value, error) { return h.rows, nil }

func (h *handing) Final(*sqlite.FunctionContext) {}
