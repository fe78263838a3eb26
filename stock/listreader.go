package stock

import (
	"encoding/csv"
	"io"
)

// ListReader reads the lines of any list, as Import reads one of strings: of fields parted
// by commas, or, where the first line has none, by semicolons or tabs. A line's fields
// hold until the next is read.
func ListReader(from io.Reader) (*csv.Reader, error) { return listReader(from) }
