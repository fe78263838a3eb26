package calib

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"pluckweigh/physics"
)

var day = time.Date(2026, 3, 4, 5, 6, 7, 0, time.UTC)

func newStore(t *testing.T) *Store {
	return NewStore(filepath.Join(t.TempDir(), "a", "b", "calibrations.json"))
}

func TestStoreKeeps(t *testing.T) {
	s := newStore(t)
	if all, err := s.Entries(); len(all) > 0 || err != nil {
		t.Fatalf("no file: %v, %v", all, err)
	}
	clock := ClockEntry("usb", 48000, Clock{PPM: -12.3456789, U: 0.1, Source: "counted"}, day)
	rig := Rig{Name: "bench", Friction: -1, UFriction: 2, Weights: 1e-3}.Entry("stated", day)
	length := LengthEntry("low E", physics.Stated(863*physics.Millimetre, 1*physics.Millimetre), "frets", day)
	for _, e := range []*Entry{&clock, &rig, &length} {
		kept, aside, err := s.Put(*e)
		if err != nil || aside != "" || kept.ID != fmt.Sprintf("%s-1", e.Kind) {
			t.Fatalf("%+v, %s, %v", kept, aside, err)
		}
		*e = kept
	}
	all, err := NewStore(s.Path()).Entries()
	if want := []Entry{clock, rig, length}; err != nil || !reflect.DeepEqual(all, want) {
		t.Errorf("read back: %+v, %v", all, err)
	}
	if r := all[1].Rig(); r.Friction != -1 || r.UFriction != 2 || r.Weights != 1e-3 || !r.Made.Equal(day) {
		t.Errorf("%+v", r)
	}

	// Of the same recorder and rate the new one counts; another rate stands beside it.
	again := ClockEntry("usb", 48000, Clock{PPM: 5, U: 1}, day)
	if kept, _, err := s.Put(again); err != nil || kept.ID != "clock-1" {
		t.Errorf("%+v, %v", kept, err)
	}
	if kept, _, err := s.Put(ClockEntry("usb", 44100, Clock{PPM: 6, U: 1}, day)); err != nil || kept.ID != "clock-2" {
		t.Errorf("%+v, %v", kept, err)
	}
	if gone, err := s.Forget("rig-1"); err != nil || len(gone) != 1 || gone[0].Name != "bench" {
		t.Errorf("%+v, %v", gone, err)
	}
	if gone, err := s.Forget("usb"); err != nil || len(gone) != 2 {
		t.Errorf("%+v, %v", gone, err)
	}
	if gone, err := s.Forget("usb"); err != nil || len(gone) != 0 {
		t.Errorf("%+v, %v", gone, err)
	}
	left, _ := filepath.Glob(filepath.Dir(s.Path()) + "/*")
	if len(left) != 2 { // the file and its lock
		t.Errorf("left behind: %v", left)
	}
}

