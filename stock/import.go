package stock

import (
	"bufio"
	"bytes"
	"context"
	"database/sql"
	"encoding/csv"
	"errors"
	"fmt"
	"io"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// Imported counts what came of a list.
type Imported struct {
	Lines        int // with a string, good or bad
	Bad          int
	Strings      int // that are new
	Measurements int // that are new
}

// Import adds the strings of a list, as Export writes one, and what was measured of
// them, in a single transaction. What is in stock already is not added again, and
// nothing is overwritten. bad is told of each line that cannot be taken, by its number
// from 1; the others are taken all the same. In a dry run nothing is changed. The
// error, which concerns the list as a whole or the file, may be an *physics.InputError.
func (s *Store) Import(ctx context.Context, from io.Reader, dry bool, bad func(line int, err error)) (n Imported, err error) {
	r, err := listReader(from)
	if err != nil {
		return n, err
	}
	first, err := r.Read()
	if err == io.EOF {
		return n, &physics.InputError{What: "list", Why: "is empty", Fix: "begin it with a line like: name,kind,unit weight (g/m)"}
	}
	if err != nil {
		return n, unreadable(err)
	}
	h, err := parseHead(first)
	if err != nil {
		return n, err
	}
	width := len(first)
	err = s.change(ctx, func(tx *sql.Tx) error {
		stopped := ctx.Err
		ctx := context.WithoutCancel(ctx) // watching for it in each statement takes longer than most of them
		put, err := newPutter(ctx, tx)
		if err != nil {
			return err
		}
		defer put.close()
		for {
			fields, err := r.Read()
			if err == io.EOF {
				break
			}
			if err := stopped(); err != nil {
				return err
			}
			n.Lines++
			line := 0
			var odd *csv.ParseError
			switch {
			case errors.As(err, &odd):
				line, err = odd.StartLine, &physics.InputError{What: "line", Why: "is not CSV: " + odd.Err.Error(), Fix: `write " within quotes as ""`}
			case err != nil:
				return err
			case len(fields) > width:
				line, _ = r.FieldPos(0)
				err = &physics.InputError{What: "line", Why: fmt.Sprintf("has %d fields, and the first %d", len(fields), width), Fix: "put quotes about a field with a comma"}
			default:
				line, _ = r.FieldPos(0)
				var x String
				if x, err = h.parseLine(fields); err == nil {
					err = put.put(ctx, x, &n)
				}
			}
			var input *physics.InputError
			if errors.As(err, &input) {
				n.Bad++
				bad(line, err)
			} else if err != nil {
				return err
			}
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

// listReader reads lines of fields parted by commas, or, where the first line has none,
// by semicolons or tabs.
func listReader(from io.Reader) (*csv.Reader, error) {
	b := bufio.NewReaderSize(from, 1<<16)
	if mark, _ := b.Peek(3); string(mark) == "\ufeff" {
		b.Discard(len(mark))
	}
	first, err := b.Peek(4096)
	if err != nil && err != io.EOF {
		return nil, err
	}
	first, _, _ = bytes.Cut(first, []byte("\n"))
	r := csv.NewReader(b)
	r.FieldsPerRecord, r.ReuseRecord = -1, true
	for _, c := range []rune{',', ';', '\t'} {
		if bytes.ContainsRune(first, c) {
			r.Comma = c
			break
		}
	}
	return r, nil
}

// unreadable words why the first line cannot be read.
func unreadable(err error) error {
	var odd *csv.ParseError
	if errors.As(err, &odd) {
		return &physics.InputError{What: "list", Why: "does not begin with a line of CSV", Fix: "begin it with a line like: name,kind,unit weight (g/m)"}
	}
	return err
}

// A putter adds strings one after another.
type putter struct {
	add, find *sql.Stmt
	measure   [mostInLine + 1]*sql.Stmt // so many measurements
}

// mostInLine is how many measurements a line may have.
const mostInLine = 3

func newPutter(ctx context.Context, tx *sql.Tx) (p *putter, err error) {
	p = &putter{}
	type statement struct {
		to   **sql.Stmt
		text string
	}
	all := []statement{
		{&p.add, "INSERT INTO strings (name, winding, material, label, remain) VALUES (?, ?, ?, ?, ?) ON CONFLICT DO NOTHING RETURNING id"},
		{&p.find, "SELECT id, winding, material, label, remain FROM strings WHERE name = ?"},
	}
	for n := 1; n <= mostInLine; n++ {
		all = append(all, statement{&p.measure[n], insertMeasurements(n)})
	}
	for _, s := range all {
		if *s.to, err = tx.PrepareContext(ctx, s.text); err != nil {
			p.close()
			return nil, err
		}
	}
	return p, nil
}

func (p *putter) close() {
	for _, s := range append(p.measure[:], p.add, p.find) {
		if s != nil {
			s.Close()
		}
	}
}

// put adds a string, or what was measured of it to the one that is there. The error
// is an *physics.InputError where that one is another.
func (p *putter) put(ctx context.Context, x String, n *Imported) error {
	x.Material = material(x.Material)
	var id int64
	err := p.add.QueryRowContext(ctx, x.Name, x.Kind.String(), x.Material, x.Label, counted(x.Left)).Scan(&id)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		var is String
		var kind string
		var left sql.NullInt64
		if err := p.find.QueryRowContext(ctx, x.Name).Scan(&id, &kind, &is.Material, &is.Label, &left); err != nil {
			return err
		}
		is.Left = remaining(left)
		if is.Kind, err = traits.ParseKind(kind); err != nil {
			return err
		}
		if err := differs(x, is); err != nil {
			return err
		}
	case err != nil:
		return err
	default:
		n.Strings++
	}
	if len(x.Measurements) == 0 {
		return nil
	}
	r, err := p.measure[len(x.Measurements)].ExecContext(ctx, argumentsOf(id, x.Measurements)...)
	if err != nil {
		return err
	}
	added, err := r.RowsAffected()
	n.Measurements += int(added)
	return err
}

// differs returns an *physics.InputError where a string is said to be what it is
// not in stock.
func differs(x, is String) error {
	for _, c := range []struct {
		what, said, is string
		differs        bool
	}{
		{kindColumn, x.Kind.String(), is.Kind.String(), x.Kind != traits.EitherKind && x.Kind != is.Kind},
		{materialColumn, x.Material, is.Material, x.Material != "" && x.Material != is.Material},
		{labelColumn, x.Label, is.Label, x.Label != "" && x.Label != is.Label},
		{leftColumn, fmt.Sprint(x.Left), fmt.Sprint(is.Left), x.Left != traits.Uncounted && x.Left != is.Left},
	} {
		if c.differs {
			if c.is == fmt.Sprint(traits.Uncounted) {
				c.is = ""
			}
			return &physics.InputError{What: c.what, Text: c.said, Why: fmt.Sprintf("is not what is in stock of %q: %q", x.Name, c.is),
				Fix: "leave it out, or change what is in stock with `pluckweigh stock edit`"}
		}
	}
	return nil
}
