package diary

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"pluckweigh/physics"
	"pluckweigh/stock"
)

var berlin = time.FixedZone("", 3600)

func TestParseWhen(t *testing.T) {
	noon := time.Date(2026, 11, 28, 14, 2, 0, 0, berlin)
	for text, want := range map[string]When{
		"2026-11-28 14:02":             {Time: noon},
		"2026-11-28T14:02":             {Time: noon},
		"2026-11-28T13:02Z":            {Time: noon},
		"2026-11-28T14:02:00+01:00":    {Time: noon},
		" 2026-11-28 14:02:30 ":        {Time: noon.Add(30 * time.Second)},
		"2026-11-28T14:02:00.25+01:00": {Time: noon.Add(250 * time.Millisecond)},
		"40min":                        {After: 40 * time.Minute},
		"0s":                           {},
		"1h30min":                      {After: 90 * time.Minute},
		"+2.5 h":                       {After: 150 * time.Minute},
		"1d 2h":                        {After: 26 * time.Hour},
		".5s":                          {After: 500 * time.Millisecond},
	} {
		got, err := ParseWhen(text, berlin)
		if err != nil || !got.Time.Equal(want.Time) || got.After != want.After {
			t.Errorf("%q is %+v, not %+v (%v)", text, got, want, err)
		}
	}
	for text, why := range map[string]string{
		"":                 "is empty",
		"40":               "has no unit",
		"40m":              "has an unknown unit",
		"40minutes":        "has an unknown unit",
		"-40min":           "is no time",
		"14:02":            "has no date",
		"14:02:30":         "has no date",
		"2026-11-28":       "is no date and time of day",
		"28/11/2026 14:02": "is no date and time of day",
		"2026-02-30 14:02": "is no date and time of day",
		"0026-11-28 14:02": "impossible year",
		"99999999d":        "longer than ten years",
		"1e9s":             "unknown unit",
		"NaNs":             "is no time",
		"1..5s":            "is no time",
	} {
		_, err := ParseWhen(text, berlin)
		var input *physics.InputError
		if !errors.As(err, &input) || !strings.Contains(err.Error(), why) || input.Fix == "" {
			t.Errorf("%q: %v, not %q", text, err, why)
		}
	}
	a, b := When{After: time.Minute}, When{After: time.Hour}
	if b.Since(a) != 3540 || a.Later(3540) != b || (When{Time: noon}).Later(1.5).Since(When{Time: noon}) != 1.5 {
		t.Error("times do not add up")
	}
}

