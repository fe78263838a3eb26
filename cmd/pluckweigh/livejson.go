package main

import (
	"pluckweigh/detect"
	"pluckweigh/physics"
)

// What is printed with --json while a microphone is listened to.

// liveJSON is a sign of life: Pluck is there when one has been measured.
type liveJSON struct {
	Seconds *float64 `json:"seconds"`
	Level   *float64 `json:"level_db"`
	Hz      *float64 `json:"hz"`
	Note    *string  `json:"note"`
	Cents   *float64 `json:"cents"`
}

type livePluckJSON struct {
	Pluck      pluckJSON       `json:"pluck"`
	Survey     any             `json:"survey,omitempty"`
	Tension    *tensionJSON    `json:"tension,omitempty"`
	UnitWeight *unitWeightJSON `json:"unit_weight,omitempty"`
}

// lively keeps signs of life apart from the answer on a take.
type lively struct {
	Live any `json:"live"`
}

// newLiveJSON is a sign of life.
func newLiveJSON(now detect.Now, a4 physics.Frequency) liveJSON {
	j := liveJSON{Seconds: finite(now.Seconds), Level: finite(now.LevelDB)}
	if note, ok := noteNow(now, a4); ok {
		name := note.Name()
		j.Hz, j.Note, j.Cents = finite(now.Hz), &name, finite(note.Cents)
	}
	return j
}

// noteNow is the note that is heard at the moment, if there is one.
func noteNow(now detect.Now, a4 physics.Frequency) (physics.Note, bool) {
	note, err := physics.NearestNote(physics.Frequency(now.Hz), a4)
	return note, now.Hz > 0 && err == nil
}
