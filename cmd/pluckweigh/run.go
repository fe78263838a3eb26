package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"syscall"

	"github.com/spf13/cobra"

	"pluckweigh/audio"
	"pluckweigh/audio/mic"
)

// streams are where a command reads, listens and writes: results go to out, all
// else to err.
type streams struct {
	in       io.Reader
	out, err io.Writer
	openMic  func(context.Context, mic.Options) (audio.Source, error)
}

// run does what the arguments say. What it returns has not been printed, but for
// errors that exitCode alone is meant to see.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) error {
	out := &output{w: stdout}
	root := newRoot(streams{stdin, out, stderr, mic.Open})
	root.SetArgs(args)
	root.SetIn(stdin)
	root.SetOut(out)
	root.SetErr(stderr)
	if err := misnamed(root, args); err != nil {
		return err
	}
	begun := false
	root.PersistentPreRun = func(*cobra.Command, []string) { begun = true }
	cmd, err := root.ExecuteContextC(ctx)
	if err != nil && !begun && exitCode(err) == codeFailed {
		// Cobra's own, about arguments.
		err = &callError{err.Error(), seeHelp(cmd)}
	}
	if errors.Is(out.failed, syscall.EPIPE) {
		return reported(codeFailed) // whoever read has had enough, and knows it
	}
	if out.failed != nil {
		return fmt.Errorf("the result could not be written: %w", out.failed)
	}
	return err
}

// An output remembers that writing failed, so that no command need look.
type output struct {
	w      io.Writer
	failed error
}

func (o *output) Write(p []byte) (int, error) {
	if o.failed != nil {
		return 0, o.failed
	}
	n, err := o.w.Write(p)
	o.failed = err
	return n, err
}

func newRoot(s streams) *cobra.Command {
	root := &cobra.Command{
		Use:   "pluckweigh",
		Short: "Hear what a string weighs and how hard it pulls",
		Long: `pluckweigh listens to a plucked string, finds the pitch that its tension
answers for, and says how hard it pulls (tension) or what it weighs (unit
weight), each with an uncertainty and what that comes from.

A take is one recording: a WAV or FLAC file, standard input (-), or what the
microphone hears when no take is named. Quantities are a number and a unit
without a space, such as 34in, 863.6mm, 1.21g/m, 35.6lbf. A standard uncertainty
(k = 1) may follow, as in 863.6mm±0.5mm, 863.6mm+-0.5mm or 1.21g/m±0.2%. Results
carry twice their standard uncertainty (k = 2).

Exit codes: 0 done and trusted; 1 something failed inside; 2 the call or its input
is wrong; 3 nothing was heard that can be trusted; 4 no usable sound device. Of
several takes the gravest decides: 1, then 4, 2 and 3.`,
		Example: `  pluckweigh demo
  pluckweigh listen take.wav
  pluckweigh tension --scale 34in --unit-weight 18.4g/m take.wav
  pluckweigh weigh --pull 163N±1N --scale 863.6mm take.wav
  pluckweigh whatif --scale 648mm --gauge 0.254mm --material steel --at E4 --retune F4`,
		Version: version(),

		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          unknownCommand,
		RunE:          func(cmd *cobra.Command, args []string) error { return cmd.Help() },
	}
	root.SetFlagErrorFunc(flagError)
	root.SetVersionTemplate("{{.Name}} {{.Version}}\n")
	root.AddCommand(newListen(s), newTension(s), newWeigh(s), newUnwrap(s), newWhatIf(s), newStock(s), newChoose(s), newRetune(s), newIdentify(s), newSettle(s), newSurvey(s), newLesson(s), newReport(s), newCalibrate(s), newDevices(s), newDemo(s), newMan(s))
	giveOnce(root)
	correctCobra(root)
	return root
}

// correctCobra makes cobra's own commands refuse what they do not know.
func correctCobra(root *cobra.Command) {
	root.InitDefaultHelpCmd()
	root.InitDefaultCompletionCmd()
	for _, c := range root.Commands() {
		switch c.Name() {
		case "help":
			c.Args = func(_ *cobra.Command, args []string) error {
				if _, rest, err := root.Find(args); err == nil {
					return unknownCommand(root, rest)
				}
				return unknownCommand(root, args)
			}
		case "completion":
			c.Args = unknownCommand
			c.RunE = func(cmd *cobra.Command, _ []string) error { return cmd.Help() }
		}
	}
}

func seeHelp(cmd *cobra.Command) string { return fmt.Sprintf("see `%s --help`", cmd.CommandPath()) }

// misnamed refuses a word that stands where a command should and is none. Cobra
// would see to the flags behind it first, and answer a --help among them.
func misnamed(root *cobra.Command, args []string) error {
	cmd, rest, err := root.Find(args)
	if err != nil || !cmd.HasSubCommands() || len(rest) == 0 || strings.HasPrefix(rest[0], "-") {
		return nil
	}
	switch rest[0] {
	case cobra.ShellCompRequestCmd, cobra.ShellCompNoDescRequestCmd:
		return nil // what completion scripts ask, which cobra adds when it is asked
	}
	return unknownCommand(cmd, rest)
}

// unknownCommand refuses what follows a command that has others below it and is
// none of them.
func unknownCommand(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	e := &callError{what: fmt.Sprintf("there is no command %q", args[0]), do: seeHelp(cmd)}
	var names []string
	for _, c := range cmd.Commands() {
		names = append(names, c.Name())
	}
	if near := meant(args[0], names); near != "" {
		e.do = fmt.Sprintf("did you mean `%s %s`?", cmd.CommandPath(), near)
	}
	return e
}