// Many at once lose nothing, and whoever reads meanwhile finds a whole file.
func TestStoreAtOnce(t *testing.T) {
	s := newStore(t)
	const n = 20
	var wg sync.WaitGroup
	for i := range n {
		wg.Go(func() {
			other := NewStore(s.Path()) // as another program has it
			if _, _, err := other.Put(ClockEntry(fmt.Sprint("recorder ", i), 48000, Clock{U: 1}, day)); err != nil {
				t.Error(err)
			}
			if _, err := other.Entries(); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	all, err := s.Entries()
	ids := map[string]bool{}
	for _, e := range all {
		ids[e.ID] = true
	}
	if err != nil || len(all) != n || len(ids) != n {
		t.Errorf("%d kept under %d IDs, %v", len(all), len(ids), err)
	}
}

func TestStoreDamaged(t *testing.T) {
	good := `{"id":"clock-1","kind":"clock","name":"usb","sample_rate_hz":48000,"value":1,"u_value":1,"unit":"ppm","made":"2026-03-04T05:06:07Z","expires":"2027-03-04T05:06:07Z","how":"x"}`
	for _, text := range []string{
		"", "{", "[]", "null", `{"version":0}`, `{"version":1,"calibrations":[{}]}`, "\x00\x01",
		fmt.Sprintf(`{"version":1,"calibrations":[%s]`, good),
		fmt.Sprintf(`{"version":1,"calibrations":[%s]}`, strings.Replace(good, `"value":1`, `"value":88000`, 1)),
		fmt.Sprintf(`{"version":1,"calibrations":[%s]}`, strings.Replace(good, `"u_value":1`, `"u_value":-1`, 1)),
		fmt.Sprintf(`{"version":1,"calibrations":[%s]}`, strings.Replace(good, "ppm", "N", 1)),
		fmt.Sprintf(`{"version":1,"calibrations":[%s]}`, strings.Replace(good, "48000", "0", 1)),
		fmt.Sprintf(`{"version":1,"calibrations":[%s]}`, strings.Replace(good, "2027", "2025", 1)),
	} {
		s := newStore(t)
		os.MkdirAll(filepath.Dir(s.Path()), 0o700)
		if err := os.WriteFile(s.Path(), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		var damaged *DamagedError
		if all, err := s.Entries(); !errors.As(err, &damaged) || all != nil || damaged.Hint() == "" {
			t.Errorf("%s: %v, %v", text, all, err)
			continue
		}
		if _, err := s.Forget("usb"); !errors.As(err, &damaged) {
			t.Errorf("%s: forgotten all the same: %v", text, err)
		}
		_, aside, err := s.Put(ClockEntry("usb", 48000, Clock{U: 1}, day))
		if err != nil {
			t.Errorf("%s: %v", text, err)
			continue
		}
		if kept, err := os.ReadFile(aside); err != nil || string(kept) != text {
			t.Errorf("%s: aside is %q, %v", text, kept, err)
		}
		if all, err := s.Entries(); err != nil || len(all) != 1 {
			t.Errorf("%s: begun anew with %v, %v", text, all, err)
		}
	}
}

func TestStoreOfALaterVersion(t *testing.T) {
	s := newStore(t)
	os.MkdirAll(filepath.Dir(s.Path()), 0o700)
	text := `{"version":2,"calibrations":[]}`
	os.WriteFile(s.Path(), []byte(text), 0o600)
	var newer *NewerError
	if _, err := s.Entries(); !errors.As(err, &newer) || newer.Hint() == "" {
		t.Errorf("%v", err)
	}
	if _, _, err := s.Put(ClockEntry("usb", 48000, Clock{U: 1}, day)); !errors.As(err, &newer) {
		t.Errorf("%v", err)
	}
	if got, _ := os.ReadFile(s.Path()); string(got) != text {
		t.Errorf("it is now %s", got)
	}
}

func TestPutRefuses(t *testing.T) {
	s := newStore(t)
	for _, e := range []Entry{
		{}, ClockEntry("", 48000, Clock{U: 1}, day), ClockEntry("usb", 0, Clock{U: 1}, day),
		ClockEntry("usb", 48000, Clock{PPM: math.NaN()}, day), ClockEntry("usb", 48000, Clock{PPM: 6000}, day),
		ClockEntry("usb", math.Inf(1), Clock{U: 1}, day), ClockEntry("usb", 48000, Clock{U: 1}, time.Time{}),
		LengthEntry("E", physics.Stated(80*physics.Metre, 1), "", day),
		Rig{Name: "bench", Friction: 1, UFriction: physics.Force(math.NaN())}.Entry("", day),
		Rig{Name: "bench", Friction: 1, UFriction: 1, Weights: 2}.Entry("", day),
	} {
		var input *physics.InputError
		if _, _, err := s.Put(e); !errors.As(err, &input) {
			t.Errorf("%+v: %v", e, err)
		}
	}
	if _, err := os.Stat(s.Path()); err == nil {
		t.Error("something was written")
	}
}

func TestUserStore(t *testing.T) {
	home := t.TempDir()
	t.Setenv("HOME", home)
	t.Setenv("XDG_DATA_HOME", filepath.Join(home, "data"))
	if s, err := UserStore(); err != nil || s.Path() != filepath.Join(home, "data", "pluckweigh", "calibrations.json") {
		t.Errorf("%v, %v", s, err)
	}
	t.Setenv("XDG_DATA_HOME", "relative")
	if s, err := UserStore(); err != nil || !strings.HasPrefix(s.Path(), home) {
		t.Errorf("%v, %v", s, err)
	}
}

func TestClockFor(t *testing.T) {
	all := []Entry{
		ClockEntry("usb", 48000, Clock{PPM: 10, U: 1}, day),
		ClockEntry("usb", 96000, Clock{PPM: 20, U: 1}, day),
		ClockEntry("inside", 48000, Clock{PPM: 30, U: 1}, day.Add(-Lasts)),
		Rig{Name: "bench", UFriction: 1}.Entry("", day),
	}
	for _, c := range []struct {
		recorder string
		rate     float64
		ppm      float64
		remark   string
	}{
		{"usb", 48000, 10, ""},
		{"usb", 96000, 20, ""},
		{"usb", 44100, 0, "at 48000 Hz and 96000 Hz, not at this take's 44100 Hz"},
		{"inside", 48000, 0, "too long ago"},
		{"other", 48000, 0, ""},
		{"bench", 48000, 0, ""},
	} {
		got, remark := ClockFor(all, c.recorder, c.rate, day.Add(time.Hour))
		if got.PPM != c.ppm || got.Assumed != (c.ppm == 0) || (remark == "") != (c.remark == "") || !strings.Contains(remark, c.remark) {
			t.Errorf("%s at %g Hz: %+v, %s", c.recorder, c.rate, got, remark)
		}
		if c.ppm != 0 && math.Abs(got.U-math.Hypot(1, ageing)) > 1e-12 {
			t.Errorf("%s: u %g ppm, ageing not counted", c.recorder, got.U)
		}
	}
	if c, _ := ClockFor(all, "other", 48000, day); !strings.Contains(c.Source, "that of inside, usb is not applied") {
		t.Errorf("source %q", c.Source)
	}
}

func TestNamed(t *testing.T) {
	all := []Entry{
		ClockEntry("USB Audio", 48000, Clock{U: 1}, day), ClockEntry("USB Audio", 96000, Clock{U: 1}, day),
		ClockEntry("USB Audio 2", 48000, Clock{U: 1}, day),
		Rig{Name: "bench", UFriction: 1}.Entry("", day), Rig{Name: "old", UFriction: 1}.Entry("", day.Add(-Lasts)),
	}
	for name, want := range map[string]string{"USB Audio": "USB Audio", "audio 2": "USB Audio 2", "usb": "", "": "", "pocket": ""} {
		if got, err := RecorderNamed(all, name); got != want || (err == nil) != (want != "") {
			t.Errorf("recorder %q: %q, %v", name, got, err)
		}
	}
	for name, want := range map[string]string{"BENCH": "bench", "old": "", "usb": ""} {
		if got, err := RigNamed(all, name, day); got.Name != want || (err == nil) != (want != "") {
			t.Errorf("rig %q: %+v, %v", name, got, err)
		}
	}
	var input *physics.InputError
	if _, err := LengthNamed(all, "E", day); !errors.As(err, &input) || !strings.Contains(input.Fix, "calibrate length") {
		t.Errorf("%v", err)
	}
}

func TestParseFriction(t *testing.T) {
	for s, want := range map[string]Friction{
		"1.2N±0.3N": {Value: 1.2, U: 0.3}, "±0.3N": {U: 0.3}, "0N±0.3N": {U: 0.3}, "-1N+-2N": {Value: -1, U: 2}, "−1N+/-2N": {Value: -1, U: 2},
		"0.0lbf ± 1N": {U: 1}, " 2N ± 1N ": {Value: 2, U: 1}, "2N±25%": {Value: 2, U: 0.5}, "-2N±25%": {Value: -2, U: 0.5},
		"200g±10g": {Value: 1.96133, U: 0.0980665, Mass: "200g±10g"}, "±10g": {U: 0.0980665, Mass: "±10g"}, "1kg±1N": {Value: 9.80665, U: 1, Mass: "1kg±1N"},
		"0kg±1N": {U: 1, Mass: "0kg±1N"},
	} {
		got, err := ParseFriction(s)
		if err != nil || math.Abs(float64(got.Value-want.Value)) > 1e-12 || math.Abs(float64(got.U-want.U)) > 1e-12 || got.Mass != want.Mass {
			t.Errorf("%q: %v, %v", s, got, err)
		}
	}
	for s, want := range map[string]string{"3kg": "write it like 3kg±10%", "-3N": "like -3N±10%, or as it is known; below zero, the string pulls more than the load", "": "±0.3N where only its size is known"} {
		var input *physics.InputError
		if _, err := ParseFriction(s); !errors.As(err, &input) || !strings.Contains(input.Fix, want) {
			t.Errorf("%q: %v", s, err)
		}
	}
	for _, s := range []string{"", "1N", "±", "1N±", "±0N", "±-1N", "1±0.1N", "0x±1N", "±20%", "10kg±1kg", "1N±30%", "1m±1N", "1N±1m", "1N±60N", "60N±1N", "nan±1N", "±infN", "1N±1N±1N", "--1N±1N±"} {
		var input *physics.InputError
		if got, err := ParseFriction(s); !errors.As(err, &input) || got != (Friction{}) {
			t.Errorf("%q: %v, %v", s, got, err)
		}
	}
}
