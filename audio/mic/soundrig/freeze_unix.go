//go:build unix

package soundrig

import "syscall"

// Freeze stops the sound server without ending it: it no longer answers.
func (r *Rig) Freeze() {
	r.t.Helper()
	r.signal(syscall.SIGSTOP)
}
