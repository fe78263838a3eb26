package synth

import (
	"testing"

	"pluckweigh/audio"
	"pluckweigh/audio/audiotest"
)

func TestConform(t *testing.T) {
	k := take(guitarA())
	k.Noise = []Noise{{DB: 30}}
	k.Plucks[0].At = 0.02
	k.Seconds = 0.1 // which the paced source is heard for again and again
	for name, source := range map[string]func() (*Source, error){"unpaced": k.Source, "paced": k.PacedSource} {
		t.Run(name, func(t *testing.T) {
			audiotest.Conform(t, func(t *testing.T) audio.Source {
				s, err := source()
				if err != nil {
					t.Fatal(err)
				}
				return s
			})
		})
	}
}
