package detecttest

import (
	"encoding/binary"
	"fmt"
	"io"
)

// A span is a stretch of bytes in a file.
type span struct{ off, size int64 }

// riffChunks finds the chunks of a RIFF file of the given form type, those
// inside LIST chunks among them; of two chunks with one name the first counts.
// Nothing but chunk headers is read.
func riffChunks(r io.ReaderAt, size int64, form string) (map[string]span, error) {
	var head [12]byte
	if err := readFull(r, head[:], 0); err != nil {
		return nil, fmt.Errorf("no RIFF header: %w", err)
	}
	if string(head[:4]) != "RIFF" || string(head[8:]) != form {
		return nil, fmt.Errorf("not a RIFF %q file: it starts with %q", form, head[:])
	}
	end := 8 + int64(binary.LittleEndian.Uint32(head[4:]))
	if end > size {
		return nil, fmt.Errorf("file is cut short: %d bytes of %d", size, end)
	}
	chunks := map[string]span{}
	// A LIST is entered by stepping over its header alone, so that its chunks
	// come next; they may not run past the file, which is all that matters here.
	for off := int64(12); off+8 <= end; {
		if err := readFull(r, head[:8], off); err != nil {
			return nil, err
		}
		id, n := string(head[:4]), int64(binary.LittleEndian.Uint32(head[4:]))
		if off+8+n > end {
			return nil, fmt.Errorf("chunk %q at byte %d runs past the end of the file", id, off)
		}
		if id == "LIST" {
			off += 12
			continue
		}
		if _, dup := chunks[id]; !dup {
			chunks[id] = span{off + 8, n}
		}
		off += 8 + n + n&1
	}
	return chunks, nil
}

// readFull fills dst from off, as io.ReadFull does from a reader.
func readFull(r io.ReaderAt, dst []byte, off int64) error {
	n, err := r.ReadAt(dst, off)
	if n == len(dst) {
		return nil
	}
	if err == io.EOF || err == nil {
		err = io.ErrUnexpectedEOF
	}
	return fmt.Errorf("reading %d bytes at %d: %w", len(dst), off, err)
}
