package audio

import "os"

// Grow makes w's take one of the given number of samples, the new ones zero,
// without writing them.
func Grow(w *Writer, samples int64) error {
	w.frames = samples
	return w.f.Truncate(headerLen + samples*sampleLen)
}

// SwapFile makes w write to f from now on and returns the file before.
func SwapFile(w *Writer, f *os.File) *os.File {
	before := w.f
	w.f = f
	return before
}

// Contain is contain.
var Contain = contain
