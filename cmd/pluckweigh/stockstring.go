package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"pluckweigh/stock"
)

// noneThere stands for a position without a string.
const noneThere = "-"

func newStockString(s streams, file *stockFile) *cobra.Command {
	return &cobra.Command{
		Use:   "string INSTRUMENT NAME...",
		Short: "Say which strings are on an instrument",
		Long: `string says which strings of the stock are on an instrument: the name of one for each
position, in their order, or ` + noneThere + ` for none. pluckweigh retune tells from it what another
tuning does, and choose --like what this instrument is like. How many are left of a string
is not touched: that is for stock edit --left.`,
		Example: `  pluckweigh stock string tenor "E 46" "A 34" "D 24" "G 17"`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) < 2 {
				return &callError{"string needs an instrument and the strings that are on it",
					"write them like `" + cmd.CommandPath() + ` tenor "E 46" "A 34"` + "`, - for a position without one"}
			}
			names := make([]string, len(args)-1)
			for i, name := range args[1:] {
				if name != noneThere {
					names[i] = name
				}
			}
			err := file.change(cmd.Context(), func(st *stock.Store) error { return st.StringUp(cmd.Context(), args[0], names) })
			if err == nil {
				fmt.Fprintf(s.out, "strung %q\n", args[0])
			}
			return err
		},
	}
}
