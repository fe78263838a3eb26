package audio_test

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pluckweigh/audio"
)

// pad makes a file of 600 bytes out of how it begins.
func pad(head string) []byte {
	return append([]byte(head), make([]byte, 600-len(head))...)
}

// ogg is the beginning of an Ogg file, up to its first packet.
func ogg(packet string) []byte {
	return pad("OggS\x00\x02" + strings.Repeat("\x00", 20) + "\x01\x1E" + packet)
}

// id3 is an ID3v2 tag of the given length before what follows.
func id3(size int, rest string) []byte {
	head := []byte{'I', 'D', '3', 4, 0, 0, byte(size >> 21), byte(size >> 14 & 127), byte(size >> 7 & 127), byte(size & 127)}
	return append(append(head, make([]byte, size)...), rest...)
}

// TestRefused: each kind of file is named, with a hint; lossy ones are told why.
func TestRefused(t *testing.T) {
	const lossy = "moves partials"
	tests := []struct {
		name       string
		file       []byte
		want, hint string
	}{
		{"empty", nil, "is empty", "again"},
		{"text", []byte("two strings, both of them dead\n"), "is text", "WAV or FLAC"},
		{"long text", []byte(strings.Repeat("größer ", 500)), "is text", "WAV or FLAC"},
		{"UTF-16 text", pad("\xFF\xFEt\x00e\x00x\x00t\x00"), "not a sound file", "WAV or FLAC"},
		{"zeros", make([]byte, 1000), "not a sound file", "WAV or FLAC"},
		{"picture", pad("\x89PNG\r\n\x1A\n"), "not a sound file", "WAV or FLAC"},
		{"mp3", pad("\xFF\xFB\x90\x64"), "MP3", lossy},
		{"mp3, MPEG-2", pad("\xFF\xF3\x84\xC4"), "MP3", lossy},
		{"mp3 with ID3", id3(300, "\xFF\xFB\x90\x64"), "MP3", lossy},
		{"mp3 with a long ID3", id3(300_000, "\xFF\xFB\x90\x64"), "MP3", lossy},
		{"mp3 cut within ID3", id3(300, "")[:100], "MP3", lossy},
		{"aac", pad("\xFF\xF1\x50\x80"), "AAC", lossy},
		{"aac with ID3", id3(50, "\xFF\xF9\x50\x80"), "AAC", lossy},
		{"vorbis", ogg("\x01vorbis"), "Vorbis", lossy},
		{"opus", ogg("OpusHead"), "Opus", lossy},
		{"speex", ogg("Speex   "), "Ogg", lossy},
		{"ogg flac", ogg("\x7FFLAC"), "FLAC in an Ogg container", "export it as WAV or FLAC"},
		{"m4a", pad("\x00\x00\x00\x20ftypM4A "), "MPEG-4", "export it as WAV or FLAC"},
		{"mp4", pad("\x00\x00\x00\x1Cftypisom"), "MPEG-4", lossy},
		{"wma", pad("\x30\x26\xB2\x75\x8E\x66\xCF\x11\xA6\xD9"), "WMA", lossy},
		{"webm", pad("\x1A\x45\xDF\xA3"), "WebM", lossy},
		{"amr", pad("#!AMR\n"), "AMR", lossy},
		{"avi", pad("RIFF\x00\x10\x00\x00AVI LIST"), "AVI", lossy},
		{"aiff", pad("FORM\x00\x00\x10\x00AIFFCOMM"), "AIFF", "convert"},
		{"aifc", pad("FORM\x00\x00\x10\x00AIFCCOMM"), "AIFF-C", "convert"},
		{"caf", pad("caff\x00\x01\x00\x00desc"), "CAF", "convert"},
		{"au", pad(".snd\x00\x00\x00\x18"), "AU", "convert"},
		{"rifx", pad("RIFX\x00\x00\x10\x00WAVE"), "RIFX", "convert"},
		{"other RIFF", pad("RIFF\x00\x10\x00\x00WEBP"), "without WAVE sound", "WAV or FLAC"},
		{"midi", pad("MThd\x00\x00\x00\x06"), "MIDI", "WAV or FLAC"},
		{"zip", pad("PK\x03\x04"), "zip", "unpack"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			// The name has no say.
			_, err := audio.Open(writeFile(t, "take.wav", tt.file), audio.Options{})
			if err == nil {
				t.Fatalf("no error, want %q", tt.want)
			}
			checkError(t, err, "take.wav: ")
			checkError(t, err, tt.want)
			var e *audio.Error
			if errors.As(err, &e); !strings.Contains(e.Hint(), tt.hint) {
				t.Errorf("hint is %q, want %q in it", e.Hint(), tt.hint)
			}
			wantError(t, tt.file, audio.Options{}, tt.want)
		})
	}
}

