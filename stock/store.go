package stock

import (
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"time"

	_ "modernc.org/sqlite" // pure Go: the build without cgo has it too
)

// A Store is a file that a stock is kept in. Several programs may use it at once.
type Store struct {
	path string
	db   *sql.DB
	file os.FileInfo // as it was opened
}

// patience is how long another program is waited for: a list of 100 000 strings takes it
// some seconds.
const patience = 30 * time.Second

// retry is how soon what SQLite did not wait for is tried again.
const retry = 5 * time.Millisecond

// applicationID marks the file as a stock: "plwg".
const applicationID = 0x706c7767

// Open opens the stock in a file, which it begins where there is none. The error may
// be a *FileError or a *NewerError.
func Open(ctx context.Context, path string) (*Store, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, unopened(path, err, "see that its folder can be made, or name another file with --stock")
	}
	return open(ctx, path, patience, changing)
}

// OpenToRead opens the stock in a file that it leaves as it is, but brings to the form of
// this program: it may be on a medium that cannot be written. Where there is none, the error is fs.ErrNotExist.
func OpenToRead(ctx context.Context, path string) (*Store, error) {
	if _, err := os.Stat(path); err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
		return nil, unopened(path, err, readable)
	}
	if f, err := os.OpenFile(path, os.O_RDWR, 0); err == nil {
		f.Close()
		if writable(filepath.Dir(path)) {
			// Nothing is changed, but the log beside the file can be cleared away.
			s, err := open(ctx, path, patience, reading)
			if !errors.Is(err, errOlder) {
				return s, err
			}
			if s, err = open(ctx, path, patience, changing); err != nil {
				return nil, err
			}
			if err := s.Close(); err != nil {
				return nil, err
			}
			return open(ctx, path, patience, reading)
		}
	}
	return open(ctx, path, patience, frozen)
}

// How a file is opened.
const (
	changing = "rwc"
	reading  = "rw"
	frozen   = "ro" // it cannot be written
)

// readable is what to do about a file that nobody lets us read.
const readable = "make it and its folder readable, or name another file with --stock"

func unopened(path string, err error, fix string) error {
	var cause *fs.PathError
	if errors.As(err, &cause) {
		err = cause.Err
	}
	return &FileError{Path: path, Why: "cannot be opened", Fix: fix, Cause: err}
}

func open(ctx context.Context, path string, patience time.Duration, mode string) (*Store, error) {
	if err := recognise(path); err != nil {
		return nil, err
	}
	dsn, err := source(path, patience, mode)
	if err != nil {
		return nil, err
	}
	db, err := sql.Open("sqlite", dsn)
	if err != nil {
		return nil, told(path, err)
	}
	s := &Store{path: path, db: db}
	// SQLite does not wait where two begin a file's log at once, so we do.
	for until := time.Now().Add(patience); ; time.Sleep(retry) {
		err = s.prepare(ctx, mode != changing)
		if !busy(err) || time.Now().After(until) || ctx.Err() != nil {
			break
		}
	}
	if err == nil {
		s.file, err = os.Stat(path)
	}
	if err != nil {
		db.Close()
		return nil, s.told(err)
	}
	return s, nil
}

// source is the data source name: what every connection of the pool is to have
// stands in it.
func source(path string, patience time.Duration, mode string) (string, error) {
	whole, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	whole = filepath.ToSlash(whole)
	if whole[0] != '/' { // a drive's letter
		whole = "/" + whole
	}
	q := url.Values{"mode": {mode}, "_txlock": {"immediate"}, "_pragma": {
		fmt.Sprintf("busy_timeout(%d)", patience.Milliseconds()), "foreign_keys(1)",
	}}
	switch mode {
	case changing:
		// An acknowledged change outlasts a power cut.
		q["_pragma"] = append(q["_pragma"], "journal_mode(WAL)", "synchronous(FULL)", "cache_size(-16384)")
	case reading:
		q["_pragma"] = append(q["_pragma"], "query_only(1)")
	case frozen:
		if _, err := os.Stat(path + "-wal"); errors.Is(err, fs.ErrNotExist) {
			// Nobody is writing. Reading would begin a log beside the file, if the folder
			// allows it, which those who may write the file may not write.
			q.Set("immutable", "1")
		}
	}
	return (&url.URL{Scheme: "file", Path: whole, RawQuery: q.Encode()}).String(), nil
}

// writable tells whether files can be made in a folder.
func writable(dir string) bool {
	f, err := os.CreateTemp(dir, "new-*")
	if err != nil {
		return false
	}
	f.Close()
	return os.Remove(f.Name()) == nil
}

// recognise refuses a file that is something else, before anything touches it. The
// form is described in "Database File Format", sqlite.org/fileformat2.html, 1.3.
func recognise(path string) error {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return unopened(path, err, readable)
	}
	defer f.Close()
	if is, err := f.Stat(); err == nil && !is.Mode().IsRegular() && !is.IsDir() {
		return &FileError{Path: path, Why: "is no file", Fix: "name one with --stock"}
	}
	head := make([]byte, 100)
	n, err := io.ReadFull(f, head)
	switch {
	case err == io.EOF:
		return nil // empty, as a killed program may leave it behind
	case err != nil && err != io.ErrUnexpectedEOF:
		return unopened(path, err, readable)
	case n < len(head) || string(head[:16]) != "SQLite format 3\x00":
		return &FileError{Path: path, Why: "is damaged or no stock", Fix: restore(path) + ", or name another file with --stock"}
	}
	if id := binary.BigEndian.Uint32(head[68:]); id != 0 && id != applicationID {
		return &FileError{Path: path, Why: "belongs to another program", Fix: "name another file with --stock"}
	}
	return nil
}

// Close ends the use of the file.
func (s *Store) Close() error { return s.told(s.db.Close()) }

// Path is where the file is.
func (s *Store) Path() string { return s.path }

// change does something in a transaction: all of it or nothing.
func (s *Store) change(ctx context.Context, do func(*sql.Tx) error) error {
	if err := s.inPlace(); err != nil {
		return err
	}
	tx, err := s.db.BeginTx(ctx, nil)
	if err != nil {
		return s.told(err)
	}
	defer tx.Rollback() // does nothing once it is committed
	err = do(tx)
	if err == nil {
		err = tx.Commit()
	}
	if err != nil {
		if ctx.Err() != nil {
			return ctx.Err() // which is why, whatever the transaction says
		}
		return s.told(err)
	}
	return s.inPlace() // or else what is acknowledged would be in no file
}

// inPlace makes sure that the file that is open is the one that has its name.
func (s *Store) inPlace() error {
	if s.file == nil {
		return nil // it is just being opened
	}
	now, err := os.Stat(s.path)
	if err == nil && os.SameFile(now, s.file) {
		return nil
	}
	return &FileError{Path: s.path, Why: "was moved, deleted or replaced while it was in use", Fix: "see that the stock is where it should be, and do the last change again"}
}
