package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"pluckweigh/cmd/internal/chart"
)

// A picture is a flag that names the file a result is drawn in.
type picture struct{ name string }

func (v *picture) addTo(f *pflag.FlagSet, what string) {
	f.StringVar(&v.name, "picture", "", "draw "+what+" in this SVG or PNG `file`; --overwrite replaces one")
}

// drawings are the kinds of files that are drawn, by the ends of their names.
var drawings = map[string]func(chart.Picture) ([]byte, error){
	".svg": chart.Picture.SVG,
	".png": chart.Picture.PNG,
}

func (v *picture) kind() string { return strings.ToLower(filepath.Ext(v.name)) }

// check refuses a file that could not be written, before anything is done for it.
func (v *picture) check(overwrite bool) error {
	switch {
	case v.name == "":
		return nil
	case drawings[v.kind()] == nil:
		return &callError{fmt.Sprintf("--picture %s is neither an SVG nor a PNG file", v.name), "name it like picture.svg"}
	}
	return writable(v.name, overwrite)
}

func exists(name string) bool {
	_, err := os.Lstat(name)
	return !errors.Is(err, fs.ErrNotExist)
}

// draw writes the file, if one was named.
func (v *picture) draw(p chart.Picture) error {
	if v.name == "" {
		return nil
	}
	doc, err := drawings[v.kind()](p)
	if err != nil {
		return failure{err}
	}
	if err := os.WriteFile(v.name, doc, 0o666); err != nil {
		return failure{fmt.Errorf("the picture could not be written: %w", err)}
	}
	return nil
}
