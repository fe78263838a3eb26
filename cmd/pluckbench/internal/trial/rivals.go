package trial

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"time"

	"pluckweigh/audio/synth"
	"pluckweigh/detect/detecttest"
)

// A Listener hears the pitch of the first partial in files.
type Listener struct {
	Name string
	// Hear returns a pitch in Hz for each file, 0 where it hears none, and the
	// processor time for all of them.
	Hear func(ctx context.Context, sounds []Sound) (hz []float64, cpu time.Duration, err error)
	// Rest says that it tells the pitch at rest, not that in Window.
	Rest bool
}

// A Sound is a file, and what should be heard in it.
type Sound struct {
	detecttest.Wav
	From, To float64 // s, where a listener to the pitch as it goes is to look
	seconds  float64
	sounding float64 // Hz, first partial in the middle of that
	rest     float64 // Hz, first partial at rest
	f0, snr  float64
}

// Contest is how several listeners do on the same sounds.
type Contest struct {
	Stream string    `json:"stream"`
	Sets   []Matches `json:"sets"`
}

// Matches are the results on one set of sounds.
type Matches struct {
	Set     string  `json:"set"`
	Sounds  int     `json:"sounds"`
	Seconds Number  `json:"seconds"`
	Results []Match `json:"results"`
}

// A Match is what one listener made of one set of sounds.
type Match struct {
	Listener string `json:"listener"`
	Wrong    int    `json:"wrong_notes"`
	Silent   int    `json:"no_answer"`
	Median   Number `json:"median_cents"` // of the error, wrong notes left out
	P95      Number `json:"p95_cents"`
	Realtime Number `json:"times_real_time"` // on one core, by processor time

	Bands []Share `json:"by_fundamental"`
	BySNR []Error `json:"by_snr,omitempty"`
}

// A Share is a count of sounds, and how many of them were heard as wrong notes.
type Share struct {
	Name   string `json:"name"`
	Sounds int    `json:"sounds"`
	Wrong  int    `json:"wrong_notes"`
}

// An Error is the RMS error of the first partial over a range of signal-to-noise
// ratios, wrong notes left out.
type Error struct {
	SNR    Number `json:"snr_db"` // mean
	Sounds int    `json:"sounds"`
	RMS    Number `json:"rms_cents"`
}

// batch is how many sounds lie on the disk at a time.
const batch = 20

// Names of the sets.
const (
	HardSet  = "hard takes"
	CleanSet = "clean takes"
	RealSet  = "recorded notes"
)

// Compete lets all listeners hear the same sounds: hard takes, clean takes, and
// recorded notes, o.Takes of each at most. Files are heard one after the other, on
// one core.
func Compete(ctx context.Context, o Options, listeners []Listener) (Contest, error) {
	c := Contest{Stream: o.Stream.String()}
	notes, err := detecttest.Notes()
	if err != nil {
		return c, err
	}
	notes = notes[:min(len(notes), o.Takes)]
	total, before := 2*o.Takes+len(notes), 0
	for _, set := range []struct {
		name  string
		count int
		make  func(i int, path string) (Sound, error)
	}{
		{HardSet, o.Takes, func(i int, path string) (Sound, error) {
			s, err := render(detecttest.Hard(o.Stream, uint64(i)), path)
			s.snr = math.NaN() // of hum and neighbours it says nothing
			return s, err
		}},
		{CleanSet, o.Takes, func(i int, path string) (Sound, error) {
			return render(detecttest.Clean(o.Stream, uint64(i)), path)
		}},
		{RealSet, len(notes), func(i int, path string) (Sound, error) {
			n := notes[i]
			return save(Sound{Wav: detecttest.Wav{Path: path, Rate: n.Rate, Samples: n.Samples}, From: 0.1, To: min(1.2, n.Seconds()-0.1),
				sounding: n.Hz, rest: n.Hz, f0: n.Hz, snr: math.NaN()})
		}},
	} {
		m, err := compete(ctx, set.count, set.make, listeners, func(done int) {
			if o.Progress != nil {
				o.Progress(before+done, total)
			}
		})
		if err != nil {
			return c, fmt.Errorf("%s: %w", set.name, err)
		}
		before += set.count
		m.Set = set.name
		c.Sets = append(c.Sets, m)
	}
	return c, nil
}

// render writes a case to a file.
func render(c detecttest.Case, path string) (Sound, error) {
	x, truth, err := c.Take.Render()
	if err != nil {
		return Sound{}, err
	}
	p := truth.Plucks[0]
	s := Sound{Wav: detecttest.Wav{Path: path, Rate: c.Take.Rate, Samples: x}, From: p.At + 0.1, To: p.At + 1.2,
		rest: truth.F1, f0: truth.F0, snr: truth.SNRdB}
	s.sounding = sounding(truth, (s.From+s.To)/2-p.At)
	return save(s)
}

// sounding is the first partial t seconds after the onset.
func sounding(truth synth.Truth, t float64) float64 { return truth.F1 * truth.Plucks[0].Pitch(t) }

func save(s Sound) (Sound, error) {
	s.seconds = float64(len(s.Samples)) / s.Rate
	return s, s.Write()
}

// compete plays count sounds to the listeners, a batch at a time.
func compete(ctx context.Context, count int, make func(i int, path string) (Sound, error), listeners []Listener, progress func(done int)) (Matches, error) {
	var sounds []Sound
	hz := map[string][]float64{}
	cpu := map[string]time.Duration{}
	for from := 0; from < count; from += batch {
		dir, err := os.MkdirTemp("", "pluckbench-")
		if err != nil {
			return Matches{}, err
		}
		some, err := fill(dir, from, min(from+batch, count), make)
		for _, l := range listeners {
			if err != nil {
				break
			}
			var f []float64
			var spent time.Duration
			if f, spent, err = l.Hear(ctx, some); err == nil && len(f) != len(some) {
				err = fmt.Errorf("%s: %d answers to %d sounds", l.Name, len(f), len(some))
			}
			hz[l.Name], cpu[l.Name] = append(hz[l.Name], f...), cpu[l.Name]+spent
		}
		if err := errors.Join(err, os.RemoveAll(dir)); err != nil {
			return Matches{}, err
		}
		for _, s := range some {
			s.Samples = nil // they may be many
			sounds = append(sounds, s)
		}
		progress(len(sounds))
	}
	m := Matches{Sounds: len(sounds)}
	for _, s := range sounds {
		m.Seconds += Number(s.seconds)
	}
	for _, l := range listeners {
		r := match(l, sounds, hz[l.Name])
		r.Realtime = m.Seconds / Number(cpu[l.Name].Seconds())
		m.Results = append(m.Results, r)
	}
	return m, nil
}

func fill(dir string, from, to int, make func(i int, path string) (Sound, error)) ([]Sound, error) {
	var out []Sound
	for i := from; i < to; i++ {
		s, err := make(i, filepath.Join(dir, fmt.Sprintf("%d.wav", i)))
		if err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, nil
}
