package stock

import (
	"context"
	"errors"
	"math"
	"path/filepath"
	"reflect"
	"testing"
	"time"

	"pluckweigh/physics"
	"pluckweigh/survey"
)

// Plucks come back as they were, in the order in which they were kept, for the instrument
// that they are of alone; nothing is there twice, and nothing changes.
func TestSurveys(t *testing.T) {
	ctx := context.Background()
	s, err := Open(ctx, filepath.Join(t.TempDir(), "s.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	begun := time.Date(2026, 11, 28, 14, 2, 0, 123e6, time.UTC)
	hz := func(v, u float64) physics.Measured[physics.Frequency] {
		return physics.Stated(physics.Frequency(v), physics.Frequency(u))
	}
	bare := Pluck{At: begun, Source: "a.wav", Start: 0.5, Clock: physics.Relative{U: 5.8e-5, Assumed: true},
		Heard: survey.Heard{F0: hz(54.2, 1e-3), F1: hz(54.201, 1e-3), B: physics.Measured[physics.Inharmonicity]{U: 1e-3, Assumed: true}, Named: survey.Nowhere}}
	clipped := Pluck{At: begun.Add(time.Second), Start: 3, Clock: physics.Relative{U: 1e-6, Said: "counted"},
		Heard: survey.Heard{F0: hz(97.9, 1e-3), F1: hz(97.91, 1e-3), B: physics.Stated(physics.Inharmonicity(5e-5), physics.Inharmonicity(1e-8)), Corr: -0.4, Named: 2,
			Clip: &survey.Clip{Mass: physics.Measured[physics.Mass]{Value: 3e-4, U: 5e-7, Assumed: true}, Ratio: 0.06, U: 1e-5, Correlation: 0.7}}}
	for _, p := range []Pluck{clipped, bare, clipped} {
		if err := s.KeepPlucks(ctx, "bench", "tenor", p); err != nil {
			t.Fatal(err)
		}
	}
	of, all, err := s.Plucks(ctx, "bench")
	if err != nil || of != "tenor" || len(all) != 2 {
		t.Fatalf("%v %+v %v", of, all, err)
	}
	for i, want := range []Pluck{clipped, bare} {
		if !all[i].At.Equal(want.At) {
			t.Errorf("at %v", all[i].At)
		}
		all[i].At = want.At
		if !reflect.DeepEqual(all[i], want) {
			t.Errorf("kept as %+v, not %+v", all[i], want)
		}
	}
	var other *OtherInstrumentError
	if err := s.KeepPlucks(ctx, "bench", "alto", bare); !errors.As(err, &other) || other.Of != "tenor" {
		t.Errorf("%v", err)
	}
	var missing *MissingError
	if _, _, err := s.Plucks(ctx, "Bench"); !errors.As(err, &missing) || missing.Near != "bench" {
		t.Errorf("%v", err)
	}
	if list, err := s.Surveys(ctx); err != nil || len(list) != 1 || list[0].Plucks != 2 || list[0].Instrument != "tenor" || !list[0].Last.Equal(clipped.At) {
		t.Errorf("%+v %v", list, err)
	}
	if _, err := s.db.Exec("UPDATE heard SET f0 = 1"); err == nil {
		t.Error("a pluck was changed")
	}
	var input *physics.InputError
	for what, change := range map[string]func(*Pluck){
		"no pitch":       func(p *Pluck) { p.F0 = hz(0, 1) },
		"no uncertainty": func(p *Pluck) { p.F1.U = 0 },
		"not a number":   func(p *Pluck) { p.F0.Value = physics.Frequency(math.NaN()) },
		"inharmonicity":  func(p *Pluck) { p.B.Value = -1 },
		"clock":          func(p *Pluck) { p.Clock.U = math.Inf(1) },
		"clip":           func(p *Pluck) { p.Clip = &survey.Clip{Ratio: 0.1, U: 0.1} },
		"position":       func(p *Pluck) { p.Named = -2 },
		"year":           func(p *Pluck) { p.At = time.Date(-5, 1, 1, 0, 0, 0, 0, time.UTC) },
		"take":           func(p *Pluck) { p.Source = "a\nb" },
	} {
		bad := bare
		change(&bad)
		if err := s.KeepPlucks(ctx, "second", "tenor", bare, bad); !errors.As(err, &input) {
			t.Errorf("%s: %v", what, err)
		}
	}
	if _, _, err := s.Plucks(ctx, "second"); !errors.As(err, &missing) {
		t.Errorf("something was kept of what is wrong: %v", err)
	}
}
