package audio_test

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pluckweigh/audio"
)

// TestWAVForms reads every form, with plain and extensible headers, at the
// bounds of rate and channels.
func TestWAVForms(t *testing.T) {
	const n = 1000
	for _, f := range forms {
		for _, channels := range []int{1, 2, 3, 32} {
			for _, header := range []string{"plain", "extensible"} {
				t.Run(fmt.Sprintf("%s/%d/%s", f.name, channels, header), func(t *testing.T) {
					rate := 8000
					if channels > 2 {
						rate = 384000
					}
					head := f.fmtChunk(channels, rate)
					if header == "extensible" {
						head = f.extensible(channels, rate, f.bits)
					}
					x := sound(n, channels)
					file := riff(head, chunk("data", f.data(x)))
					for i := range x {
						x[i] = f.rounded(x[i])
					}
					for channel := range channels + 1 {
						s := openBytes(t, file, audio.Options{Channel: channel})
						if s.Rate() != float64(rate) {
							t.Fatalf("rate is %v, want %d", s.Rate(), rate)
						}
						equal(t, all(t, s), pick(x, channels, channel))
						if flaws := s.Flaws(); len(flaws) > 0 {
							t.Fatalf("flaws %v", flaws)
						}
					}
				})
			}
		}
	}
}

// TestWAVStructure reads files with more or less than the usual chunks.
func TestWAVStructure(t *testing.T) {
	const n = 501 // odd, so that 8 and 24-bit mono need a pad byte
	s24, f32 := formNamed("s24"), formNamed("f32")
	x := sound(n, 1)
	head, body := s24.fmtChunk(1, 44100), s24.data(x)
	whole := chunk("data", body)
	odd := chunk("bext", make([]byte, 603))
	list := chunk("LIST", []byte("INFOISFT\x04\x00\x00\x00none"))
	truncated := func(lost int64) []audio.Flaw { return []audio.Flaw{{Kind: audio.Truncated, At: n, Len: lost}} }
	join := func(b ...[]byte) []byte { return bytes.Join(b, nil) }
	tests := []struct {
		name  string
		file  []byte
		flaws []audio.Flaw
	}{
		{"plain", riff(head, whole), nil},
		{"chunks before and after", riff(odd, chunk("JUNK", make([]byte, 28)), head, list, odd, whole, list, odd), nil},
		{"last pad byte lacking", riff(head, sized("data", n*3, body)), nil},
		{"long fmt chunk", riff(chunk("fmt ", append(fmtBody(1, 1, 44100, 3, 24), make([]byte, 51)...)), whole), nil},
		{"garbage after the end", join(riff(head, whole), []byte("garbage")), nil},
		{"RIFF size wrong", join([]byte("RIFF\x01\x00\x00\x00WAVE"), head, whole), nil},
		{"RF64", rf64("RF64", n*3, head, sized("data", math.MaxUint32, body)), nil},
		{"RF64 with chunks after", rf64("RF64", n*3, odd, head, sized("data", math.MaxUint32, append(body, 0)), list), nil},
		{"BW64", rf64("BW64", n*3, head, sized("data", math.MaxUint32, body)), nil},
		{"RF64 with a short data size", rf64("RF64", 17, head, whole), nil},
		{"RF64 streamed", rf64("RF64", 0, head, sized("data", math.MaxUint32, body)), nil},
		{"RF64 absurd", rf64("RF64", math.MaxUint64, head, sized("data", math.MaxUint32, body)), nil},
		{"RF64 truncated", rf64("RF64", (n+7)*3, head, sized("data", math.MaxUint32, body)), truncated(7)},
		{"RF64 claims much", rf64("RF64", 3<<60, head, sized("data", math.MaxUint32, body)), truncated(1<<60 - n)},
		{"streamed, size 0", riff(head, sized("data", 0, body)), nil},
		{"streamed, all ones", riff(head, sized("data", math.MaxUint32, body)), nil},
		{"streamed, as sox does", riff(head, sized("data", 0x7FFFF000/3*3, body)), nil},
		{"streamed, ends in a sample", riff(head, sized("data", 0, append(body, 1, 2)))[:44+n*3+2], nil},
		{"truncated", riff(head, sized("data", (n+1000)*3, body)), truncated(1000)},
		{"truncated in a sample", riff(head, sized("data", (n+1000)*3, append(body, 1)))[:44+n*3+1], truncated(1000)},
		{"data size ends in a sample", riff(head, sized("data", n*3+2, append(body, 1, 2, 3))), nil},
		{"odd chunk lengths in a stream", riff(odd, head, odd, sized("data", 0, body)), nil},
	}
	want := make([]float64, n)
	for i := range x {
		want[i] = s24.rounded(x[i])
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := openBytes(t, tt.file, audio.Options{})
			equal(t, all(t, s), want)
			if got := s.Flaws(); !slices.Equal(got, tt.flaws) {
				t.Errorf("flaws are %v, want %v", got, tt.flaws)
			}
		})
	}

	// Floating point may exceed full scale.
	y := []float64{3, -1 << 31, 0x1p-149, 1 << 31}
	s := openBytes(t, riff(f32.fmtChunk(1, 48000), chunk("data", f32.data(y))), audio.Options{})
	equal(t, all(t, s), y)
}

