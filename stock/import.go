package stock

import (
	"context"
	"database/sql"
	"errors"
	"io"

	"pluckweigh/physics"
)

// Imported counts what came of a list.
type Imported struct {
	Lines        int // with a string, good or bad
	Bad          int
	Strings      int // that are new
	Filled       int // that were there, and of which more is known now
	Measurements int // that are new
}

// Import adds the strings of a list, as Export writes one, and what was measured of
// them, in a single transaction. What is in stock already is not added again; what was
// not known of it is filled in, and nothing is overwritten. bad is told of each line that cannot be taken, by its number
// from 1; the others are taken all the same. In a dry run nothing is changed. The
// error, which concerns the list as a whole or the file, may be an *physics.InputError.
func (s *Store) Import(ctx context.Context, from io.Reader, dry bool, bad func(line int, err error)) (n Imported, err error) {
	r, err := newLineReader(from)
	if err != nil {
		return n, err
	}
	first, _, err := r.next()
	if err == io.EOF {
		return n, &physics.InputError{What: "list", Why: "is empty", Fix: "begin it with a line like: name,kind,unit weight (g/m)"}
	}
	if err != nil {
		return n, err
	}
	h, err := parseHead(first)
	if err != nil {
		return n, err
	}
	err = s.change(ctx, func(tx *sql.Tx) error {
		if err := takeStrings(ctx, tx, r, h, &n, bad); err != nil {
			return err
		}
		if dry {
			return errDry
		}
		return nil
	})
	if errors.Is(err, errDry) {
		err = nil
	}
	return n, err
}

// errDry undoes what a dry run did.
var errDry = errors.New("dry run")

// takeStrings puts the strings of a list's lines into the stock.
func takeStrings(ctx context.Context, tx *sql.Tx, r *lineReader, h head, n *Imported, bad func(line int, err error)) error {
	stopped := ctx.Err
	ctx = context.WithoutCancel(ctx) // watching for it in each statement takes longer than most of them
	b, err := newBatch(ctx, tx, n, bad)
	if err != nil {
		return err
	}
	defer b.close()
	for {
		fields, number, err := r.next()
		if err == io.EOF {
			return b.flush()
		}
		if err := stopped(); err != nil {
			return err
		}
		n.Lines++
		var x String
		if err == nil {
			x, err = h.parseLine(fields)
		}
		var input *physics.InputError
		switch {
		case err == nil:
			err = b.add(number, x)
		case errors.As(err, &input):
			err = b.refuse(number, err)
		}
		if err != nil {
			return err
		}
	}
}
