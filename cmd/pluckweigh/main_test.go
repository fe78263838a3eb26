package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"pluckweigh": main, "pluckweigh-fake": fakeProgram})
}

// scripts hold whole commands; see scriptCommands for what they can do beside
// testscript's own.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join("..", "..", "testdata", "script"),
		Cmds:                scriptCommands,
		Condition:           scriptCondition,
		Setup:               scriptSetup,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		UpdateScripts:       os.Getenv("PLUCKWEIGH_UPDATE") == "1",
	})
}

// onceOnly leaves a long test out where the program without a microphone is tried, as
// it is the same there.
func onceOnly(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("long, and the same without a microphone")
	}
}
