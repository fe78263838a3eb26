package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pluckweigh/detect"
	"pluckweigh/physics"
	"pluckweigh/safety"
)

// clipCaution stands before what can fly off.
const clipCaution = safety.Fly

// A clip is what was typed of a small mass on the string.
type clip struct {
	mass quantity[physics.Mass]
	at   quantity[physics.Length]
	bare string // a take of the string without it; empty for none
}

// byClip weighs a string by what a small mass at its middle does to its sound, and
// finds its tension as well.
func (w *weighing) byClip(f *pflag.FlagSet) way {
	c := clip{mass: quantity[physics.Mass]{role: physics.ClipMass}, at: quantity[physics.Length]{role: physics.ClipPlace}}
	f.Var(&c.mass, "clip", "mass of a clip at mid-length, like 0.5g±0.002g")
	f.Var(&c.at, "clip-at", "where it sits, from one end, like 432mm±0.5mm (default about the middle)")
	f.StringVar(&c.bare, "bare", "", "`take` of the same string without the clip, where the loaded one alone leaves something open")
	return way{
		say:   "clip a small known mass on at mid-length: finds the tension too",
		marks: []string{"clip"}, needs: []string{"clip", "scale"}, takes: []string{"clip-at", "bare", "ends", monteCarlo}, hears: true,
		weigh: func(cmd *cobra.Command, args []string) error {
			m, err := c.known(w.scale.Measured)
			if err != nil {
				return err
			}
			if c.bare == "" && cmd.Flags().Changed("bare") {
				return &callError{"--bare names no take", "write it like --bare bare.wav, or leave it out"}
			}
			fmt.Fprintln(w.e.err, clipCaution)
			w.e.caution = clipCaution
			if c.bare != "" {
				if m.Bare, err = w.bareString(cmd.Context(), c.bare); err != nil {
					return err
				}
			}
			w.e.listen = func(x []float64, rate float64, o detect.Options) (detect.Take, error) {
				return detect.AnalyzeLoaded(x, rate, m, o)
			}
			return w.hear(cmd, args, judge{kind: ofBoth, work: func(r heard) (*figure, error) {
				return clippedWeight(r, w.scale.Measured, c.mass.Measured, w.held.Ends)
			}})
		},
	}
}

// known is what was typed of the clip's place.
func (c *clip) known(length physics.Measured[physics.Length]) (detect.Mass, error) {
	if !c.at.given {
		return detect.Mass{}, nil
	}
	off, err := physics.OffMiddle(c.at.Measured, length)
	if err != nil {
		return detect.Mass{}, about("clip-at", err)
	}
	return detect.Mass{Off: detect.Value{V: float64(off.Value), U: float64(off.U)}}, nil
}

// bareString is what is heard of a take of the string without the clip. It is not
// saved.
func (w *weighing) bareString(ctx context.Context, name string) (*detect.Reading, error) {
	save := w.e.save
	w.e.save = ""
	r, err := w.e.reading(ctx, name, "the bare string: ")
	w.e.save = save
	return &r.Reading, err
}

// clippedWeight is the unit weight of a string heard with a clip, and its tension.
func clippedWeight(r heard, length physics.Measured[physics.Length], mass physics.Measured[physics.Mass], held physics.Ends) (*figure, error) {
	s, err := stretchOf(r, length, held)
	if err != nil {
		return nil, err
	}
	c := physics.Clip{Mass: mass, Length: s.Length, Ratio: r.Load.Ratio.V, RatioU: r.Load.Ratio.U,
		F0: s.F0, Correlation: r.Load.Correlation, B: s.B, Clock: s.Clock, Ends: s.Ends}
	var heavy *physics.InputError
	if errors.As(c.TooHeavy(), &heavy) {
		return nil, &implausibleError{heavy.Error() + ": " + heavy.Hint()}
	}
	mu, err := c.UnitWeight()
	proposals := map[string]string{
		"mass of the clip": "weigh it on a finer balance, or many alike at once, and give the tolerance, as in --clip 0.5g±0.002g",
		"speaking length":  "measure it closer, and give the tolerance, as in --scale 863.6mm±0.2mm",
		"shift heard":      "pluck nearer one end and more often, let the string ring longer, or take a heavier clip",
		"f0":               "pluck more often, and let the string ring longer",
		"recorder clock":   clockProposal,
		"inharmonicity":    "pluck louder and nearer the end, so that more partials are heard",
		"end condition":    "say --ends where they are known: pinned over a round edge, clamped in a vice",
	}
	f, err := heardWeight("clip", mu, err, proposals)
	if err != nil {
		return nil, err
	}
	t, err := c.Tension()
	if err == nil {
		err = physics.Pull.Check(t.Value)
	}
	if err := noString(err, "the tension comes out implausible for a string"); err != nil {
		return nil, err
	}
	f.also = figureOf("tension", "", t, proposals)
	least, most := physics.ClipsFor(mu.Value, length.Value)
	suits := newClipForJSON(least, most)
	f.clips, f.suits = &suits, fmt.Sprintf("clips of %s to %s suit this string: they lower its first partial by %.0f to %.0f cents",
		physics.Format(least, mass.Unit, 2), physics.Format(most, mass.Unit, 2), physics.LeastClipShift, physics.MostClipShift)
	if cents := r.Load.Cents; cents < physics.LeastClipShift || cents > physics.MostClipShift {
		f.remarks = append(f.remarks, detect.Doubt{Code: clipSize, Say: fmt.Sprintf(
			"the clip lowers the first partial by %.0f cents; one between %s and %s would do so by %.0f to %.0f and suits better",
			cents, physics.Format(least, mass.Unit, 2), physics.Format(most, mass.Unit, 2), physics.LeastClipShift, physics.MostClipShift)})
	}
	return f, nil
}

// clipSize is a clip that is too light or too heavy to weigh the string well.
const clipSize detect.Code = "clip_size"

// forClip says which clips suit a string of about a unit weight.
func (w *weighing) forClip(f *pflag.FlagSet) way {
	about := quantity[physics.UnitWeight]{role: physics.StringWeight}
	f.Var(&about, "clip-for", "say which clip suits a string of about this unit weight, like 18g/m")
	return way{
		say:   "say which clip suits",
		marks: []string{"clip-for"}, needs: []string{"clip-for", "scale"}, asks: true,
		weigh: func(*cobra.Command, []string) error {
			least, most := physics.ClipsFor(about.Value, w.scale.Value)
			if w.e.json {
				return writeLine(w.e.out, newClipForJSON(least, most))
			}
			fmt.Fprintf(w.e.out, "  clip  %s to %s  (lowers the first partial by %.0f to %.0f cents)\n",
				physics.Format(least, 0, 2), physics.Format(most, 0, 2), physics.LeastClipShift, physics.MostClipShift)
			return nil
		},
	}
}

// clipForJSON is the masses that suit.
type clipForJSON struct {
	Least *float64 `json:"least_kg"`
	Most  *float64 `json:"most_kg"`
}

func newClipForJSON(least, most physics.Mass) clipForJSON {
	return clipForJSON{finite(float64(least)), finite(float64(most))}
}
