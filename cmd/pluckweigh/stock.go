package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pluckweigh/calib"
	"pluckweigh/stock"
)

// stockEnv names the stock's file where no flag does.
const stockEnv = "PLUCKWEIGH_STOCK"

func newStock(s streams) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "stock",
		Short: "Keep the strings one has, what was measured of them, and instruments",
		Long: `stock keeps strings under names of one's own, with all that was ever measured of them,
and instruments with the speaking length and the note of each position.

A measurement is never overwritten. What a string weighs, how thick and how stiff it is
is the mean of its measurements, each weighted by its uncertainty; that of several by
one route, such as a clip, does not shrink by their number, since they share what the
route is wrong by. Where measurements disagree it is said, and the uncertainty is
enlarged. weigh --keep NAME adds to a string what it finds.

All is in one file in the user's data folder (XDG_DATA_HOME, or what the system has for
it), or that which --stock or ` + stockEnv + ` names. Several programs may use it
at once.`,
		Example: `  pluckweigh stock add "E 46" --wound --unit-weight 18.4g/m±1% --left 3
  pluckweigh weigh --clip 0.8g±0.002g --scale 863.6mm --keep "E 46" loaded.wav
  pluckweigh stock list
  pluckweigh stock export stock.csv`,
		Args: unknownCommand,
		RunE: func(cmd *cobra.Command, args []string) error { return cmd.Help() },
	}
	file := &stockFile{}
	file.addTo(cmd.PersistentFlags())
	cmd.AddCommand(newStockAdd(s, file), newStockList(s, file), newStockShow(s, file), newStockEdit(s, file), newStockRemove(s, file), newStockString(s, file),
		newStockImport(s, file), newStockExport(s, file), newStockBackup(s, file))
	return cmd
}

// A stockFile is the file of the stock, as it was named or not.
type stockFile struct{ named string }

func (v *stockFile) addTo(f *pflag.FlagSet) {
	f.StringVar(&v.named, "stock", "", "`file` of the stock (default "+stockEnv+", or one in the user's data folder)")
}

// path is where the file is or will be.
func (v *stockFile) path() (string, error) {
	if v.named != "" {
		return v.named, nil
	}
	if path := os.Getenv(stockEnv); path != "" {
		return path, nil
	}
	path, err := calib.UserFile("stock.db")
	if err != nil {
		return "", &callError{"there is no folder to keep the stock in: " + err.Error(), "name a file with --stock"}
	}
	return path, nil
}

// open opens the stock to change it.
func (v *stockFile) open(ctx context.Context) (*stock.Store, error) {
	path, err := v.path()
	if err != nil {
		return nil, err
	}
	s, err := stock.Open(ctx, path)
	return s, stockError(err)
}

// change opens the stock, has it changed, and closes it.
func (v *stockFile) change(ctx context.Context, do func(*stock.Store) error) error {
	s, err := v.open(ctx)
	if err != nil {
		return err
	}
	err = do(s)
	return stockError(errors.Join(err, s.Close()))
}

// nothingYet is the error of a stock that has not been begun.
var nothingYet = &callError{"nothing is in stock yet", "see `pluckweigh stock add --help`"}

// read opens the stock and has it read. The error is nothingYet of one that nobody named and
// that has not been begun.
func (v *stockFile) read(ctx context.Context, do func(*stock.Store) error) error {
	path, err := v.path()
	if err != nil {
		return err
	}
	s, err := stock.OpenToRead(ctx, path)
	if errors.Is(err, fs.ErrNotExist) {
		if v.named != "" {
			return &callError{path + ": there is no such file", "name one that is there, or add a string, which begins it"}
		}
		return nothingYet
	}
	if err != nil {
		return stockError(err)
	}
	err = do(s)
	return stockError(errors.Join(err, s.Close()))
}

// scratch is the file to try something in that is not to be kept: one of its own where
// there is no stock yet, so that none is begun. It is dropped afterwards.
func (v *stockFile) scratch() (to *stockFile, drop func(), err error) {
	path, err := v.path()
	if err != nil {
		return nil, nil, err
	}
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
		return v, func() {}, nil
	}
	dir, err := os.MkdirTemp("", "pluckweigh-*")
	if err != nil {
		return nil, nil, failure{err}
	}
	return &stockFile{filepath.Join(dir, "stock.db")}, func() { os.RemoveAll(dir) }, nil
}

// stockError sorts an error of the stock: but for a machine that fails, the call or
// the file is wrong.
func stockError(err error) error {
	var (
		file    *stock.FileError
		newer   *stock.NewerError
		missing *stock.MissingError
		taken   *stock.TakenError
	)
	switch {
	case errors.As(err, &file) && file.Fails:
		return err
	case errors.As(err, &file):
		return &callError{file.Error(), file.Hint()}
	case errors.As(err, &newer):
		return &callError{newer.Error(), newer.Hint()}
	case errors.As(err, &missing):
		return &callError{missing.Error(), missing.Hint()}
	case errors.As(err, &taken):
		return &callError{taken.Error(), taken.Hint()}
	}
	return err
}

// oneName takes the single name that a command is about.
func oneName(cmd *cobra.Command, args []string) error { return oneNamed(`"E 46"`)(cmd, args) }

// oneNamed is oneName of a command about something with such a name.
func oneNamed(like string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error { return one(cmd, args, "name", like) }
}

// oneFile takes the single file that it is about, such as one of that name.
func oneFile(like string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error { return one(cmd, args, "file", like) }
}

func one(cmd *cobra.Command, args []string, what, like string) error {
	if len(args) != 1 || args[0] == "" {
		return &callError{fmt.Sprintf("%s needs one %s", cmd.Name(), what), fmt.Sprintf("write it like `%s %s`", cmd.CommandPath(), like)}
	}
	return nil
}
