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
	Lines        int // but the first and blank ones
	Bad          int
	Strings      int // that are new
	Filled       int // that were there, and of which more is known now
	Measurements int // that are new

	OfInstruments bool // the list was of them
	Instruments   int  // that are new
}

// Import adds the strings of a list, as Export writes one, and what was measured of
// them, or the instruments of one, as of ExportInstruments, in a single transaction. What is in stock already is not added again; what was
// not known of it is filled in, and nothing is overwritten. bad is told of each line that cannot be taken, by its number
// from 1; the others are taken all the same. In a dry run nothing is changed. The
// error, which concerns the list as a whole or the file, may be an *physics.InputError.
func (s *Store) Import(ctx context.Context, from io.Reader, dry bool, bad func(line int, err error)) (n Imported, err error) {
	r, err := NewLineReader(from)
	if err != nil {
		return n, err
	}
	first, _, err := r.Next()
	if err == io.EOF {
		return n, &physics.InputError{What: "list", Why: "is empty", Fix: "begin it with a line like: " + stringForm.example}
	}
	if err != nil {
		return n, err
	}
	h, err := parseHead(first)
	if err != nil {
		return n, err
	}
	n.OfInstruments = h.form == &instrumentForm
	err = s.change(ctx, func(tx *sql.Tx) error {
		if err := s.take(ctx, tx, r, h, &n, bad); err != nil {
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

// A taker takes the lines of a list, one after another. What is wrong with one, an
// *physics.InputError, it tells of.
type taker interface {
	add(number int, line []string) error
	refuse(number int, err error) error // an unreadable one
	flush() error                       // at the end
}

// take puts the lines of a list into the stock.
func (s *Store) take(ctx context.Context, tx *sql.Tx, r *LineReader, h head, n *Imported, bad func(line int, err error)) error {
	stopped := ctx.Err
	ctx = context.WithoutCancel(ctx) // watching for it in each statement takes longer than most of them
	var to taker = &assembler{s: s, ctx: ctx, tx: tx, h: h, bad: bad, done: n}
	if h.form == &stringForm {
		b, err := newBatch(ctx, tx, h, n, bad)
		if err != nil {
			return err
		}
		defer b.close()
		to = b
	}
	for {
		line, number, err := r.Next()
		if err == io.EOF {
			return to.flush()
		}
		if err := stopped(); err != nil {
			return err
		}
		n.Lines++
		if err == nil {
			err = to.add(number, line)
		} else {
			err = to.refuse(number, err)
		}
		if err != nil {
			return err
		}
	}
}
