//go:build cgo && !nomic

package mic

/*
#cgo LDFLAGS: -ldl
#define _GNU_SOURCE
#include <dlfcn.h>
#include <stddef.h>

// Looked up at run time: PortAudio may have been built without ALSA.
static int alsa_check(void) {
	int (*update)(void) = dlsym(RTLD_DEFAULT, "snd_config_update");
	void **top = dlsym(RTLD_DEFAULT, "snd_config");
	int (*search)(void *, const char *, void **) = dlsym(RTLD_DEFAULT, "snd_config_search");
	void *node;
	if (!update || !top || !search) return 0;
	if (update() < 0 || !*top) return 1;
	if (search(*top, "pcm.default", &node) < 0 && search(*top, "pcm.dmix", &node) < 0) return 2;
	return 0;
}
*/
import "C"

import "pluckweigh/audio"

// alsaReady refuses an ALSA configuration that would end the process. PortAudio
// 19.6 lists the configured devices but "default" and "dmix", then asserts that
// some are left to list: a configuration that is missing, empty or without those
// two can fail that, and Go cannot recover an abort. Asking ALSA itself first, in
// this process, costs nothing, since it keeps what it has read; trying PortAudio's
// start in a child process was measured at 0.02 to 0.4 s for the same answer.
func alsaReady() error {
	const fix = "install libasound2-data, and check ALSA_CONFIG_PATH, /usr/share/alsa/alsa.conf and ~/.asoundrc"
	switch C.alsa_check() {
	case 1:
		return &audio.Error{What: "the sound library cannot start: the ALSA configuration cannot be read", Do: fix, Err: ErrCannotStart}
	case 2:
		return &audio.Error{What: "the sound library cannot start: the ALSA configuration is missing or empty, it has no default device", Do: fix, Err: ErrCannotStart}
	}
	return nil
}
