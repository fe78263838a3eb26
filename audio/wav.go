package audio

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
)

// Format tags of WAVE (RFC 2361; Multimedia Programming Interface and Data
// Specifications 1.0).
const (
	tagPCM        = 0x0001
	tagFloat      = 0x0003
	tagExtensible = 0xFFFE
)

// compressed names the format tags likely to be met which are not linear.
var compressed = map[uint16]string{
	0x0002: "ADPCM",
	0x0006: "A-law",
	0x0007: "µ-law",
	0x0011: "IMA ADPCM",
	0x0031: "GSM 6.10",
	0x0050: "MPEG",
	0x0055: "MP3",
	0x0161: "Windows Media Audio",
	0x0162: "Windows Media Audio",
	0x00FF: "AAC",
	0x1610: "AAC",
	0x2000: "AC-3",
}

// waveGUID is the tail which the sub-format of an extensible header has in
// common for all format tags.
const waveGUID = "\x00\x00\x00\x00\x10\x00\x80\x00\x00\xAA\x00\x38\x9B\x71"

// A wavFormat is what a fmt chunk says.
type wavFormat struct {
	coding coding
	rate   uint32 // Hz
	count  int    // channels
	block  int    // bytes of a frame, one sample of all channels
}

// unknownSize stands for data that go on to the end of the stream.
const unknownSize = -1

// readWAVHeader reads r, which begins with a RIFF, RF64 or BW64 header, up to
// its samples. size is their length in bytes as the header has it, or
// unknownSize.
//
// Sources: the specification named above for RIFF, EBU Tech 3306 and ITU-R
// BS.2088 for RF64 and BW64.
func readWAVHeader(r *bufio.Reader) (f wavFormat, size int64, err error) {
	var riff [12]byte
	if _, err := io.ReadFull(r, riff[:]); err != nil {
		return f, 0, headerError(err)
	}
	var long uint64 // size of the data in the ds64 chunk
	for {
		var head [8]byte
		if _, err := io.ReadFull(r, head[:]); err == io.EOF {
			return f, 0, &Error{What: "is a WAV file without a data chunk: it holds no sound", Do: hintDamaged, Err: err}
		} else if err != nil {
			return f, 0, headerError(err)
		}
		id, size := string(head[:4]), int64(binary.LittleEndian.Uint32(head[4:]))
		if !printable(id) {
			return f, 0, &Error{What: fmt.Sprintf("is a damaged WAV file: %q is no chunk name", id), Do: hintDamaged}
		}
		var body []byte
		switch id {
		case "data":
			if f.rate == 0 {
				return f, 0, &Error{What: "is a damaged WAV file: its data come before any fmt chunk", Do: hintDamaged}
			}
			return f, dataSize(r, size, long), nil
		case "fmt ":
			if body, err = readBody(r, size, 40); err == nil {
				f, err = parseFormat(body)
			}
		case "ds64":
			if body, err = readBody(r, size, 28); err == nil && len(body) >= 16 {
				long = binary.LittleEndian.Uint64(body[8:])
			}
		}
		if err != nil {
			return f, 0, err
		}
		// Chunks are padded to even length.
		if _, err := io.CopyN(io.Discard, r, size-int64(len(body))+size&1); err != nil {
			return f, 0, headerError(err)
		}
	}
}

// readBody reads the first bytes of a chunk of size bytes, at most limit.
func readBody(r io.Reader, size, limit int64) ([]byte, error) {
	body := make([]byte, min(size, limit))
	if _, err := io.ReadFull(r, body); err != nil {
		return nil, headerError(err)
	}
	return body, nil
}

// dataSize makes sense of the sizes given for the data that r is at: short in
// the data chunk, long in ds64 or 0.
func dataSize(r *bufio.Reader, short int64, long uint64) int64 {
	switch {
	case short == math.MaxUint32 && long > 0 && long <= math.MaxInt64:
		return int64(long)
	case short >= math.MaxUint32-0xFF:
		return unknownSize
	case short >= 0x7FFFF000-0xFF && short <= 0x80000000:
		// What common tools write into a pipe, where they cannot come back.
		return unknownSize
	case short == 0:
		// A header that was never completed, unless another chunk follows.
		if next, _ := r.Peek(4); len(next) == 4 && trailing[string(next)] {
			return 0
		}
		return unknownSize
	}
	return short
}

// trailing are the chunks that are found after data.
var trailing = map[string]bool{
	"LIST": true, "bext": true, "fact": true, "cue ": true, "smpl": true, "inst": true, "PEAK": true,
	"id3 ": true, "ID3 ": true, "iXML": true, "_PMX": true, "axml": true, "chna": true, "JUNK": true, "junk": true,
}

// parseFormat reads the body of a fmt chunk and refuses what is not linear or
// not consistent.
func parseFormat(b []byte) (wavFormat, error) {
	if len(b) < 16 {
		return wavFormat{}, badFormat("a fmt chunk of %d bytes", len(b))
	}
	le := binary.LittleEndian
	tag := le.Uint16(b)
	f := wavFormat{count: int(le.Uint16(b[2:])), rate: le.Uint32(b[4:]), block: int(le.Uint16(b[12:]))}
	bits := int(le.Uint16(b[14:]))
	if tag == tagExtensible {
		if len(b) < 40 {
			return f, badFormat("an extensible fmt chunk of %d bytes", len(b))
		}
		if string(b[26:40]) != waveGUID {
			return f, &Error{What: fmt.Sprintf("is a WAV file of unknown coding (sub-format %x)", b[24:40]), Do: hintConvert}
		}
		tag = le.Uint16(b[24:])
		// Valid bits are the upper ones of their container, so that they do
		// not matter for the value.
		if valid := int(le.Uint16(b[18:])); valid > bits || bits%8 != 0 {
			return f, badFormat("%d valid bits in %d", valid, bits)
		}
	}
	if name, ok := compressed[tag]; ok {
		return f, &Error{What: fmt.Sprintf("is a WAV file with lossy sound in it (%s, format tag 0x%04X)", name, tag), Do: hintLossy}
	}
	width := (bits + 7) / 8
	switch {
	case tag == tagPCM && bits >= 1 && width <= 4:
		f.coding = [...]coding{1: unsigned8, 2: signed16, 3: signed24, 4: signed32}[width]
	case tag == tagFloat && bits == 32:
		f.coding = float32s
	case tag == tagFloat && bits == 64:
		f.coding = float64s
	case tag == tagPCM || tag == tagFloat:
		return f, badFormat("samples of %d bits in format 0x%04X", bits, tag)
	default:
		return f, &Error{What: fmt.Sprintf("is a WAV file of unknown coding (format tag 0x%04X)", tag), Do: hintConvert}
	}
	if err := checkShape(int64(f.rate), f.count, 0); err != nil {
		return f, err
	}
	if f.block != f.count*width {
		return f, badFormat("%d channels of %d bytes in blocks of %d", f.count, width, f.block)
	}
	return f, nil
}

// badFormat words what a fmt chunk should not say.
func badFormat(format string, args ...any) error {
	return &Error{What: "is a damaged WAV file: " + fmt.Sprintf(format, args...), Do: hintDamaged}
}

// headerError words a failure to read the header to its end.
func headerError(err error) error {
	if err == io.EOF || errors.Is(err, io.ErrUnexpectedEOF) {
		return &Error{What: "ends within its header: it holds no sound", Do: hintDamaged, Err: io.ErrUnexpectedEOF}
	}
	return readError(err)
}

func printable(id string) bool {
	for _, c := range []byte(id) {
		if c < ' ' || c > '~' {
			return false
		}
	}
	return true
}
