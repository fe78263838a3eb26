package detecttest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"
)

// ErrMissing is in the chain of an error that only wants a package installed;
// its message says which.
var ErrMissing = errors.New("not installed")

// RequireEnv names the environment variable that, set to 1, turns tests which
// would be skipped for want of a package into failures.
const RequireEnv = "PLUCKWEIGH_REQUIRE_TOOLS"

// Need ends the test when err is not nil: skipped where a package is missing
// and RequireEnv does not forbid it, failed in every other case.
func Need(tb testing.TB, err error) {
	tb.Helper()
	switch {
	case err == nil:
	case errors.Is(err, ErrMissing) && os.Getenv(RequireEnv) != "1":
		tb.Skip(err)
	default:
		tb.Fatal(err)
	}
}

// run executes a tool of a Debian package with the environment env and returns
// its standard output and the processor time it took. What it wrote to standard
// error is part of the error.
func run(ctx context.Context, pkg string, env []string, tool string, args ...string) ([]byte, time.Duration, error) {
	path, err := exec.LookPath(tool)
	if err != nil {
		return nil, 0, fmt.Errorf("%s: %w: apt-get install %s", tool, ErrMissing, pkg)
	}
	var stdout, stderr bytes.Buffer
	cmd := exec.CommandContext(ctx, path, args...)
	cmd.Env, cmd.Stdout, cmd.Stderr = env, &stdout, &stderr
	cmd.WaitDelay = time.Second
	if err := cmd.Run(); err != nil {
		if ctx.Err() != nil {
			err = ctx.Err()
		}
		said := strings.Join(strings.Fields(stderr.String()), " ")
		return nil, 0, fmt.Errorf("%s: %w: %s", tool, err, said)
	}
	return stdout.Bytes(), cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime(), nil
}