// TestRefusedByTools: files of the kinds that the tools write.
func TestRefusedByTools(t *testing.T) {
	raw := noise32(t, 20000)
	for _, tt := range []struct {
		name string
		args []string
		want string
	}{
		{"a.mp3", nil, "MP3"},
		{"a.ogg", nil, "Vorbis"},
		{"a.aiff", nil, "AIFF"},
		{"a.caf", nil, "CAF"},
		{"a.au", nil, "AU"},
		{"a.w64", nil, "Wave64"},
		{"adpcm.wav", []string{"-e", "ms-adpcm"}, "ADPCM"},
		{"ima.wav", []string{"-e", "ima-adpcm"}, "IMA ADPCM"},
		{"gsm.wav", []string{"-r", "8000", "-e", "gsm-full-rate"}, "GSM"},
		{"alaw.wav", []string{"-e", "a-law"}, "A-law"},
		{"mulaw.wav", []string{"-e", "mu-law"}, "µ-law"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), tt.name)
			in := []string{"-t", "raw", "-r", "44100", "-c", "1", "-e", "signed", "-b", "32", "-L", raw}
			run(t, "sox", append(append(in, tt.args...), path)...)
			_, err := audio.Open(path, audio.Options{})
			if err == nil {
				t.Fatal("no error")
			}
			checkError(t, err, tt.want)
		})
	}
}

// TestNameHasNoSay: content decides.
func TestNameHasNoSay(t *testing.T) {
	f := formNamed("s16")
	x := []float64{0.5, -0.5, 0.25}
	path := writeFile(t, "take.mp3", riff(f.fmtChunk(1, 48000), chunk("data", f.data(x))))
	equal(t, all(t, openPath(t, path, audio.Options{})), x)
}

// TestPathErrors: what the operating system refuses.
func TestPathErrors(t *testing.T) {
	dir := t.TempDir()
	missing := filepath.Join(dir, "missing.wav")
	_, err := audio.Open(missing, audio.Options{})
	if !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("error is %v, want fs.ErrNotExist", err)
	}
	checkError(t, err, missing+": no such file")

	_, err = audio.Open(dir, audio.Options{})
	checkError(t, err, dir+": is a directory")

	locked := writeFile(t, "locked.wav", []byte("RIFF"))
	if err := os.Chmod(locked, 0); err != nil {
		t.Fatal(err)
	}
	if f, err := os.Open(locked); err == nil {
		f.Close()
		t.Log("this user may read everything: permissions are tested by name only")
	} else {
		_, err = audio.Open(locked, audio.Options{})
		if !errors.Is(err, fs.ErrPermission) {
			t.Errorf("error is %v, want fs.ErrPermission", err)
		}
		checkError(t, err, locked+": permission denied")
	}
}

// TestOpenContextEnds: what has been waiting for a header stops.
func TestOpenContextEnds(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	defer w.Close()
	done := make(chan error)
	go func() {
		_, err := audio.NewReaderContext(ctx, r, audio.Options{})
		done <- err
	}()
	cancel()
	if err := <-done; err != context.Canceled {
		t.Errorf("error is %v, want context.Canceled", err)
	}
	if _, err := audio.OpenContext(ctx, os.DevNull, audio.Options{}); err != context.Canceled {
		// The file may win over a context that is over.
		checkError(t, err, "is empty")
	}
}
