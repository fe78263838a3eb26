package mic

import (
	"slices"
	"testing"
)

func TestRingSize(t *testing.T) {
	for _, c := range []struct{ ask, size int }{{1, 1}, {2, 2}, {3, 4}, {4, 4}, {192000, 262144}} {
		r := newRing[float32](c.ask)
		if len(r.buf) != c.size || r.free() != c.size || r.waiting() != 0 {
			t.Errorf("a ring for %d holds %d, %d of them free, %d waiting", c.ask, len(r.buf), r.free(), r.waiting())
		}
	}
}

// FuzzRing compares a ring with a plain queue. Each byte of the script is an
// act: its lowest bits say which, the others with how many values.
func FuzzRing(f *testing.F) {
	f.Add(uint8(7), []byte{0x20, 0x11, 0x42, 0x31, 0x80, 0x81, 0x02})
	f.Add(uint8(0), []byte{0xf0, 0xf1, 0x03, 0x10})
	f.Fuzz(func(t *testing.T, ask uint8, script []byte) {
		r := newRing[int](int(ask) + 1)
		var queue []int
		next := 0
		for _, act := range script {
			n := int(act >> 2)
			switch act & 3 {
			case 0: // write
				src := make([]int, n)
				for i := range src {
					src[i] = next + i
				}
				wrote := r.write(src)
				if wrote != min(n, len(r.buf)-len(queue)) {
					t.Fatalf("wrote %d of %d into a ring of %d that held %d", wrote, n, len(r.buf), len(queue))
				}
				queue = append(queue, src[:wrote]...)
				next += wrote
			case 1: // take
				dst := make([]int, n)
				took := r.take(dst)
				if took != min(n, len(queue)) || !slices.Equal(dst[:took], queue[:took]) {
					t.Fatalf("took %v, the queue is %v", dst[:took], queue)
				}
				queue = queue[took:]
			case 2: // peek
				v, ok := r.peek()
				if ok != (len(queue) > 0) || ok && v != queue[0] {
					t.Fatalf("peeked %v %v, the queue is %v", v, ok, queue)
				}
			case 3: // skip
				if len(queue) > 0 {
					r.skip()
					queue = queue[1:]
				}
			}
			if r.waiting() != len(queue) || r.free() != len(r.buf)-len(queue) {
				t.Fatalf("%d waiting, %d free, the queue holds %d", r.waiting(), r.free(), len(queue))
			}
		}
	})
}

// TestRingTwoThreads hands a long count across; run with -race it also shows
// that the two sides never touch the same values.
func TestRingTwoThreads(t *testing.T) {
	const total = 1 << 20
	r := newRing[int](1000)
	go func() {
		buf := make([]int, 333)
		for n := 0; n < total; {
			k := min(len(buf), total-n)
			for i := range k {
				buf[i] = n + i
			}
			n += r.write(buf[:k])
		}
	}()
	buf := make([]int, 700)
	for n := 0; n < total; {
		k := r.take(buf)
		for _, v := range buf[:k] {
			if v != n {
				t.Fatalf("%d came where %d was due", v, n)
			}
			n++
		}
	}
}

func BenchmarkRing(b *testing.B) {
	r := newRing[float32](1 << 18)
	src, dst := make([]float32, 1200), make([]float32, 1200)
	b.ReportAllocs()
	b.SetBytes(1200 * 4)
	for b.Loop() {
		r.write(src)
		r.take(dst)
	}
}
