package calib

import "syscall"

// keptBy asks the kernel, which a network time service tells (adjtimex(2)).
func keptBy() keeping {
	const unsynchronised = 0x40 // STA_UNSYNC of adjtimex(2)
	var t syscall.Timex         // modes zero: nothing is set
	if _, err := syscall.Adjtimex(&t); err != nil {
		return keepingUnknown
	}
	if t.Status&unsynchronised != 0 {
		return notKept
	}
	return kept
}
