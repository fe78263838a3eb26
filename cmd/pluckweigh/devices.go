package main

import (
	"encoding/json"
	"fmt"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"pluckweigh/audio/mic"
)

func newDevices(s streams) *cobra.Command {
	var asJSON, verbose bool
	cmd := &cobra.Command{
		Use:   "devices",
		Short: "List the sound inputs",
		Long: `devices lists the sound inputs that can be listened to, by the names that --input
takes.`,
		Example: `  pluckweigh devices
  pluckweigh devices --json
  pluckweigh listen --input usb`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, args []string) error {
			list, err := mic.Devices(cmd.Context(), verbose)
			if err != nil {
				return err
			}
			if len(list) == 0 {
				return mic.ErrNoDevice
			}
			if asJSON {
				return devicesJSON(s, list)
			}
			t := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
			for _, d := range list {
				mark := " "
				if d.IsDefault {
					mark = "*"
				}
				fmt.Fprintf(t, "%s %s\t%g Hz\t%d channels\n", mark, d, d.Rate, d.Channels)
			}
			return t.Flush()
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON lines")
	cmd.Flags().BoolVar(&verbose, "verbose", false, "let through what the sound libraries say")
	return cmd
}

func devicesJSON(s streams, list []mic.Device) error {
	enc := json.NewEncoder(s.out)
	enc.SetEscapeHTML(false)
	for _, d := range list {
		err := enc.Encode(struct {
			Name     string   `json:"name"`
			HostAPI  string   `json:"host_api"`
			Channels int      `json:"channels"`
			Rate     *float64 `json:"sample_rate_hz"`
			Default  bool     `json:"default"`
		}{d.Name, d.HostAPI, d.Channels, finite(d.Rate), d.IsDefault})
		if err != nil {
			return err
		}
	}
	return nil
}

// noArguments refuses arguments where none are taken.
func noArguments(cmd *cobra.Command, args []string) error {
	if len(args) > 0 {
		return &callError{fmt.Sprintf("%s takes no argument such as %q", cmd.CommandPath(), args[0]), seeHelp(cmd)}
	}
	return nil
}
