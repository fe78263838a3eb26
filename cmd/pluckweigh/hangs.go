package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"pluckweigh/physics"
)

// A hung take is a load and what is heard under it: a file, or the microphone where
// none is named.
type hung struct {
	load physics.Load
	file string
}

// hangs is a flag that takes loads with their takes, given once for each.
type hangs []hung

func (v *hangs) Set(s string) error {
	text, file, named := strings.Cut(s, ":") // the first: a path may have another
	load, err := physics.ParseLoad(physics.HungLoad, text)
	if err != nil {
		return err
	}
	if named && file == "" {
		return &physics.InputError{What: "load", Text: s, Why: "names no take after the colon", Fix: "write it like " + text + ":take.wav"}
	}
	*v = append(*v, hung{load, file})
	return nil
}

// add adds loads with takes that were named beside the flags.
func (v *hangs) add(args []string) error {
	for _, a := range args {
		if err := v.Set(a); err != nil {
			if !strings.Contains(a, ":") {
				return &callError{fmt.Sprintf("take %q has no load", a), "name its load before it, as in 2kg:" + a}
			}
			return about("hang", err)
		}
	}
	return nil
}

// weigh tells whether one of the loads is a mass.
func (v hangs) weigh() bool {
	return slices.ContainsFunc(v, func(x hung) bool { return x.load.Weighs() })
}

func (v *hangs) String() string { return "" }
func (v *hangs) Type() string   { return "load:take" }

// files lists the takes, none where the microphone is meant, of loads where gravity is g.
// It refuses what makes no line, and a take that is named for two loads.
func (v hangs) files(g physics.Acceleration) ([]string, error) {
	var files []string
	var loads []physics.Load
	for _, x := range v {
		loads = append(loads, x.load)
		if x.file != "" {
			files = append(files, x.file)
		}
	}
	if twice := namedTwice(files); twice != "" {
		return nil, &callError{fmt.Sprintf("take %s is named twice", twice), "name the take of each load once"}
	}
	if len(files) > 0 && len(files) < len(v) {
		for _, x := range v {
			if x.file == "" {
				return nil, &callError{fmt.Sprintf("load %s has no take, and others have one", x.load),
					fmt.Sprintf("name its take, as in %s:take.wav, or leave out all to listen", x.load)}
			}
		}
	}
	if !physics.Different(loads, g) {
		return nil, &callError{"--hang needs two different loads", "hang more than one, better five, as in --hang 2kg:a.wav --hang 4kg:b.wav"}
	}
	return files, nil
}

// namedTwice is the first of the files that was named before, perhaps in another manner;
// empty for none.
func namedTwice(files []string) string {
	var infos []os.FileInfo
	for i, f := range files {
		info, err := os.Stat(f) // a take that is not there is said when it is opened
		for k, g := range files[:i] {
			if filepath.Clean(f) == filepath.Clean(g) || err == nil && infos[k] != nil && os.SameFile(info, infos[k]) {
				return f
			}
		}
		infos = append(infos, info)
	}
	return ""
}
