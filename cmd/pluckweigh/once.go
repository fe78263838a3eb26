package main

import (
	"errors"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// repeated is a flag that may be given many times, each adding to it.
type repeated interface{ repeats() }

// A once is a flag that is refused where it is given a second time: which of the two
// was meant nobody can tell.
type once struct {
	pflag.Value
	given bool
}

var errTwice = errors.New("is given twice")

func (v *once) Set(s string) error {
	if v.given {
		return errTwice
	}
	v.given = true
	return v.Value.Set(s)
}

// giveOnce makes all flags of a command and of those below it such that are given once,
// but for switches and those that add up.
func giveOnce(cmd *cobra.Command) {
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		_, many := f.Value.(repeated)
		_, list := f.Value.(pflag.SliceValue)
		if !many && !list && f.NoOptDefVal == "" {
			f.Value = &once{Value: f.Value}
		}
	})
	for _, c := range cmd.Commands() {
		giveOnce(c)
	}
}

func (*hangs) repeats()     {}
func (*wraps) repeats()     {}
func (*pitches) repeats()   {}
func (*pulls) repeats()     {}
func (*positions) repeats() {}
