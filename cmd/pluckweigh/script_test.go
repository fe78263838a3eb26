package main

import (
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"
)

// scriptCommands are what the scripts can do beside testscript's own commands.
var scriptCommands = map[string]func(*testscript.TestScript, bool, []string){
	"synth":     scriptSynth,
	"sound":     scriptSound,
	"exits":     scriptExits,
	"nostdin":   scriptNoStdin,
	"jsonis":    scriptJSONIs,
	"jsonrange": scriptJSONRange,
	"jsonkeys":  scriptJSONKeys,
	"pages":     scriptPages,
	"head":      scriptHead,
	"bytes":     scriptBytes,
	"noreading": scriptNoReading,
	"samejson":  scriptSameJSON,
}

// requireTools makes what is skipped for want of a tool fail instead.
const requireTools = "PLUCKWEIGH_REQUIRE_TOOLS"

// scriptCondition knows [capture], a build with microphone, [tool:NAME], and
// [root], who may read everything.
func scriptCondition(cond string) (bool, error) {
	name, isTool := strings.CutPrefix(cond, "tool:")
	switch {
	case cond == "capture":
		return captureBuilt, nil
	case cond == "root":
		return os.Geteuid() == 0, nil
	case isTool:
		_, err := exec.LookPath(name)
		return err == nil || os.Getenv(requireTools) == "1", nil
	}
	return false, fmt.Errorf("unknown condition %q", cond)
}

// homes are the folders that the sound libraries would write into, and where
// calibrations are kept.
var homes = []string{"HOME", "TMPDIR", "XDG_CONFIG_HOME", "XDG_RUNTIME_DIR", "XDG_DATA_HOME"}

// scriptSetup keeps what the sound libraries leave behind in the script's folder.
func scriptSetup(env *testscript.Env) error {
	for _, name := range homes {
		env.Setenv(name, env.Getenv("TMPDIR"))
	}
	return nil
}

// scriptHead copies the first bytes of a file: head FILE COUNT TO.
func scriptHead(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: head FILE COUNT TO")
	}
	n, err := strconv.Atoi(args[1])
	ts.Check(err)
	data, err := os.ReadFile(ts.MkAbs(args[0]))
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[2]), data[:n], 0o666))
}

// scriptBytes writes a file: bytes FILE HEX.
func scriptBytes(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: bytes FILE HEX")
	}
	data, err := hex.DecodeString(args[1])
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), data, 0o666))
}

// scriptExits runs a command that must end with a code: exits CODE COMMAND...
func scriptExits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE COMMAND [ARG...]")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	checkCode(ts, want, ts.Exec(args[1], args[2:]...))
}

// checkCode wants the exit code of a command that ended with err.
func checkCode(ts *testscript.TestScript, want int, err error) {
	got := 0
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		got = exit.ExitCode()
	} else {
		ts.Check(err)
	}
	if got != want {
		ts.Fatalf("exit code %d, not %d", got, want)
	}
}

// scriptNoReading wants listen to trust nothing in a take and to give no number:
// noreading FILE. Its output is left for the script to look at.
func scriptNoReading(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: noreading FILE")
	}
	checkCode(ts, codeUntrusted, ts.Exec("pluckweigh", "listen", "--json", args[0]))
	if r := lookUp(ts, "stdout", "0.reading"); r != nil {
		ts.Fatalf("reading is %v", r)
	}
	doubts := lookUp(ts, "stdout", "0.doubts").([]any)
	for i, p := range lookUp(ts, "stdout", "0.plucks").([]any) {
		p := p.(map[string]any)
		doubts = append(doubts, p["doubts"].([]any)...)
		for _, k := range []string{"f0_hz", "u_f0_hz", "f1_hz", "u_f1_hz", "inharmonicity", "u_inharmonicity", "glide_cents", "snr_db"} {
			if p[k] != nil {
				ts.Fatalf("pluck %d: %s is %v", i, k, p[k])
			}
		}
		if p["trusted"] != false || len(p["partials"].([]any)) > 0 {
			ts.Fatalf("pluck %d is %v", i, p)
		}
	}
	if len(doubts) == 0 {
		ts.Fatalf("no doubt says why")
	}
}

// scriptNoStdin is exits for a command with nothing at its standard input,
// where testscript's own has a pipe: nostdin CODE COMMAND...
func scriptNoStdin(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: nostdin CODE COMMAND [ARG...]")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	path, err := exec.LookPath(args[1])
	ts.Check(err)
	cmd := exec.Command(path, args[2:]...)
	cmd.Dir = ts.MkAbs(".")
	cmd.Env = os.Environ()
	for _, name := range homes {
		cmd.Env = append(cmd.Env, name+"="+ts.Getenv(name))
	}
	cmd.Stdout, cmd.Stderr = ts.Stdout(), ts.Stderr()
	checkCode(ts, want, cmd.Run())
}

// scriptPages wants manual pages in a folder to begin and end as such: pages DIR NAME...
func scriptPages(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: pages DIR NAME...")
	}
	for _, name := range args[1:] {
		text := ts.ReadFile(args[0] + "/" + name)
		for _, part := range []string{".TH ", ".SH NAME", ".SH SYNOPSIS"} {
			if !strings.Contains(text, part) {
				ts.Fatalf("%s lacks %s", name, part)
			}
		}
	}
}
