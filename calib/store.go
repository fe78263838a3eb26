package calib

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"time"

	"github.com/rogpeppe/go-internal/lockedfile"
)

// A Store is the file that calibrations are kept in: JSON that a person can read.
// It may be used by several programs at once.
type Store struct{ path string }

// version of the file's form. A file of a later one is left alone.
const version = 1

// stored is the file's form.
type stored struct {
	Version int     `json:"version"`
	Entries []Entry `json:"calibrations"`
}

// A DamagedError is a store that cannot be read as one.
type DamagedError struct {
	Path  string
	Cause error
}

func (e *DamagedError) Error() string {
	return fmt.Sprintf("%s: the calibrations kept cannot be read: %v", e.Path, e.Cause)
}
func (e *DamagedError) Unwrap() error { return e.Cause }

// Hint says what becomes of the file.
func (e *DamagedError) Hint() string {
	return "mend or remove the file; the next calibration puts it aside and begins a new one"
}

// A NewerError is a store that a later version of the program wrote.
type NewerError struct {
	Path    string
	Version int
}

func (e *NewerError) Error() string {
	return fmt.Sprintf("%s: was written by a later pluckweigh (form %d, this one knows %d)", e.Path, e.Version, version)
}

// Hint says what to do.
func (e *NewerError) Hint() string { return "use that version, or remove the file" }

// UserStore is the store in the user's data folder: XDG_DATA_HOME, without it
// ~/.local/share, or what macOS and Windows have for it.
func UserStore() (*Store, error) {
	path, err := UserFile("calibrations.json")
	if err != nil {
		return nil, fmt.Errorf("no folder to keep calibrations in: %w", err)
	}
	return NewStore(path), nil
}

// UserFile is the path of a file of that name beside the UserStore.
func UserFile(name string) (string, error) {
	dir, err := dataHome()
	return filepath.Join(dir, "pluckweigh", name), err
}

// NewStore is the store in the file of that path, which need not exist.
func NewStore(path string) *Store { return &Store{path} }

// Path is where the file is or will be.
func (s *Store) Path() string { return s.path }

func dataHome() (string, error) {
	if dir := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(dir) {
		return dir, nil // a relative one is to be ignored (XDG Base Directory Specification)
	}
	switch runtime.GOOS {
	case "darwin", "ios", "windows":
		return os.UserConfigDir()
	}
	home, err := os.UserHomeDir()
	return filepath.Join(home, ".local", "share"), err
}

// Entries lists what is kept, the latest last; none where there is no file. The
// error may be a *DamagedError or a *NewerError.
func (s *Store) Entries() ([]Entry, error) {
	data, err := os.ReadFile(s.path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var f stored
	err = json.Unmarshal(data, &f) // the version also where it finds the rest to be of another form
	if f.Version > version {
		return nil, &NewerError{s.path, f.Version}
	}
	if err != nil {
		return nil, &DamagedError{s.path, err}
	}
	if f.Version < 1 {
		return nil, &DamagedError{s.path, fmt.Errorf("no form %d is known", f.Version)}
	}
	for _, e := range f.Entries {
		if err := e.check(); err != nil {
			return nil, &DamagedError{s.path, err}
		}
	}
	return f.Entries, nil
}

// Put keeps an entry in place of one of the same kind, name and rate, and returns
// it with its ID. A damaged file is put aside first, as aside says.
func (s *Store) Put(e Entry) (kept Entry, aside string, err error) {
	if err := e.check(); err != nil {
		return Entry{}, "", err
	}
	aside, err = s.change(true, func(all []Entry) ([]Entry, error) {
		kept = e
		all = slices.DeleteFunc(all, e.same)
		kept.ID = freeID(all, e.Kind)
		return append(all, kept), nil
	})
	return kept, aside, err
}

// freeID is the kind and the first number that no entry has.
func freeID(all []Entry, k Kind) string {
	for n := 1; ; n++ {
		id := fmt.Sprintf("%s-%d", k, n)
		if !slices.ContainsFunc(all, func(e Entry) bool { return e.ID == id }) {
			return id
		}
	}
}

// Forget drops the entry of that ID, or all of that name, and returns them; none
// is not an error.
func (s *Store) Forget(what string) (gone []Entry, err error) {
	is := func(e Entry) bool { return e.ID == what }
	_, err = s.change(false, func(all []Entry) ([]Entry, error) {
		if !slices.ContainsFunc(all, is) {
			is = func(e Entry) bool { return e.Name == what }
		}
		for _, e := range all {
			if is(e) {
				gone = append(gone, e)
			}
		}
		return slices.DeleteFunc(all, is), nil
	})
	return gone, err
}

// Writable tells beforehand whether something could be kept.
func (s *Store) Writable() error {
	unlock, err := s.lock()
	if err != nil {
		return err
	}
	defer unlock()
	f, err := os.CreateTemp(filepath.Dir(s.path), "new-*")
	if err != nil {
		return err
	}
	f.Close()
	return os.Remove(f.Name())
}

// lock keeps other programs from changing the store.
func (s *Store) lock() (unlock func(), err error) {
	if err := os.MkdirAll(filepath.Dir(s.path), 0o700); err != nil {
		return nil, err
	}
	return lockedfile.MutexAt(s.path + ".lock").Lock()
}

// change reads what is kept, has it changed and writes it, alone. A file that is
// damaged fails it, or is put aside, of which the path is returned.
func (s *Store) change(putAside bool, f func([]Entry) ([]Entry, error)) (aside string, err error) {
	unlock, err := s.lock()
	if err != nil {
		return "", err
	}
	defer unlock()
	all, err := s.Entries()
	var damaged *DamagedError
	if putAside && errors.As(err, &damaged) {
		aside = s.path + time.Now().UTC().Format(".damaged-20060102T150405")
		err = os.Rename(s.path, aside)
	}
	if err != nil {
		return "", err
	}
	if all, err = f(all); err != nil {
		return aside, err
	}
	if all == nil {
		all = []Entry{}
	}
	data, err := json.MarshalIndent(stored{version, all}, "", "  ")
	if err != nil {
		return aside, err
	}
	return aside, replace(s.path, append(data, '\n'))
}

// replace puts a file in another's place at once: whoever reads finds the old or
// the new, whole, also after a power cut.
func replace(path string, data []byte) error {
	f, err := os.CreateTemp(filepath.Dir(path), "new-*")
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		os.Remove(f.Name())
		return err
	}
	if dir, err := os.Open(filepath.Dir(path)); err == nil {
		dir.Sync() // not every system can; the file itself is safe
		dir.Close()
	}
	return nil
}
