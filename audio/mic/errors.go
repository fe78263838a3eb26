package mic

import "pluckweigh/audio"

// The kinds of error that Devices, Open and a Source's Read return, beside those
// of [audio.Source] and the context's; tell them apart with [errors.Is]. They come
// as or in an [audio.Error], whose hint says what to do.
var (
	// ErrNoDevice: there is no input device that could be used. ErrNotBuilt and
	// ErrCannotStart count as it too.
	ErrNoDevice error = &audio.Error{
		What: "no sound input device found",
		Do:   "plug in a microphone or an audio interface, check that the sound server runs, and see `pluckweigh devices --verbose`",
	}

	// ErrNotBuilt: this program was built without the capture.
	ErrNotBuilt error = &audio.Error{
		What: "this build cannot use a microphone: it was built without PortAudio",
		Do: "install the library (Debian: apt-get install portaudio19-dev pkg-config; macOS: brew install portaudio pkg-config; " +
			"Windows, in MSYS2: pacman -S mingw-w64-x86_64-{gcc,portaudio,pkgconf}), " +
			"then build with CGO_ENABLED=1 and without the tag nomic: make build; files work as they are",
		Err: ErrNoDevice,
	}

	// ErrCannotStart: PortAudio or what it stands on cannot be started.
	ErrCannotStart error = &audio.Error{What: "the sound library cannot start", Err: ErrNoDevice}

	// ErrDied: the device, or the sound server, stopped delivering.
	ErrDied error = &audio.Error{
		What: "the sound input device has stopped delivering",
		Do:   "check that it is still plugged in and that the sound server runs, then start again; what was heard before is kept",
	}

	// ErrStuck: a call into the sound library did not come back in time. The
	// call is left behind, and so is the device it holds.
	ErrStuck error = &audio.Error{
		What: "the sound library does not answer",
		Do:   "the sound server may hang: restart it, or log out and in, then start this program again",
	}

	// ErrNotOffered: the device does not have the rate or channel asked for.
	ErrNotOffered error = &audio.Error{What: "the device does not offer that"}

	// ErrNoMatch: no device, or more than one, goes by the name asked for.
	ErrNoMatch error = &audio.Error{What: "no device goes by that name"}
)
