// Package mic captures sound from an input device as an [audio.Source].
//
// It stands on PortAudio and is the only package that needs cgo. Built without
// it (CGO_ENABLED=0, or the build tag nomic) Devices and Open return
// [ErrNotBuilt], whose hint says how to build the capture in; everything else
// here is plain Go and is tested in both builds.
//
// One sample's way: PortAudio's thread calls intake.take, which copies into a
// lock-free ring and returns; the goroutine in Read polls the ring, picks or
// mixes the channels, and keeps watch. A device that is pulled out, or a sound
// server that dies, raises no error in PortAudio: its callbacks simply stop. So
// Read counts callbacks and gives up when none has come for 1.2 s.
//
// PortAudio is one per process: its start, its device list and its calls are
// serialised here (library.go), every call has a time limit since a sound server
// that hangs makes it hang, and while it is in use C's standard error stream is
// turned away (hush_unix.go) unless Verbose is asked for.
package mic