// TestWAVValidBits: fewer valid bits than the container has are its upper ones.
func TestWAVValidBits(t *testing.T) {
	// 24 in 32 is what many interfaces record; 0 valid bits are found for "all".
	for _, tt := range []struct{ form, valid int }{{1, 12}, {2, 20}, {3, 24}, {3, 20}, {0, 4}, {3, 31}, {2, 23}, {1, 1}, {3, 0}} {
		f := forms[tt.form]
		step := math.Ldexp(1, 1-tt.valid)
		if tt.valid == 0 {
			step = math.Ldexp(1, 1-f.bits)
		}
		x := sound(300, 1)
		for i := range x {
			x[i] = math.Floor(x[i]/step) * step
		}
		s := openBytes(t, riff(f.extensible(1, 96000, tt.valid), chunk("data", f.data(x))), audio.Options{})
		equal(t, all(t, s), x)
	}
	// A plain header rounds up to whole bytes.
	f := formNamed("s16")
	x := []float64{0.5, -0.25, 0x1p-11}
	head := chunk("fmt ", fmtBody(1, 1, 48000, 2, 12))
	equal(t, all(t, openBytes(t, riff(head, chunk("data", f.data(x))), audio.Options{})), x)
}

// TestWAVRefused: what is wrong is said, and what to do.
func TestWAVRefused(t *testing.T) {
	f := formNamed("s16")
	head := f.fmtChunk(2, 48000)
	data := chunk("data", make([]byte, 400))
	format := func(tag uint16, channels, rate, block, bits int) []byte {
		return riff(chunk("fmt ", fmtBody(tag, channels, rate, block, bits)), data)
	}
	other := f.extensible(2, 48000, 16)
	other[len(other)-1]++ // another GUID
	tests := []struct {
		name string
		file []byte
		want string
	}{
		{"nothing but RIFF", []byte("RIFF"), "ends within its first header"},
		{"no chunk", riff(), "without a data chunk"},
		{"no data", riff(head, chunk("LIST", make([]byte, 10))), "without a data chunk"},
		{"no fmt", riff(data), "before any fmt chunk"},
		{"fmt after data", riff(data, head), "before any fmt chunk"},
		{"no samples", riff(head, chunk("data", nil)), "without samples"},
		{"no samples, more chunks", riff(head, chunk("data", nil), chunk("LIST", []byte("INFO"))), "without samples"},
		{"half a frame", riff(head, chunk("data", make([]byte, 3))), "without samples"},
		{"cut within fmt", riff(head, data)[:30], "ends within its header"},
		{"cut within a chunk's name", riff(head, data)[:38], "ends within its header"},
		{"cut within a chunk", riff(sized("LIST", 1<<31, nil), head, data), "ends within its header"},
		{"not a chunk", riff([]byte{0, 0, 0, 0, 0, 0, 0, 0}, head, data), "no chunk name"},
		{"short fmt", riff(chunk("fmt ", make([]byte, 14)), data), "fmt chunk of 14 bytes"},
		{"short extensible fmt", riff(chunk("fmt ", fmtBody(0xFFFE, 2, 48000, 4, 16)), data), "fmt chunk of 16 bytes"},
		{"unknown GUID", riff(other, data), "unknown coding"},
		{"more valid bits than there are", riff(f.extensible(2, 48000, 17), data), "17 valid bits in 16"},
		{"ADPCM", format(2, 2, 48000, 4, 4), "ADPCM"},
		{"MP3", format(0x55, 2, 48000, 1, 0), "MP3"},
		{"MPEG", format(0x50, 2, 48000, 1, 0), "MPEG"},
		{"A-law", format(6, 2, 48000, 2, 8), "A-law"},
		{"unknown tag", format(0x1234, 2, 48000, 4, 16), "0x1234"},
		{"no channels", format(1, 0, 48000, 0, 16), "0 channels"},
		{"33 channels", format(1, 33, 48000, 66, 16), "33 channels"},
		{"rate 0", format(1, 2, 0, 4, 16), "sample rate of 0 Hz"},
		{"rate too low", format(1, 2, 7999, 4, 16), "sample rate of 7999 Hz"},
		{"rate too high", format(1, 2, 384001, 4, 16), "sample rate of 384001 Hz"},
		{"block too short", format(1, 2, 48000, 2, 16), "in blocks of 2"},
		{"block too long", format(1, 2, 48000, 8, 16), "in blocks of 8"},
		{"24 bits in 4 bytes", format(1, 1, 48000, 4, 24), "in blocks of 4"},
		{"0 bits", format(1, 2, 48000, 0, 0), "0 bits"},
		{"64-bit integers", format(1, 2, 48000, 16, 64), "64 bits"},
		{"16-bit float", format(3, 2, 48000, 4, 16), "16 bits"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			wantError(t, tt.file, audio.Options{}, tt.want)
		})
	}
	for _, channel := range []int{-1, 3} {
		wantError(t, riff(head, data), audio.Options{Channel: channel}, fmt.Sprintf("no channel %d", channel))
	}
}

