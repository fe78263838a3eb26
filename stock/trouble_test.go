package stock

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
)

// fillerEnv makes the test binary a program that keeps readings until the disk of this
// file is full, and makes sure that it has all that were acknowledged.
const fillerEnv = "PLUCKWEIGH_TEST_FILLER"

func fill(path string) error {
	ctx := context.Background()
	still, err := Open(ctx, path+".still") // another stock, closed before
	if err != nil {
		return err
	}
	still.Close()
	acknowledged := 0
	for ; err == nil && acknowledged < 100_000; acknowledged++ {
		var s *Store
		if s, err = Open(ctx, path); err != nil {
			break
		}
		m := weighed(18, 1, fmt.Sprint("route ", acknowledged))
		m.Reading = strings.Repeat("x", 3000)
		_, _, err = s.Keep(ctx, kept("E", m))
		s.Close()
	}
	var file *FileError
	if !errors.As(err, &file) || !file.Fails || file.Hint() == "" {
		return fmt.Errorf("after %d: %w", acknowledged, err)
	}
	acknowledged-- // but the last
	s, err := OpenToRead(ctx, path)
	if err != nil {
		return err
	}
	x, err := s.String(ctx, "E")
	s.Close()
	if err != nil {
		return err
	}
	if len(x.Measurements) != acknowledged || acknowledged == 0 {
		return fmt.Errorf("%d of %d are there", len(x.Measurements), acknowledged)
	}
	fmt.Printf("%d kept, then: %v\n", acknowledged, file)
	return crammed(ctx, path+".still")
}

// crammed makes sure of what is said where other files take the last byte of the disk: not
// even what stands beside the stock while it is open finds room.
func crammed(ctx context.Context, path string) error {
	other, err := os.Create(path + ".other")
	for size := 1 << 16; err == nil && size > 0; size /= 2 {
		for err == nil {
			_, err = other.Write(make([]byte, size))
		}
		if errors.Is(err, syscall.ENOSPC) {
			err = nil
		}
	}
	if err != nil {
		return err
	}
	s, err := Open(ctx, path)
	if err == nil {
		_, _, err = s.Keep(ctx, kept("E", weighed(18, 1, "late")))
		s.Close()
	}
	var file *FileError
	if !errors.As(err, &file) || file.Why != fullDisk || !file.Fails {
		return fmt.Errorf("not a byte is left: %w", err)
	}
	fmt.Printf("then: %v\n", file)
	return nil
}

// probeEnv makes the test binary a program that says what it can do with this file.
const probeEnv = "PLUCKWEIGH_TEST_PROBE"

func probe(path string) {
	ctx := context.Background()
	say := func(what string, err error) {
		hint := ""
		if h, ok := err.(interface{ Hint() string }); ok {
			hint = "; hint: " + h.Hint()
		}
		fmt.Printf("%s: %v%s\n", what, err, hint)
	}
	s, err := OpenToRead(ctx, path)
	if err == nil {
		var all []String
		all, err = s.Strings(ctx)
		fmt.Printf("%d strings\n", len(all))
		s.Close()
	}
	say("read", err)
	if s, err = Open(ctx, path); err == nil {
		err = s.Add(ctx, named("new"))
		s.Close()
	}
	say("change", err)
}

// A stock that is moved away, deleted or replaced while it is open is no place to keep
// anything in, and what was kept in it is not acknowledged.
func TestVanished(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("files that are open stay where they are")
	}
	ctx := t.Context()
	for how, do := range map[string]func(path string) error{
		"moved":   func(path string) error { return os.Rename(path, path+".moved") },
		"deleted": os.Remove,
		"replaced": func(path string) error {
			other := filepath.Join(filepath.Dir(path), "other.db")
			s, err := Open(ctx, other)
			if err == nil {
				err = errors.Join(s.Close(), os.Rename(other, path))
			}
			return err
		},
		"its folder moved": func(path string) error { return os.Rename(filepath.Dir(path), filepath.Dir(path)+".moved") },
	} {
		s := newStore(t)
		if err := s.Add(ctx, named("E")); err != nil {
			t.Fatal(err)
		}
		if err := do(s.path); err != nil {
			t.Fatal(err)
		}
		var file *FileError
		if _, _, err := s.Keep(ctx, kept("E", weighed(18, 1, "clip"))); !errors.As(err, &file) || !strings.Contains(file.Why, "was moved, deleted or replaced") {
			t.Errorf("%s: %v", how, err)
		}
	}
	// While something is done, too.
	s := newStore(t)
	err := s.Edit(ctx, "E", func(*String) error { return nil })
	var missing *MissingError
	if !errors.As(err, &missing) {
		t.Fatal(err)
	}
	if err := s.Add(ctx, named("E")); err != nil {
		t.Fatal(err)
	}
	err = s.Edit(ctx, "E", func(x *String) error { x.Left = 2; return os.Remove(s.path) })
	var file *FileError
	if !errors.As(err, &file) {
		t.Errorf("deleted meanwhile: %v", err)
	}
}

// The hint of a damaged file names the log that would spoil the copy.
func TestRestore(t *testing.T) {
	path := filepath.Join(t.TempDir(), "stock.db")
	for _, name := range []string{path, path + "-wal"} {
		if err := os.WriteFile(name, []byte("no stock"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	_, err := Open(t.Context(), path)
	var file *FileError
	if !errors.As(err, &file) || !strings.Contains(file.Hint(), "with stock.db-wal and stock.db-shm") {
		t.Errorf("%v", err)
	}
}
