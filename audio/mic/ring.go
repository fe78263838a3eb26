package mic

import (
	"math/bits"
	"sync/atomic"
)

// A ring hands values from one goroutine or thread, the writer, to one other,
// the reader, without locks and without allocating. The indices count values
// since the start and never wrap in practice; each is written by one side only.
type ring[T any] struct {
	buf  []T // a power of two long
	mask uint64

	// The indices are written by different threads: a cache line each.
	_       [64]byte
	written atomic.Uint64
	_       [64]byte
	read    atomic.Uint64
}

// newRing returns a ring that holds at least n values, n > 0.
func newRing[T any](n int) *ring[T] {
	size := uint64(1) << bits.Len64(uint64(n-1))
	return &ring[T]{buf: make([]T, size), mask: size - 1}
}

// free is how many values can be written now: a lower bound, since the reader
// may be taking some. Writer's side.
func (r *ring[T]) free() int {
	return len(r.buf) - int(r.written.Load()-r.read.Load())
}

// write copies as much of src as fits, and says how much. Writer's side.
func (r *ring[T]) write(src []T) int {
	n := min(len(src), r.free())
	at := r.written.Load()
	k := copy(r.buf[at&r.mask:], src[:n])
	copy(r.buf, src[k:n])
	r.written.Store(at + uint64(n)) // only now may the reader see them
	return n
}

// waiting is how many values can be read now, at least. Reader's side.
func (r *ring[T]) waiting() int {
	return int(r.written.Load() - r.read.Load())
}

// take moves up to len(dst) values to dst, and says how many. Reader's side.
func (r *ring[T]) take(dst []T) int {
	n := min(len(dst), r.waiting())
	at := r.read.Load()
	k := copy(dst[:n], r.buf[at&r.mask:])
	copy(dst[k:n], r.buf)
	r.read.Store(at + uint64(n)) // only now may the writer reuse them
	return n
}

// peek returns the value that take would return first, if there is one.
// Reader's side.
func (r *ring[T]) peek() (v T, ok bool) {
	if r.waiting() == 0 {
		return v, false
	}
	return r.buf[r.read.Load()&r.mask], true
}

// skip drops the value that peek returned. Reader's side.
func (r *ring[T]) skip() { r.read.Add(1) }