// wantError opens file and wants an error with a hint.
func wantError(t *testing.T, file []byte, o audio.Options, want string) {
	t.Helper()
	s, err := audio.NewReader(bytes.NewReader(file), o)
	if err == nil {
		s.Close()
		t.Fatalf("no error, want %q", want)
	}
	checkError(t, err, want)
}

func checkError(t *testing.T, err error, want string) {
	t.Helper()
	var e *audio.Error
	switch {
	case !errors.As(err, &e):
		t.Fatalf("%v is a %T", err, err)
	case !strings.Contains(err.Error(), want):
		t.Fatalf("error is %q, want %q in it", err, want)
	case e.Hint() == "":
		t.Fatalf("%q has no hint", err)
	}
}

// TestNoSound: NaN, infinities and what is beyond any scale come out as 0, and
// are said; what is next to nothing is nothing.
func TestNoSound(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	stereo := []float64{1, 1, nan, 1, inf, -inf, 0.5, 0.25, 1, 1, 1, -inf, 1e30, 0.5, -0x1.000002p31, 0.5, 3e9, nan, 1, 1}
	const bad, large = audio.NotFinite, audio.TooLarge
	tests := []struct {
		name    string
		channel int
		want    []float64
		flaws   []audio.Flaw
	}{
		{"left", 1, []float64{1, 0, 0, 0.5, 1, 1, 0, 0, 0, 1}, []audio.Flaw{{bad, 1, 2}, {large, 6, 3}}},
		{"right", 2, []float64{1, 1, 0, 0.25, 1, 0, 0.5, 0.5, 0, 1}, []audio.Flaw{{bad, 2, 1}, {bad, 5, 1}, {bad, 8, 1}}},
		{"both", 0, []float64{1, 0, 0, 0.375, 1, 0, 0, 0, 0, 1}, []audio.Flaw{{bad, 1, 2}, {bad, 5, 1}, {large, 6, 2}, {bad, 8, 1}}},
	}
	for _, name := range []string{"f32", "f64"} {
		f := formNamed(name)
		file := riff(f.fmtChunk(2, 48000), chunk("data", f.data(stereo)))
		for _, tt := range tests {
			s := openBytes(t, file, audio.Options{Channel: tt.channel})
			equal(t, all(t, s), tt.want)
			if got := s.Flaws(); !slices.Equal(got, tt.flaws) {
				t.Errorf("%s: %s: flaws are %v, want %v", name, tt.name, got, tt.flaws)
			}
		}
	}

	f64 := formNamed("f64")
	x := []float64{5e-324, -0x1p-1022, 0x1p-150, 0x1p-149, 1e150, 1}
	s := openBytes(t, riff(f64.fmtChunk(1, 48000), chunk("data", f64.data(x))), audio.Options{})
	equal(t, all(t, s), []float64{0, 0, 0, 0x1p-149, 0, 1})
	if got := s.Flaws(); !slices.Equal(got, []audio.Flaw{{large, 4, 1}}) {
		t.Errorf("flaws are %v", got)
	}
}

// TestManyFlaws: their number is bounded, and each bad sample is in one.
func TestManyFlaws(t *testing.T) {
	f := formNamed("f32")
	x := make([]float64, 100_000)
	for i := range x {
		if i%7 < 2 || i > 90_000 && i%2 == 0 {
			x[i] = math.NaN()
		}
	}
	s := openBytes(t, riff(f.fmtChunk(1, 48000), chunk("data", f.data(x))), audio.Options{})
	all(t, s)
	flaws := s.Flaws()
	if len(flaws) == 0 || len(flaws) > 1000 {
		t.Fatalf("%d flaws, want 1 to 1000", len(flaws))
	}
	covered := make([]bool, len(x))
	for _, f := range flaws {
		for i := range f.Len {
			covered[f.At+i] = true
		}
	}
	for i := range x {
		if x[i] != x[i] && !covered[i] {
			t.Fatalf("bad sample %d is in no flaw", i)
		}
	}
}
