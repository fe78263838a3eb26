package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// writable refuses a file that could not be written, before anything is done for it.
func writable(name string, overwrite bool) error {
	switch {
	case !exists(filepath.Dir(name)):
		return noFolder(name)
	case exists(name) && !overwrite:
		return existsAlready(name)
	}
	// Only to see whether it can be written: one that was there stays as it is.
	fresh := !exists(name)
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE, 0o666)
	var cannot *fs.PathError
	if errors.As(err, &cannot) {
		return &callError{fmt.Sprintf("%s: %v", name, cannot.Err), "name another file"}
	}
	if err != nil {
		return failure{err}
	}
	f.Close()
	if fresh {
		os.Remove(name)
	}
	return nil
}

// put writes a file that is there once it is whole and on the disk; one that was there
// before is left as it was where that fails, and where it is not to be replaced.
func put(name string, overwrite bool, write func(io.Writer) error) error {
	part := fmt.Sprintf("%s.%d.part", name, os.Getpid())
	f, err := os.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return unreadable(part, err)
	}
	w := bufio.NewWriter(f)
	err = write(w)
	if err == nil {
		err = errors.Join(w.Flush(), f.Sync())
	}
	err = errors.Join(err, f.Close())
	if err == nil && !overwrite && exists(name) {
		os.Remove(part)
		return existsAlready(name) // somebody has written it meanwhile
	}
	if err == nil {
		err = os.Rename(part, name)
	}
	if err != nil {
		os.Remove(part)
		return failure{fmt.Errorf("%s could not be written: %w", name, err)}
	}
	return nil
}
