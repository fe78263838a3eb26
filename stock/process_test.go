package stock

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"sync"
	"testing"
	"time"

	"pluckweigh/stock/traits"
)

// keeperEnv makes the test binary another program that keeps readings in this file,
// a prefix and numbers from 0 being their routes, and says each once it is acknowledged.
const keeperEnv = "PLUCKWEIGH_TEST_KEEPER"

func TestMain(m *testing.M) {
	if path := os.Getenv(fillerEnv); path != "" {
		if err := fill(path); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	if path := os.Getenv(probeEnv); path != "" {
		probe(path)
		os.Exit(0)
	}
	if path := os.Getenv(keeperEnv); path != "" {
		if err := keepOn(path, os.Getenv(keeperEnv+"_PREFIX"), os.Getenv(keeperEnv+"_COUNT")); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

func keepOn(path, prefix, count string) error {
	ctx := context.Background()
	n, err := strconv.Atoi(count)
	if err != nil {
		return err
	}
	for i := range n {
		s, err := Open(ctx, path) // as a command does, each time
		if err != nil {
			return err
		}
		route := fmt.Sprint(prefix, i)
		if _, _, err := s.Keep(ctx, kept("E", weighed(18.3, 0.1, route))); err != nil {
			return err
		}
		fmt.Println(route)
		if err := s.Close(); err != nil {
			return err
		}
	}
	return nil
}

func keeper(t *testing.T, path, prefix string, n int) *exec.Cmd {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(exe)
	c.Env = append(os.Environ(), keeperEnv+"="+path, keeperEnv+"_PREFIX="+prefix, keeperEnv+"_COUNT="+strconv.Itoa(n))
	c.Stderr = os.Stderr
	return c
}

// routes lists those that a stock has of the string E.
func routes(t *testing.T, path string) map[string]bool {
	t.Helper()
	s, err := Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	var ok string
	if err := s.db.QueryRow("PRAGMA integrity_check").Scan(&ok); err != nil || ok != "ok" {
		t.Fatalf("integrity: %s, %v", ok, err)
	}
	x, err := s.String(t.Context(), "E")
	var none *MissingError
	if err != nil && !errors.As(err, &none) {
		t.Fatal(err)
	}
	all := map[string]bool{}
	for _, m := range x.Measurements {
		all[m.Route] = true
	}
	return all
}

// Two programs at once, which both begin the file, lose nothing of each other's.
func TestTwoPrograms(t *testing.T) {
	path := filepath.Join(t.TempDir(), "stock.db")
	const n = 15
	var wg sync.WaitGroup
	for _, prefix := range []string{"a", "b", "c"} {
		c := keeper(t, path, prefix, n)
		wg.Go(func() {
			if err := c.Run(); err != nil {
				t.Errorf("%s: %v", prefix, err)
			}
		})
	}
	wg.Wait()
	if got := routes(t, path); len(got) != 3*n {
		t.Errorf("%d kept, not %d", len(got), 3*n)
	}
}

// A program that is killed at any instant loses nothing that it had acknowledged, and
// the file opens. PLUCKWEIGH_KILLS says how often, 15 without it.
func TestKilled(t *testing.T) {
	kills := 15
	if s := os.Getenv("PLUCKWEIGH_KILLS"); s != "" {
		var err error
		if kills, err = strconv.Atoi(s); err != nil {
			t.Fatal(err)
		}
	}
	path := filepath.Join(t.TempDir(), "stock.db")
	said := map[string]bool{}
	r := rand.New(rand.NewPCG(1, 2))
	for i := range kills {
		c := keeper(t, path, fmt.Sprint("run ", i, " "), 1000)
		out, err := c.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		time.AfterFunc(time.Duration(30+r.IntN(120))*time.Millisecond, func() { c.Process.Kill() })
		for lines := bufio.NewScanner(out); lines.Scan(); {
			said[lines.Text()] = true
		}
		if err := c.Wait(); err == nil {
			t.Fatal("it was not killed")
		}
		if i%4 == 0 || i == kills-1 {
			got := routes(t, path)
			for route := range said {
				if !got[route] {
					t.Fatalf("%s was acknowledged and is lost", route)
				}
			}
		}
	}
	if len(said) < kills/3 {
		t.Errorf("%d acknowledged in %d runs: too few to tell", len(said), kills)
	}
	t.Logf("%d kills, %d acknowledged, none lost", kills, len(said))
}

// A file that another program keeps locked is said to be so.
func TestLocked(t *testing.T) {
	ctx, s := t.Context(), newStore(t)
	tx, err := s.db.BeginTx(ctx, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer tx.Rollback()
	other, err := open(ctx, s.path, 20*time.Millisecond, changing)
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	var file *FileError
	if err := other.Add(ctx, named("E")); !errors.As(err, &file) || file.Why != "is being changed by another program" {
		t.Errorf("%v", err)
	}
	reader, err := OpenToRead(ctx, s.path)
	if err != nil {
		t.Fatal(err)
	}
	defer reader.Close()
	if all, err := reader.Strings(ctx); err != nil || len(all) != 0 {
		t.Errorf("reading meanwhile: %v, %v", all, err)
	}
	if err := reader.Add(ctx, named("E")); !errors.As(err, &file) || file.Why != "cannot be written" {
		t.Errorf("one that only reads: %v", err)
	}
}

// Every connection of the pool has what the data source name says.
func TestEveryConnection(t *testing.T) {
	s := newStore(t)
	for range 5 {
		c, err := s.db.Conn(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		var journal string
		var foreign, busy, synchronous int
		err = c.QueryRowContext(t.Context(), "SELECT * FROM pragma_journal_mode, pragma_foreign_keys, pragma_busy_timeout, pragma_synchronous").Scan(&journal, &foreign, &busy, &synchronous)
		if err != nil || journal != "wal" || foreign != 1 || busy != int(patience.Milliseconds()) || synchronous != 2 {
			t.Errorf("%s %d %d %d, %v", journal, foreign, busy, synchronous, err)
		}
	}
}

// A full disk is said to be so, and what was kept before is there.
func TestFull(t *testing.T) {
	ctx, s := t.Context(), newStore(t)
	s.db.SetMaxOpenConns(1)
	if _, err := s.db.Exec("PRAGMA max_page_count = 40"); err != nil {
		t.Fatal(err)
	}
	var err error
	kept := 0
	for ; err == nil && kept < 10000; kept++ {
		err = s.Add(ctx, String{String: traits.String{Name: fmt.Sprint(kept)}, Measurements: []Measurement{weighed(18, 1, "clip")}})
	}
	kept--
	var file *FileError
	if !errors.As(err, &file) || !file.Fails || kept == 0 {
		t.Fatalf("%d kept, %v", kept, err)
	}
	all, err := s.Strings(ctx)
	if err != nil || len(all) != kept {
		t.Errorf("%d of %d are there, %v", len(all), kept, err)
	}
}
