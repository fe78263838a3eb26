package main

import (
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// A shown is a command of the README and what stands below it there.
type shown struct {
	line    int
	command string
	output  []string
}

// shownIn finds the commands `$ pluckweigh ...` in the console blocks of a text.
func shownIn(text string) []shown {
	var all []shown
	inside := false
	for i, line := range strings.Split(text, "\n") {
		switch {
		case strings.HasPrefix(line, "```"):
			inside = strings.TrimSpace(line) == "```console"
		case !inside:
		case strings.HasPrefix(line, "$ "):
			all = append(all, shown{line: i + 1, command: strings.TrimPrefix(line, "$ ")})
		case len(all) > 0:
			s := &all[len(all)-1]
			s.output = append(s.output, line)
		}
	}
	return all
}

var number = regexp.MustCompile(`[0-9]+(\.[0-9]+)?`)

// sameButDigits compares two lines but for the last digits of their numbers,
// which may change when hearing gets better, and for the width of blanks and
// pictures that goes with them.
func sameButDigits(got, want string) bool {
	shape := func(s string) string {
		s = regexp.MustCompile(`\.\.+`).ReplaceAllString(s, "..")
		return strings.Join(strings.Fields(number.ReplaceAllString(s, "0")), " ")
	}
	return shape(got) == shape(want)
}

// TestReadme runs the commands that the README shows, in order and in one
// folder, and compares what they print. `...` on a line of its own stands for any lines.
func TestReadme(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if errors.Is(err, fs.ErrNotExist) {
		t.Skip("there is no README.md yet")
	} else if err != nil {
		t.Fatal(err)
	}
	dir, ran := t.TempDir(), 0
	for _, s := range shownIn(string(text)) {
		if !strings.HasPrefix(s.command, "pluckweigh ") {
			continue
		}
		ran++
		cmd := exec.Command("sh", "-c", s.command)
		cmd.Dir = dir
		out, _ := cmd.CombinedOutput() // the output says whether it failed as shown
		if why := differs(strings.Split(string(out), "\n"), s.output); why != "" {
			t.Errorf("README.md:%d: %s: %s\n%s", s.line, s.command, why, out)
		}
	}
	if ran == 0 {
		t.Error("README.md shows no command")
	}
}

// differs says where output is not what is shown, or nothing.
func differs(got, want []string) string {
	trim := func(lines []string) []string {
		for len(lines) > 0 && strings.TrimSpace(lines[len(lines)-1]) == "" {
			lines = lines[:len(lines)-1]
		}
		return lines
	}
	got, want = trim(got), trim(want)
	for len(want) > 0 {
		if want[0] == "..." {
			if want = want[1:]; len(want) == 0 {
				return ""
			}
			for len(got) > 0 && !sameButDigits(got[0], want[0]) {
				got = got[1:]
			}
		}
		if len(got) == 0 {
			return "lacks: " + want[0]
		}
		if !sameButDigits(got[0], want[0]) {
			return "prints: " + got[0] + "\nnot: " + want[0]
		}
		got, want = got[1:], want[1:]
	}
	if len(got) > 0 {
		return "prints more: " + got[0]
	}
	return ""
}

func TestShownIn(t *testing.T) {
	got := shownIn("text\n```console\n$ pluckweigh demo\nA1 1.5\n...\n$ pluckweigh devices\n```\n```sh\n$ pluckweigh no\n```\n")
	if len(got) != 2 || got[0].command != "pluckweigh demo" || len(got[0].output) != 2 || got[1].line != 6 {
		t.Errorf("%+v", got)
	}
}

func TestDiffers(t *testing.T) {
	for _, c := range []struct {
		name, got, want string
		same            bool
	}{
		{"same", "a 1.5\nb", "a 1.5\nb", true},
		{"digits", "f0  54.61587 ± 0.00023 Hz", "f0  54.6 ± 0.1 Hz", true},
		{"words", "a 1 N", "a 1 lbf", false},
		{"any lines", "a\nb\nc", "a\n...\nc", true},
		{"any lines to the end", "a\nb\nc", "a\n...", true},
		{"lacks", "a", "a\nb", false},
		{"more", "a\nb", "a", false},
		{"lacks after any", "a\nb", "...\nc", false},
	} {
		if why := differs(strings.Split(c.got, "\n"), strings.Split(c.want, "\n")); (why == "") != c.same {
			t.Errorf("%s: %q", c.name, why)
		}
	}
}
