package stock

import (
	"context"
	"errors"
	"fmt"
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
		return unopened(path, err, "name a file in a folder that is there and can be written")
	}
	defer os.RemoveAll(dir)
	made := filepath.Join(dir, "stock.db")
	if err := s.copyTo(ctx, made); err != nil {
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

// copyTo writes the stock into a new file.
func (s *Store) copyTo(ctx context.Context, path string) error {
	c, err := s.db.Conn(ctx)
	if err != nil {
		return err
	}
	defer c.Close()
	// A connection that only queries may not write another file either.
	var queries int
	if err := c.QueryRowContext(ctx, "PRAGMA query_only").Scan(&queries); err != nil {
		return err
	}
	if _, err := c.ExecContext(ctx, "PRAGMA query_only = 0"); err != nil {
		return err
	}
	_, err = c.ExecContext(ctx, "VACUUM INTO ?", path)
	_, again := c.ExecContext(context.WithoutCancel(ctx), fmt.Sprintf("PRAGMA query_only = %d", queries))
	return errors.Join(err, again)
}
