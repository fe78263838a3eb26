package audio

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
)

// A Writer writes a take to a WAV file of one channel of 32-bit floating point
// samples. Each Write reaches the operating system before it returns, under a
// header that lets the samples go on to the end of the file, so that what was
// written can be read by Open even if the program is killed. Close completes
// the header; beyond 4 GB the file becomes RF64.
//
// A Writer is used by one goroutine at a time.
type Writer struct {
	f      *os.File
	path   string // where the take ends up
	buf    []byte
	frames int64 // samples in the file
	failed error // why writing stopped
	closed bool
}

// Create starts a take in a new file. It fails if path exists.
//
// The rate is in hertz, a whole number from MinFileRate to MaxFileRate.
func Create(path string, rate float64) (*Writer, error) {
	if err := checkRate(path, rate); err != nil {
		return nil, err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if errors.Is(err, fs.ErrExist) {
		return nil, &Error{Name: path, What: "exists already", Do: "choose another name, or ask for it to be overwritten", Err: err}
	} else if err != nil {
		return nil, pathError(path, err)
	}
	return newWriter(f, path, rate)
}

// Overwrite is Create for a path that may exist. A file that is there stays as
// it is until Close puts the whole take in its place; until then the take grows
// beside it, in a file of the same name and a number, ending in .part.
func Overwrite(path string, rate float64) (*Writer, error) {
	w, err := Create(path, rate)
	if !errors.Is(err, fs.ErrExist) {
		return w, err
	}
	// Follow a link, so that what it points to is replaced and not the link.
	target, err := filepath.EvalSymlinks(path)
	if err != nil {
		return nil, pathError(path, err)
	}
	info, err := os.Stat(target)
	if err != nil {
		return nil, pathError(path, err)
	}
	if !info.Mode().IsRegular() {
		return nil, &Error{Name: path, What: "is not a file that can be overwritten", Do: "choose another name"}
	}
	f, err := os.CreateTemp(filepath.Dir(target), filepath.Base(target)+".*.part")
	if err != nil {
		return nil, pathError(path, err)
	}
	if err := f.Chmod(info.Mode().Perm()); err != nil {
		f.Close()
		os.Remove(f.Name())
		return nil, pathError(path, err)
	}
	return newWriter(f, target, rate)
}

func checkRate(path string, rate float64) error {
	if !(rate >= MinFileRate && rate <= MaxFileRate) || rate != math.Trunc(rate) {
		return &Error{
			Name: path,
			What: fmt.Sprintf("a sample rate of %g Hz cannot be saved as WAV", rate),
			Do:   fmt.Sprintf("choose a whole number from %d to %d", MinFileRate, MaxFileRate),
		}
	}
	return nil
}

func newWriter(f *os.File, path string, rate float64) (*Writer, error) {
	w := &Writer{f: f, path: path}
	if _, err := f.Write(openHeader(uint32(rate))); err != nil {
		f.Close()
		os.Remove(f.Name())
		return nil, pathError(path, err)
	}
	return w, nil
}

// Write appends samples, rounded to 32-bit floating point. A sample that is not
// finite or beyond ±MaxSample is an error, and nothing of samples is written.
func (w *Writer) Write(samples []float64) error {
	if w.closed {
		return &Error{Name: w.path, What: "the take is closed", Err: fs.ErrClosed}
	}
	if w.failed != nil {
		return w.failed
	}
	w.buf = w.buf[:0]
	for i, x := range samples {
		if !(x >= -MaxSample && x <= MaxSample) {
			return &Error{Name: w.path, What: fmt.Sprintf("sample %d cannot be saved: %g", w.frames+int64(i), x)}
		}
		w.buf = binary.LittleEndian.AppendUint32(w.buf, math.Float32bits(float32(x)))
	}
	n, err := w.f.Write(w.buf)
	w.frames += int64(n / sampleLen)
	if err != nil {
		e := pathError(w.path, err)
		e.What = fmt.Sprintf("writing stopped at sample %d: %s", w.frames, e.What)
		e.Do = "free some space or save elsewhere; what was written so far is in " + w.f.Name()
		w.failed = e
	}
	return w.failed
}

// Close completes the file. A take without a single sample leaves no file, and
// one whose writing failed does not replace another. Closing twice is allowed.
func (w *Writer) Close() error {
	if w.closed {
		return nil
	}
	w.closed = true
	if w.frames == 0 {
		return errors.Join(w.failed, w.f.Close(), os.Remove(w.f.Name()))
	}
	err := w.finish()
	if cerr := w.f.Close(); err == nil {
		err = cerr
	}
	if err == nil && w.failed == nil && w.f.Name() != w.path {
		err = os.Rename(w.f.Name(), w.path)
	}
	if err != nil {
		e := pathError(w.path, err)
		e.What = "cannot be completed: " + e.What
		e.Do = "what was written so far is in " + w.f.Name()
		return e
	}
	return w.failed
}

// finish puts the sizes in the header and the file on the disk.
func (w *Writer) finish() error {
	// A write that failed may have left part of a sample.
	if err := w.f.Truncate(headerLen + w.frames*sampleLen); err != nil {
		return err
	}
	for _, p := range closedHeader(w.frames) {
		if _, err := w.f.WriteAt(p.bytes, p.at); err != nil {
			return err
		}
	}
	return w.f.Sync()
}
