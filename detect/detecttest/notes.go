// Package detecttest helps tests and benchmarks of pitch detection: real
// recorded notes with known keys, and other people's pitch detectors to compare
// with. Both come from Debian packages; nothing of them is kept here.
package detecttest

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
)

// SoundFont is where the Debian package fluid-soundfont-gm puts its recordings.
const SoundFont = "/usr/share/sounds/sf2/FluidR3_GM.sf2"

// MinSeconds is the shortest natural part of a note that Notes returns.
const MinSeconds = 0.9

// A Note is one recorded pluck, cut where the recording starts to be looped.
type Note struct {
	Name    string    // of the sample, as in the file
	Family  string    // "slap bass", "nylon guitar", ...
	Key     int       // MIDI number of the nearest key
	Hz      float64   // nominal pitch: the key as tuned by the file
	Rate    float64   // sample rate, Hz
	Samples []float64 // mono, full scale at ±1
	Clipped bool      // the recording ran into its limits

	// String and Fret say how the note was played where the name tells;
	// String is "" where it does not. The high string of a guitar is "e".
	String string
	Fret   int

	// ForB is false where the partials obey no stiff-string law well enough to
	// test inharmonicity on.
	ForB bool
	// FretLaw marks the notes on which inharmonicity is known to follow the
	// law of frets: the E string at frets 0, 2 and 4 and the open G string of
	// one bass, in four articulations.
	FretLaw bool
}

// Seconds is the length of the note.
func (n Note) Seconds() float64 { return float64(len(n.Samples)) / n.Rate }

// families names the presets (bank 0, General MIDI programs from 0) that are
// single plucked strings without effects.
var families = []struct {
	name    string
	program int
	forB    bool
}{
	{"slap bass", 36, true},
	{"pop bass", 37, true},
	{"picked bass", 34, true},
	{"fingered bass", 33, true},
	{"fretless bass", 35, true},
	{"acoustic bass", 32, false},
	{"steel guitar", 25, true},
	{"nylon guitar", 24, true},
	{"clean guitar", 27, true},
	{"jazz guitar", 26, true},
	{"banjo", 105, true},
}

// notForB are single notes whose partials do not lie on a stiff string's.
var notForB = map[string]bool{"Fretless A#1": true, "Fretless C3": true}

// Notes reads the recorded notes of at least MinSeconds from SoundFont.
func Notes() ([]Note, error) {
	f, err := os.Open(SoundFont)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("recorded notes (%s): %w: apt-get install fluid-soundfont-gm", SoundFont, ErrMissing)
	}
	if err != nil {
		return nil, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	sf, err := openSoundFont(f, info.Size())
	if err != nil {
		return nil, fmt.Errorf("%s: %w", SoundFont, err)
	}
	var notes []Note
	for _, fam := range families {
		rs, err := sf.regions(0, fam.program)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", SoundFont, err)
		}
		for _, r := range rs {
			if float64(r.end-r.start) < MinSeconds*r.rate {
				continue
			}
			x, err := sf.read(r)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", SoundFont, err)
			}
			n := Note{
				Name: r.name, Family: fam.name, Rate: r.rate, Samples: x, Hz: r.hz,
				Key:     int(math.Round(69 + 12*math.Log2(r.hz/440))),
				ForB:    fam.forB && !notForB[r.name],
				Clipped: clipped(x),
			}
			n.String, n.Fret = stringAndFret(r.name, n.Key)
			n.FretLaw = n.ForB && strings.HasSuffix(fam.name, "bass") &&
				(n.String == "E" && n.Fret <= 4 || n.String == "G" && n.Fret == 0)
			notes = append(notes, n)
		}
	}
	return notes, nil
}

// clipped reports whether more than one sample stands at the 16-bit limit; a
// single one is what a recording scaled to full scale has.
func clipped(x []float64) bool {
	n := 0
	for _, v := range x {
		if math.Abs(v) >= 32767.0/32768 {
			n++
		}
	}
	return n > 1
}

// Names that give string and fret: "Slap Bass E2", "Pop G5", "Finger Bass EO"
// (the letter for the digit), and "Clean F612", the sixth string from the lowest
// at fret 12.
var (
	bassName  = regexp.MustCompile(`^(?:Slap Bass|Pop|Picked Bass|Finger Bass) ([EADG])([0-9O]+)$`)
	cleanName = regexp.MustCompile(`^Clean F([1-6])([0-9]+)$`)
)

// openKeys are the MIDI keys of the open strings in standard tuning.
var (
	bassKeys   = map[string]int{"E": 28, "A": 33, "D": 38, "G": 43}
	guitarKeys = map[string]int{"E": 40, "A": 45, "D": 50, "G": 55, "B": 59, "e": 64}
)

// stringAndFret reads a sample's name. The string is "" where the name does not
// tell, or tells what does not lead to the key: "Slap Bass A1" sounds at fret 2.
func stringAndFret(name string, key int) (str string, fret int) {
	open := bassKeys
	m := bassName.FindStringSubmatch(name)
	if m == nil {
		if m = cleanName.FindStringSubmatch(name); m == nil {
			return "", 0
		}
		open = guitarKeys
		m[1] = "EADGBe"[m[1][0]-'1' : m[1][0]-'0']
	}
	fret, err := strconv.Atoi(strings.ReplaceAll(m[2], "O", "0"))
	if err != nil || open[m[1]]+fret != key {
		return "", 0
	}
	return m[1], fret
}
