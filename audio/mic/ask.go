//go:build cgo && !nomic

package mic

import (
	"context"
	"os"
	"os/exec"
	"time"
)

// askServer asks by way of pactl, the tool of either server. It says no when
// there is no such tool or server, or none answers within a second.
func askServer(ctx context.Context) (served, bool) {
	ctx, cancel := context.WithTimeout(ctx, time.Second)
	defer cancel()
	info, err := pactl(ctx, "info")
	if err != nil {
		return served{}, false
	}
	sources, err := pactl(ctx, "list", "short", "sources")
	if err != nil {
		return served{}, false
	}
	return parseServer(info, sources)
}

func pactl(ctx context.Context, args ...string) (string, error) {
	cmd := exec.CommandContext(ctx, "pactl", args...)
	cmd.Env = append(os.Environ(), "LC_ALL=C")
	cmd.WaitDelay = 100 * time.Millisecond
	out, err := cmd.Output()
	return string(out), err
}
