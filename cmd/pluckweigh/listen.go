package main

import "github.com/spf13/cobra"

func newListen(s streams) *cobra.Command {
	var e *ears
	cmd := &cobra.Command{
		Use:   "listen " + takes,
		Short: "Hear a plucked string's pitch and stiffness",
		Long: `listen measures every pluck in a take and pools those that can be trusted:
f0, the fundamental that the tension answers for; the first partial, which is
where the note lies; the inharmonicity B by which partials lie above multiples of
f0; and how far the pitch glides down as the pluck dies away. Each ± is an expanded
uncertainty, k = 2.

The uncertainty of f0 is that of hearing alone: the clock of the recorder, which
all takes of it share, is counted in what is worked out from it, as in tension.

Without a take it listens to the microphone: it shows level and pitch as they
come, good to some cents, waits for plucks by itself and measures each, until
Ctrl-C or --seconds. With --json the former are lines {"live":{...}}, at most ten a
second, and so are single plucks; the answer on the whole take comes last.

On a terminal it draws a screen: the number in digits that are read from a step away,
pitch over the last seconds, and the partials as rungs about the law of a stiff string
(o where one stands, x one set aside, ░ its ±, the longer the stronger). No key is
needed; q or Ctrl-C ends it, and what was heard is printed then. --lines prints lines
instead, as do --json, --verbose, TERM=dumb and an output that is no terminal.

With --json every take has its line, also one that could not be read: that has an
"error" with what to say and a hint.

Samples that the sound system lost are known only then, not from a file kept with
--save; the file gives the same reading otherwise. Of any take the first ten
minutes at most are heard.`,
		Example: `  pluckweigh listen take.wav
  pluckweigh listen --json *.wav
  pluckweigh listen --near A1 --save take.wav
  arecord -f S32_LE -r 48000 -d 5 | pluckweigh listen -`,
		RunE: func(cmd *cobra.Command, args []string) error { return e.hear(cmd, args, judge{}) },
	}
	e = newEars(s, cmd)
	e.offerScreen(cmd)
	return cmd
}
