package main

import (
	"context"
	"fmt"
	"io"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/stock/choose"
)

// A retuning is what the command retune is told.
type retuning struct {
	streams
	file      stockFile
	strings   []string
	reference frequency
	up, down  interval
	held      ends
	json      bool
}

func newRetune(s streams) *cobra.Command {
	r := &retuning{streams: s, reference: frequency{what: "reference pitch", least: 100, most: 1000}}
	cmd := &cobra.Command{
		Use:   "retune INSTRUMENT (NOTE... | --up INTERVAL | --down INTERVAL)",
		Short: "Foresee what an instrument carries at other notes, with the strings that are on it",
		Long: `retune says what the strings on an instrument pull at other notes, each and all together,
and how near each is to breaking. There is a note for each position, in their order: one
like A1, 55Hz, A1*3/2 or A4-41steps, or ` + noneThere + ` for that which it has. Which strings are on the instrument is kept by
pluckweigh stock string and choose --string-up, or named with --string for each position.

A string is taken to weigh as much for its length at the other note. All ± are with
k = 2.

` + caution + "\n" + whip,
		Example: `  pluckweigh retune tenor G2 D2 A1 D1
  pluckweigh retune tenor --down 2semitones
  pluckweigh retune tenor --up 1semitone --string "G 17" --string "D 24" --string "A 34" --string "E 46"`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := r.check(args); err != nil {
				return err
			}
			return r.run(cmd.Context(), args[0], args[1:])
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.Var(&r.up, "up", "interval to tune all strings up by, like 1semitone, 50cents, 9/8, or 2steps of the instrument's division")
	f.Var(&r.down, "down", "interval to tune all strings down by")
	f.StringArrayVar(&r.strings, "string", nil, "`name` of the string at a position, in place of that which is kept; once for each")
	f.Var(&r.reference, "reference", "reference pitch of the notes, the frequency of A4 (default the instrument's)")
	f.Var(&r.held, "ends", "how the strings are held: unknown, pinned or clamped")
	r.file.addTo(f)
	f.BoolVar(&r.json, "json", false, "print JSON in SI units")
	return cmd
}

// check refuses what cannot be answered, before anything is read.
func (r *retuning) check(args []string) error {
	ways := 0
	for _, given := range []bool{len(args) > 1, r.up.text != "", r.down.text != ""} {
		if given {
			ways++
		}
	}
	switch {
	case len(args) == 0 || args[0] == "":
		return &callError{"retune needs an instrument", "write it like `pluckweigh retune tenor G2 D2 A1 D1`"}
	case ways == 0:
		return &callError{"retune needs to know the notes", "name one for each position, or add --up or --down, like --down 2semitones"}
	case ways > 1:
		return &callError{"notes, --up and --down say one thing twice", "leave all but one out"}
	case r.reference.hz > 0 && len(args) == 1:
		return &callError{"--reference is of notes, and none are named", "leave it out, or name the notes"}
	}
	return nil
}

func (r *retuning) run(ctx context.Context, instrument string, notes []string) error {
	var up *strungUp
	err := r.file.read(ctx, func(st *stock.Store) (err error) {
		up, err = newStrungUp(ctx, st, instrument, r.strings, r.held.Ends)
		return err
	})
	if err != nil {
		return err
	}
	t := &retuned{up: up}
	var to []physics.Frequency
	if to, t.notes, err = r.pitches(up, notes); err != nil {
		return err
	}
	if t.Retuned, err = choose.Retune(up.places, up.strings, to); err != nil {
		return err
	}
	fmt.Fprintln(r.err, caution+"\n"+whip)
	if r.json {
		return writeLine(r.out, t.json())
	}
	return t.write(r.out)
}

// a4 is what notes are named by.
func (r *retuning) a4(up *strungUp) physics.Frequency {
	if r.reference.hz > 0 {
		return r.reference.hz
	}
	return up.A4
}

// pitches are what the positions are to be tuned to, and the notes nearest to that.
func (r *retuning) pitches(up *strungUp, notes []string) (to []physics.Frequency, nearest []physics.Note, err error) {
	if len(notes) != 0 && len(notes) != len(up.places) {
		return nil, nil, &callError{fmt.Sprintf("%d notes are named, and %q has %d positions", len(notes), up.Name, len(up.places)),
			"name one for each, - for that which it has"}
	}
	tuning := physics.Tuning{A4: r.a4(up), Division: up.Division}
	by, err := r.up.in(tuning)
	if err != nil {
		return nil, nil, err
	}
	down, err := r.down.in(tuning)
	if err != nil {
		return nil, nil, err
	}
	for i, p := range up.places {
		hz := p.F0.Raise(by - down)
		if len(notes) > 0 && notes[i] != noneThere {
			n, err := tuning.ParseNote(notes[i])
			if err == nil {
				hz, err = n.Frequency(tuning.A4)
			}
			if err != nil {
				return nil, nil, err
			}
		}
		n, err := physics.NearestNote(hz, tuning.A4)
		if err != nil {
			return nil, nil, err
		}
		to, nearest = append(to, hz), append(nearest, n)
	}
	return to, nearest, nil
}

// A retuned is the answer.
type retuned struct {
	up    *strungUp
	notes []physics.Note // of each position afterwards
	choose.Retuned
}

// doubts are those of a string.
func (r *retuned) doubts(i int) []choose.Doubt {
	ds := r.Strings[i].Doubts
	if r.up.odd[i] {
		ds = append(ds[:len(ds):len(ds)], disagree)
	}
	return ds
}

func (r *retuned) place(i int) string { return placeOf(r.up.Instrument, i) }

// write prints it for a person.
func (r *retuned) write(w io.Writer) error {
	fmt.Fprintf(w, "%s: its strings at other notes\n", r.up.Name)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintf(t, "  position\tstring\tpull (k = %d)\tto\tpull then\tcore carries then\n", physics.Coverage)
	loaded := false
	for i, s := range r.Strings {
		loaded = loaded || s.Load != nil
		fmt.Fprintf(t, "  %s\t%s\t%s\t%s\t%s\t%s\n", r.place(i), r.up.strings[i].Name, s.Before.Expanded(physics.Coverage),
			noteOf(r.notes[i]), s.After.Expanded(physics.Coverage), loadSaid(s.Load))
	}
	fmt.Fprintln(t)
	fmt.Fprintf(t, "  spread then\t%s from the lowest to the highest\n", physics.Format(r.Spread, 0, 3))
	fmt.Fprintf(t, "  total\t%s  (k = %d)\n", r.Before.Expanded(physics.Coverage), physics.Coverage)
	writeTotal(t, "total then", r.After, r.up.Most)
	if loaded {
		fmt.Fprintln(t, "  "+loadMeans)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	var all []doubted
	for i := range r.Strings {
		for _, d := range r.doubts(i) {
			all = append(all, doubted{r.place(i), d})
		}
	}
	writeDoubted(w, all)
	return nil
}

type retunedJSON struct {
	Instrument string              `json:"instrument"`
	MostTotal  *float64            `json:"most_total_newton"` // that is allowed, null for not known
	Strings    []retunedStringJSON `json:"strings"`
	Spread     *float64            `json:"spread_newton"` // afterwards, like the total
	Total      *float64            `json:"total_newton"`
	UTotal     *float64            `json:"u_total_newton"`
	Before     *float64            `json:"before_total_newton"`
	UBefore    *float64            `json:"u_before_total_newton"`
}

type retunedStringJSON struct {
	Position int        `json:"position"`
	String   string     `json:"string"`
	From     string     `json:"from_note"`
	Note     string     `json:"note"`
	Interval *float64   `json:"interval_cents"` // up
	Before   *float64   `json:"before_newton"`
	UBefore  *float64   `json:"u_before_newton"`
	Pull     *float64   `json:"tension_newton"`
	UPull    *float64   `json:"u_tension_newton"`
	Load     *float64   `json:"load"`
	ULoad    *float64   `json:"u_load"`
	Doubts   []saidJSON `json:"doubts"`
}

func (r *retuned) json() retunedJSON {
	j := retunedJSON{Instrument: r.up.Name, MostTotal: orNull(float64(r.up.Most)), Strings: []retunedStringJSON{}, Spread: finite(float64(r.Spread))}
	j.Total, j.UTotal = measuredJSON(r.After.Measured)
	j.Before, j.UBefore = measuredJSON(r.Retuned.Before.Measured)
	for i, s := range r.Strings {
		x := retunedStringJSON{Position: i + 1, String: r.up.strings[i].Name, From: r.up.places[i].Note, Note: r.notes[i].String(),
			Interval: finite(s.Interval.In(physics.Cent)), Doubts: saidsJSON(r.doubts(i))}
		x.Before, x.UBefore = measuredJSON(s.Before.Measured)
		x.Pull, x.UPull = measuredJSON(s.After.Measured)
		if s.Load != nil {
			x.Load, x.ULoad = measuredJSON(s.Load.Load.Measured)
		}
		j.Strings = append(j.Strings, x)
	}
	return j
}

// An interval is a flag that takes how far to tune.
type interval struct{ text string }

// Set refuses what is an interval in no tuning: which it is in an instrument's is known later.
func (v *interval) Set(s string) error {
	_, err := physics.Tuning{}.ParseInterval(s)
	if err == nil {
		v.text = s
	}
	return err
}

func (v *interval) String() string { return v.text }
func (v *interval) Type() string   { return "interval" }

// in is how far that is, 0 where it was not given.
func (v *interval) in(t physics.Tuning) (physics.PitchInterval, error) {
	if v.text == "" {
		return 0, nil
	}
	return t.ParseInterval(v.text)
}
