//go:build !cgo || nomic

package mic

import (
	"context"

	"pluckweigh/audio"
)

// Devices returns [ErrNotBuilt]: this build has no capture.
func Devices(ctx context.Context, verbose bool) ([]Device, error) { return nil, ErrNotBuilt }

// Open returns [ErrNotBuilt]: this build has no capture.
func Open(ctx context.Context, o Options) (audio.Source, error) { return nil, ErrNotBuilt }
