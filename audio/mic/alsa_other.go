//go:build cgo && !nomic && !linux

package mic

// alsaReady has nothing to check: ALSA is Linux's.
func alsaReady() error { return nil }
