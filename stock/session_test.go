package stock

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"testing"
	"time"

	"pluckweigh/physics"
)

// What was heard comes back as it was, in the order of time, from whatever call; nothing
// is there twice, and nothing changes.
func TestSessions(t *testing.T) {
	ctx, path := context.Background(), filepath.Join(t.TempDir(), "s.db")
	begun := time.Date(2026, 11, 28, 14, 2, 0, 123e6, time.UTC)
	open := func() *Store {
		t.Helper()
		s, err := Open(ctx, path)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	s := open()
	later := Pitch{At: begun.Add(time.Minute), Hz: 82.3, U: 1e-3, Temperature: math.NaN(), Source: "b.wav"}
	first := Pitch{At: begun, Hz: 82.4, U: 2e-3, Temperature: 21.5}
	for _, p := range []Pitch{later, first, later} {
		if err := s.KeepPitches(ctx, "low E", p); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.KeepPitches(ctx, "A", Pitch{At: begun.Add(time.Hour), Hz: 110, U: 1}); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	s = open()
	defer s.Close()
	all, err := s.Pitches(ctx, "low E")
	if err != nil || len(all) != 2 || !all[0].At.Equal(begun) || all[0].Hz != 82.4 || all[0].Temperature != 21.5 ||
		all[1].Source != "b.wav" || all[1].U != 1e-3 || !math.IsNaN(all[1].Temperature) {
		t.Errorf("%+v %v", all, err)
	}
	sessions, err := s.Sessions(ctx)
	if err != nil || len(sessions) != 2 || sessions[0].Name != "A" || sessions[1].Pitches != 2 || !sessions[1].First.Equal(begun) {
		t.Errorf("%+v %v", sessions, err)
	}
	var missing *MissingError
	if _, err := s.Pitches(ctx, "low e"); !errors.As(err, &missing) || missing.Near != "low E" {
		t.Errorf("%v", err)
	}
	if _, err := s.db.Exec("UPDATE pitches SET hz = 1"); err == nil {
		t.Error("a pitch was changed")
	}
	var input *physics.InputError
	for _, bad := range []Pitch{{At: begun}, {At: begun, Hz: 1, U: 0}, {At: begun, Hz: math.NaN(), U: 1},
		{At: begun, Hz: 1, U: 0.1, Temperature: math.Inf(1)}, {Hz: 1, U: 0.1, At: time.Date(-5, 1, 1, 0, 0, 0, 0, time.UTC)}, {At: begun, Hz: 1, U: 0.1, Source: "a\nb"}} {
		if err := s.KeepPitches(ctx, "A", first, bad); !errors.As(err, &input) {
			t.Errorf("%+v: %v", bad, err)
		}
	}
	if err := s.KeepPitches(ctx, "", first); !errors.As(err, &input) {
		t.Errorf("no name: %v", err)
	}
	if all, err := s.Pitches(ctx, "A"); err != nil || len(all) != 1 {
		t.Errorf("%+v %v", all, err)
	}
}

func BenchmarkPitches(b *testing.B) {
	ctx := context.Background()
	s, err := Open(ctx, filepath.Join(b.TempDir(), "s.db"))
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	const many = 100_000
	var all []Pitch
	for i := range many {
		all = append(all, Pitch{At: time.Unix(1.8e9+int64(i), 0), Hz: 110, U: 1e-3, Temperature: math.NaN()})
	}
	if err := s.KeepPitches(ctx, "E", all...); err != nil {
		b.Fatal(err)
	}
	b.Run(fmt.Sprint(many), func(b *testing.B) {
		for b.Loop() {
			if all, err := s.Pitches(ctx, "E"); err != nil || len(all) != many {
				b.Fatal(err)
			}
		}
	})
}
