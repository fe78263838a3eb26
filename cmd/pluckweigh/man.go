package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
)

func newMan(s streams) *cobra.Command {
	return &cobra.Command{
		Use:     "man DIR",
		Short:   "Write the manual pages into a folder",
		Long:    `man writes a manual page for pluckweigh and for each of its commands into a folder that exists.`,
		Example: `  pluckweigh man ~/.local/share/man/man1`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &callError{"man needs one folder to write into", "write it like pluckweigh man DIR"}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			info, err := os.Stat(args[0])
			switch {
			case errors.Is(err, fs.ErrNotExist):
				return noFolder(args[0])
			case err == nil && !info.IsDir():
				return &callError{args[0] + ": is no folder", "name a folder"}
			}
			if err == nil {
				root := cmd.Root()
				root.DisableAutoGenTag = true
				err = doc.GenManTree(root, &doc.GenManHeader{Section: "1", Source: "pluckweigh"}, args[0])
			}
			var path *fs.PathError
			if errors.As(err, &path) && path.Op != "write" {
				return &callError{fmt.Sprintf("%s: %v", path.Path, path.Err), "name a folder that you may write into"}
			}
			return err
		},
	}
}
