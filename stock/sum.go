package stock

import (
	"database/sql/driver"
	"fmt"
	"math"

	"modernc.org/sqlite"
)

// A file may be damaged so that SQLite does not see it: a number may have changed. So each
// row of a table has a sum of its values, which is made when it is written and compared
// when it is read.

// sumOf is the FNV-1a hash, 64 bits, of values as the file has them, each with its kind and
// length (draft-eastlake-fnv). Any single byte that changes changes it.
func sumOf(values ...any) int64 {
	const offset, prime = 14695981039346656037, 1099511628211
	h := uint64(offset)
	mix := func(b byte) { h = (h ^ uint64(b)) * prime }
	number := func(kind byte, v uint64) {
		mix(kind)
		for i := range 8 {
			mix(byte(v >> (8 * i)))
		}
	}
	for _, v := range values {
		switch v := v.(type) {
		case nil:
			mix(0)
		case bool:
			n := uint64(0)
			if v {
				n = 1
			}
			number(1, n)
		case int:
			number(1, uint64(v))
		case int64:
			number(1, uint64(v))
		case float64:
			number(2, math.Float64bits(v))
		case string:
			number(3, uint64(len(v)))
			for i := range len(v) {
				mix(v[i])
			}
		default:
			panic(fmt.Sprintf("stock: a file has no %T", v))
		}
	}
	return int64(h)
}

// sumName is sumOf in SQL, for migrations.
const sumName = "stock_sum"

func init() {
	sqlite.MustRegisterDeterministicScalarFunction(sumName, -1, func(_ *sqlite.FunctionContext, args []driver.Value) (driver.Value, error) {
		values := make([]any, len(args))
		for i, a := range args {
			if b, ok := a.([]byte); ok {
				a = string(b)
			}
			values[i] = a
		}
		return sumOf(values...), nil
	})
}

// A damageError is something in the file that is not as it was written.
type damageError struct {
	what string // such as `the string "E"`
	why  error  // may be nil
}

func (e *damageError) Error() string {
	if e.why != nil {
		return fmt.Sprintf("%s cannot be read: %v", e.what, e.why)
	}
	return e.what + " is not as it was written"
}
func (e *damageError) Unwrap() error { return e.why }
