package stock

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// Backup copies the whole stock, as it is at this moment, into a new file, which is
// there once it is whole. The error may be a *FileError.
func (s *Store) Backup(ctx context.Context, path string) error {
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
		return &FileError{Path: path, Why: "is there already", Fix: "name a new file", Cause: err}
	}
	dir, err := os.MkdirTemp(filepath.Dir(path), "new-*")
	if err != nil {
		return unopened(path, err)
	}
	defer os.RemoveAll(dir)
	made := filepath.Join(dir, "stock.db")
	if _, err := s.db.ExecContext(ctx, "VACUUM INTO ?", made); err != nil {
		return told(path, err)
	}
	f, err := os.OpenFile(made, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return err
	}
	return os.Rename(made, path)
}
