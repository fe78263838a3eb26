//go:build cgo && !nomic && (linux || darwin)

package mic

/*
#include <stdio.h>

static FILE *ours, *nowhere;

// Exchanging the stream, not file descriptor 2 beneath it: Go writes its own
// errors, panics included, to the descriptor, and none of them is ever lost.
// Only where the C library lets stderr be assigned: glibc says so in its manual
// ("Standard Streams"), Apple's headers define it as a variable.
static void hush(int on) {
#if defined(__GLIBC__) || defined(__APPLE__)
	if (on && !ours) {
		if (!nowhere && !(nowhere = fopen("/dev/null", "we"))) return;
		ours = stderr;
		stderr = nowhere;
	} else if (!on && ours) {
		stderr = ours; // nowhere stays open: a thread may be writing to it
		ours = NULL;
	}
#endif
}
*/
import "C"

// hush turns C's standard error stream away, or back. PortAudio, ALSA and JACK
// write there as they please, from threads of their own too: about a hundred
// lines on a machine without a sound card.
func hush(on bool) {
	var c C.int
	if on {
		c = 1
	}
	C.hush(c)
}