func TestParseTemperature(t *testing.T) {
	for text, want := range map[string]Celsius{"21.5°C": 21.5, "70.7 °F": 21.5, "21.5C": 21.5, "70.7f": 21.5, "294.65K": 21.5, "-3°C": -3, " 21.5 ° C": 21.5} {
		if got, err := ParseTemperature(text); err != nil || math.Abs(float64(got-want)) > 1e-9 {
			t.Errorf("%q is %v (%v)", text, got, err)
		}
	}
	for _, text := range []string{"", "21", "°C", "21°X", "210°C", "-40°C", "21K", "NaN°C", "1e9°C", "warm"} {
		_, err := ParseTemperature(text)
		var input *physics.InputError
		if !errors.As(err, &input) || input.Fix == "" {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func TestParseWarmth(t *testing.T) {
	for text, want := range map[string][2]float64{"-2.1cents/K±0.3cents/K": {-2.1, 0.3}, "−2.1/K +- 0.3/K": {-2.1, 0.3}, "0cents/K±1cent/K": {0, 1}} {
		if c, u, err := ParseWarmth(text); err != nil || c != want[0] || u != want[1] {
			t.Errorf("%q is %v ± %v (%v)", text, c, u, err)
		}
	}
	for _, text := range []string{"", "-2cents/K", "-2±0.3", "-2cents/K±0cents/K", "-2cents/K±-1cents/K", "NaNcents/K±1cents/K", "1000cents/K±1cents/K"} {
		if _, _, err := ParseWarmth(text); err == nil {
			t.Errorf("%q is taken", text)
		}
	}
}

func TestThermometer(t *testing.T) {
	at := func(minutes float64) time.Time {
		return time.Date(2026, 11, 28, 14, 0, 0, 0, time.UTC).Add(time.Duration(minutes * float64(time.Minute)))
	}
	th := Thermometer{{at(0), 20}, {at(10), 22}, {at(30), 21}}
	for minutes, want := range map[float64]Celsius{0: 20, 5: 21, 10: 22, 20: 21.5, 30: 21} {
		if got, err := th.At(at(minutes)); err != nil || math.Abs(float64(got-want)) > 1e-9 {
			t.Errorf("at %v: %v (%v)", minutes, got, err)
		}
	}
	for _, minutes := range []float64{-0.1, 30.1} {
		if _, err := th.At(at(minutes)); err == nil {
			t.Errorf("at %v: known", minutes)
		}
	}
	if _, err := (Thermometer)(nil).At(at(0)); err == nil {
		t.Error("no thermometer shows something")
	}
}

func list(text string) (List, error) {
	r, err := stock.NewLineReader(strings.NewReader(text))
	if err != nil {
		return List{}, err
	}
	return Read(r, berlin)
}

func TestRead(t *testing.T) {
	l, err := list("Time, Pitch (Hz),u (cents),temperature (°F)\n0min,100,1,68\n90s,101,2,70\n90s,102,2,70\n")
	if err != nil || len(l.Entries) != 3 || !l.Pitches || l.Takes || !l.Temperatures {
		t.Fatalf("%+v %v", l, err)
	}
	e := l.Entries[1]
	if e.Line != 3 || e.When.After != 90*time.Second || e.Hz != 101 || math.Abs(e.U-101*(math.Exp2(2.0/1200)-1)) > 1e-4 || math.Abs(float64(*e.Warm)-21.111) > 1e-3 {
		t.Errorf("%+v", e)
	}
	if l, err = list("take,time\na b.wav,2026-11-28 14:02\nc.wav,2026-11-28 15:02\n"); err != nil || !l.Takes || l.Entries[0].Take != "a b.wav" || l.Entries[0].Warm != nil {
		t.Errorf("%+v %v", l, err)
	}
	for text, why := range map[string]string{
		"":                                           "list is empty",
		"time,pitch (Hz),u (cents)\n":                "has no line below its head",
		"time,pitch (Hz),u (cents)\n0s,,\n":          "line 2: pitch",
		"time\n0s\n":                                 "has times and nothing else",
		"pitch (Hz),u (Hz)\n1,1\n":                   "has no column of times",
		"time,u (Hz)\n0s,1\n":                        "has uncertainties without pitches",
		"time,pitch (Hz)\n0s,1\n":                    "has pitches without their uncertainty",
		"time,take,pitch (Hz),u (Hz)\n":              "has takes and pitches",
		"time,tale\n":                                `did you mean "take"`,
		"time (s),take\n":                            "has a unit and needs none",
		"time,take,take\n":                           "is there twice",
		"time,pitch (N),u (Hz)\n":                    "has no unit that is known",
		"time,take\n0s,\n":                           "line 2: line names no take",
		"time,take\n0s,a,b\n":                        "line 2: line has 3 fields, and the first 2",
		"time,take\n0s,\"a\nb\n":                     "is not CSV",
		"time,take\nsoon,a\n":                        "line 2: time \"soon\" is no time",
		"time,take\n1s,a\n0s,b\n":                    "line 3: time is before that of line 2",
		"time,take\n1s,a\n1s,a\n":                    "line 3: time and all else repeat line 2",
		"time,take\n1s,a\n2026-11-28 14:02,b\n":      "has a date, or has none",
		"time,pitch (Hz),u (Hz)\n0s,NaN,1\n":         "is no number above zero",
		"time,temperature (°C)\n0s,2000\n":           "is implausible",
		"time,pitch (Hz),u (cents)\n0s,100,Inf\n":    "is no number above zero",
		"time,pitch (Hz),u (cents)\n0s,100 Hz,0.1\n": "is no number above zero",
	} {
		_, err := list(text)
		var hint interface{ Hint() string }
		if err == nil || !errors.As(err, &hint) || hint.Hint() == "" || !strings.Contains(err.Error()+hint.Hint(), why) {
			t.Errorf("%q: %v, not %q", text, err, why)
		}
	}
}

// Whatever is typed gives a moment within ten years of a beginning or a date, or an error.
func FuzzParseWhen(f *testing.F) {
	for _, s := range []string{"40min", "2026-11-28 14:02", "1h30min", "14:02", "-1s", "..s", "9e9d"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		w, err := ParseWhen(s, berlin)
		if err == nil && !w.Dated() && (w.After < 0 || w.After > longest) {
			t.Errorf("%q is %v", s, w.After)
		}
		if c, err := ParseTemperature(s); err == nil && !(c >= coldest && c <= hottest) {
			t.Errorf("%q is %v", s, c)
		}
		list("time,pitch (Hz),u (cents)\n" + s)
	})
}
