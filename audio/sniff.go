package audio

import (
	"bufio"
	"bytes"
	"io"
	"unicode"
	"unicode/utf8"
)

// A fileFormat is a container this package decodes.
type fileFormat int

const (
	wavFile fileFormat = iota
	flacFile
)

// Hints for what is refused.
const (
	hintLossy     = "lossy coding moves partials, and converting does not bring them back: set the recorder to WAV or FLAC"
	hintContainer = "if the sound in it is lossless, " + hintConvert + "; otherwise " + hintLossy
	hintConvert   = "export it as WAV or FLAC from a sound editor or converter"
	hintNoSound   = "give a WAV or FLAC recording"
	hintDamaged   = "copy or record it again"
)

// sniffLen is how much of a stream is looked at to recognise it, in bytes.
const sniffLen = 512

// sniff tells from the first bytes of r what it holds and leaves r at the
// beginning of the WAV or FLAC data. All else is an *Error.
func sniff(r *bufio.Reader) (fileFormat, error) {
	tagged := false
	for {
		// A stream may be slow: do not wait for more than what decides.
		head, err := r.Peek(12)
		if format, ok := decodable(head); ok {
			return format, nil
		}
		if len(head) == 12 {
			head, err = r.Peek(sniffLen)
		}
		if err != nil && err != io.EOF {
			return 0, readError(err)
		}
		if len(head) == 0 && !tagged {
			return 0, &Error{What: "is empty", Do: hintDamaged}
		}
		size, ok := id3Size(head)
		if !ok {
			return 0, refuse(head, tagged)
		}
		tagged = true
		if _, err := io.CopyN(io.Discard, r, size); err != nil {
			if err != io.EOF {
				return 0, readError(err)
			}
			return 0, refuse(nil, tagged)
		}
	}
}

// decodable recognises what this package reads.
func decodable(head []byte) (fileFormat, bool) {
	switch {
	case bytes.HasPrefix(head, []byte("fLaC")):
		return flacFile, true
	case has(head, 8, "WAVE") && (has(head, 0, "RIFF") || has(head, 0, "RF64") || has(head, 0, "BW64")):
		return wavFile, true
	}
	return 0, false
}

// id3Size returns the length in bytes of the ID3v2 tag that head begins with,
// header and footer included.
func id3Size(head []byte) (int64, bool) {
	if len(head) < 10 || !has(head, 0, "ID3") {
		return 0, false
	}
	size := int64(10)
	for i, b := range head[6:10] {
		if b > 0x7F {
			return 0, false
		}
		size += int64(b) << (7 * (3 - i))
	}
	if head[5]&0x10 != 0 {
		size += 10
	}
	return size, true
}

// signatures of what is recognised and refused, in the order of looking.
var signatures = []struct {
	at          int
	magic, what string
	hint        string
}{
	{0, "RIFX", "is a big-endian WAV (RIFX) file", hintConvert},
	{8, "AVI ", "is an AVI film", hintContainer},
	{8, "AIFF", "is an AIFF file", hintConvert},
	{8, "AIFC", "is an AIFF-C file", hintConvert},
	{0, "FORM", "is an IFF file", hintConvert},
	{0, "caff", "is a CAF file", hintConvert},
	{0, ".snd", "is an AU file", hintConvert},
	{0, "riff\x2E\x91\xCF\x11", "is a Wave64 file", hintConvert},
	{0, "wvpk", "is a WavPack file", hintConvert},
	{0, "MAC ", "is an APE file", hintConvert},
	{0, "TTA1", "is a TTA file", hintConvert},
	{0, "DSD ", "is a DSD file", hintConvert},
	{0, "FRM8", "is a DSD file", hintConvert},
	{0, "MThd", "is a MIDI file, which holds no sound", hintNoSound},
	{28, "\x7FFLAC", "is FLAC in an Ogg container", hintConvert},
	{28, "\x01vorbis", "is an Ogg Vorbis file", hintLossy},
	{28, "OpusHead", "is an Ogg Opus file", hintLossy},
	{0, "OggS", "is an Ogg file", hintContainer},
	{4, "ftyp", "is an MPEG-4 file (MP4, M4A), whose sound is nearly always lossy", hintContainer},
	{0, "\x30\x26\xB2\x75\x8E\x66\xCF\x11", "is a Windows Media file (WMA, ASF)", hintContainer},
	{0, "\x1A\x45\xDF\xA3", "is a Matroska or WebM file", hintContainer},
	{0, "#!AMR", "is an AMR file", hintLossy},
	{0, "\x0B\x77", "is an AC-3 file", hintLossy},
	{0, "PK\x03\x04", "is a zip archive", "unpack it"},
	{0, "\x1F\x8B", "is a gzip file", "unpack it"},
}

// refuse words what head begins, which is neither WAV nor FLAC.
func refuse(head []byte, tagged bool) *Error {
	for _, s := range signatures {
		if has(head, s.at, s.magic) {
			return &Error{What: s.what, Do: s.hint}
		}
	}
	switch {
	case isADTS(head):
		return &Error{What: "is an AAC file (ADTS)", Do: hintLossy}
	case isMPEGAudio(head) || tagged:
		return &Error{What: "is an MP3 or other MPEG audio file", Do: hintLossy}
	case has(head, 0, "RIFF") && len(head) >= 12:
		return &Error{What: "is a RIFF file without WAVE sound", Do: hintNoSound}
	case has(head, 0, "RIFF"), bytes.HasPrefix([]byte("fLaC"), head):
		return &Error{What: "ends within its first header", Do: hintDamaged}
	case isText(head):
		return &Error{What: "is text, not sound", Do: hintNoSound}
	}
	return &Error{What: "is not a sound file known here", Do: hintNoSound}
}

func has(head []byte, at int, magic string) bool {
	return len(head) >= at && bytes.HasPrefix(head[at:], []byte(magic))
}

// isMPEGAudio recognises a frame header of MPEG-1, 2 or 2.5 audio, layer II or
// III (ISO/IEC 11172-3, 2.4.1.3). Layer I is not in use, and would take UTF-16
// text along.
func isMPEGAudio(head []byte) bool {
	return len(head) >= 4 && head[0] == 0xFF && head[1]&0xE0 == 0xE0 &&
		head[1]&0x18 != 0x08 && // version
		(head[1]&0x06 == 0x02 || head[1]&0x06 == 0x04) && // layer
		head[2]&0xF0 != 0xF0 && // bit rate
		head[2]&0x0C != 0x0C // sample rate
}

// isADTS recognises a frame header of AAC in ADTS (ISO/IEC 13818-7, 6.2).
func isADTS(head []byte) bool {
	return len(head) >= 4 && head[0] == 0xFF && head[1]&0xF6 == 0xF0 &&
		head[2]>>2&0x0F < 13 // sample rate index
}

// isText reports whether head is UTF-8 without control characters other than
// white space.
func isText(head []byte) bool {
	for len(head) > 0 {
		c, size := utf8.DecodeRune(head)
		if c == utf8.RuneError && size == 1 {
			return !utf8.FullRune(head) // cut off by the end of head
		}
		if unicode.IsControl(c) && !unicode.IsSpace(c) {
			return false
		}
		head = head[size:]
	}
	return true
}

// readError words a failure to read on.
func readError(err error) *Error {
	return &Error{What: "cannot be read: " + pathError("", err).What, Do: "check the disk or the program that sends it", Err: err}
}
