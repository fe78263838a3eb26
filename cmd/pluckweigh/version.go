package main

import (
	"fmt"
	"runtime"
	"runtime/debug"
	"strings"
)

// version says which build this is, from what the Go tool recorded in it.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "(unknown build)"
	}
	set := map[string]string{}
	for _, s := range info.Settings {
		set[s.Key] = s.Value
	}
	v := info.Main.Version
	if v == "" {
		v = "(devel)"
	}
	// An untagged version names the revision itself, shortened.
	if r := set["vcs.revision"]; r != "" && !strings.Contains(v, r[:min(12, len(r))]) {
		v += " " + r
	}
	if set["vcs.modified"] == "true" && !strings.HasSuffix(v, "+dirty") {
		v += " modified"
	}
	return fmt.Sprintf("%s %s %s/%s CGO_ENABLED=%s", v, info.GoVersion, runtime.GOOS, runtime.GOARCH, set["CGO_ENABLED"])
}
