package stock

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// A FileError is a stock's file that cannot be used, and why.
type FileError struct {
	Path  string
	Why   string
	Fix   string
	Cause error // may be nil
	Fails bool  // the machine fails: nothing is wrong with the call or the file
}

func (e *FileError) Error() string {
	if e.Cause != nil {
		return fmt.Sprintf("%s: %s: %v", e.Path, e.Why, e.Cause)
	}
	return fmt.Sprintf("%s: %s", e.Path, e.Why)
}
func (e *FileError) Unwrap() error { return e.Cause }

// Hint says what to do.
func (e *FileError) Hint() string { return e.Fix }

// A NewerError is a file that a later version of the program wrote.
type NewerError struct {
	Path    string
	Version int
}

func (e *NewerError) Error() string {
	return fmt.Sprintf("%s: was written by a later pluckweigh (form %d, this one knows %d)", e.Path, e.Version, Version())
}

// Hint says what to do.
func (e *NewerError) Hint() string { return "use that version, or name another file with --stock" }

// A MissingError is a name that nothing in the stock has.
type MissingError struct {
	What, Name string // "string", "instrument", "session" or "survey", and the name asked for
	Near       string // one spelled like it, or empty
}

func (e *MissingError) Error() string { return fmt.Sprintf("no %s is called %q", e.What, e.Name) }

// Hint says what to do.
func (e *MissingError) Hint() string {
	if e.Near != "" {
		return fmt.Sprintf("did you mean %q?", e.Near)
	}
	switch e.What {
	case "session":
		return "see `pluckweigh settle --sessions`"
	case "survey":
		return "see `pluckweigh survey --sessions`"
	}
	return "see `pluckweigh stock list`"
}

// A TakenError is a name that something in the stock has already.
type TakenError struct{ What, Name string }

func (e *TakenError) Error() string {
	article := "a"
	if e.What == "instrument" {
		article = "an"
	}
	return fmt.Sprintf("%s %s %q is in stock already", article, e.What, e.Name)
}

// Hint says what to do.
func (e *TakenError) Hint() string {
	return "choose another name, or change it with `pluckweigh stock edit`"
}

// told words what SQLite says of the file.
func (s *Store) told(err error) error { return told(s.path, err) }

// What is said of a disk that is full.
const (
	fullDisk = "the disk is full; what was kept before is safe"
	makeRoom = "make room, and try again"
)

func told(path string, err error) error {
	var damage *damageError
	if errors.As(err, &damage) {
		return &FileError{Path: path, Why: "is damaged", Fix: "bring back a copy that stock backup made, or drop that with `pluckweigh stock remove`", Cause: err}
	}
	var said *sqlite.Error
	if !errors.As(err, &said) {
		return err
	}
	e := &FileError{Path: path, Cause: err}
	switch said.Code() & 0xff { // the primary code of an extended one
	case sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_ERROR, sqlite3.SQLITE_SCHEMA, sqlite3.SQLITE_MISMATCH, sqlite3.SQLITE_TOOBIG:
		// Statements are ours and right: it is the file that does not have what they name.
		e.Why, e.Fix = "is damaged or no stock", restore(path)
	case sqlite3.SQLITE_NOMEM:
		e.Why, e.Fix = "takes more memory than there is; it may be damaged", restore(path)
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		e.Why, e.Fix = "is being changed by another program", "wait until that is done, and try again"
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM:
		e.Why, e.Fix = "cannot be written", "make the file and its folder writable, or name another with --stock"
	case sqlite3.SQLITE_CANTOPEN:
		e.Why, e.Fix = "cannot be opened", "see that its folder is there and writable, or name another with --stock"
	case sqlite3.SQLITE_IOERR:
		e.Why, e.Fix = "the disk fails", "check the disk, and make a copy with stock backup"
		if said.Code() == sqlite3.SQLITE_IOERR_SHMSIZE { // what stands beside the file while it is open finds no room
			e.Why, e.Fix = fullDisk, makeRoom
		}
		e.Fails = true
	case sqlite3.SQLITE_FULL:
		e.Why, e.Fix = fullDisk, makeRoom
		e.Fails = true
	default:
		return err
	}
	return e
}

// restore says how to replace a damaged file. A log that is left beside it would be
// taken for the log of the copy.
func restore(path string) string {
	aside := "put it aside"
	if _, err := os.Stat(path + "-wal"); err == nil {
		aside = fmt.Sprintf("put it aside, with %s-wal and %[1]s-shm", filepath.Base(path))
	}
	return aside + ", and bring back a copy that stock backup made"
}

// violates tells whether a constraint of the extended code stood against it.
func violates(err error, code int) bool {
	var said *sqlite.Error
	return errors.As(err, &said) && said.Code() == code
}

// busy tells whether another program stood in the way.
func busy(err error) bool {
	var said *sqlite.Error
	return errors.As(err, &said) && said.Code()&0xff == sqlite3.SQLITE_BUSY
}
