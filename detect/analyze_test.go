package detect

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
)

func TestAnalyzeRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	sound := whiteNoise(1000, 0.1, 1)
	with := func(v float64) []float64 {
		x := slices.Clone(sound)
		x[500] = v
		return x
	}
	for _, c := range []struct {
		name string
		x    []float64
		rate float64
		near float64
		want string
	}{
		{"rate of nothing", sound, 0, 0, "sample rate"},
		{"negative rate", sound, -48000, 0, "sample rate"},
		{"rate that is no number", sound, nan, 0, "sample rate"},
		{"infinite rate", sound, inf, 0, "sample rate"},
		{"just too low", sound, math.Nextafter(8000, 0), 0, "8 to 768 kHz"},
		{"just too high", sound, math.Nextafter(768000, inf), 0, "8 to 768 kHz"},
		{"NaN", with(nan), 48000, 0, "NaN"},
		{"infinity", with(inf), 48000, 0, "infinity"},
		{"minus infinity", with(-inf), 48000, 0, "infinity"},
		{"near NaN", sound, 48000, nan, "near"},
		{"near a negative note", sound, 48000, -110, "near"},
	} {
		got, err := Analyze(c.x, c.rate, Options{Near: c.near})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", c.name, err, c.want)
		}
		if !reflect.ValueOf(got).IsZero() {
			t.Errorf("%s: an error and a take %+v", c.name, got)
		}
	}
	if _, err := Analyze(with(nan), 48000, Options{}); !errors.Is(err, ErrNotFinite) {
		t.Errorf("error %v, want ErrNotFinite", err)
	}
	for _, rate := range []float64{8000, 768000} {
		if _, err := Analyze(sound, rate, Options{}); err != nil {
			t.Errorf("%g Hz: %v", rate, err)
		}
	}
}

// numbers walks v and calls f for every floating-point number in it, the path
// named.
func numbers(v reflect.Value, path string, f func(path string, x float64)) {
	switch v.Kind() {
	case reflect.Float64:
		f(path, v.Float())
	case reflect.Pointer:
		if !v.IsNil() {
			numbers(v.Elem(), path, f)
		}
	case reflect.Slice:
		for i := range v.Len() {
			numbers(v.Index(i), fmt.Sprintf("%s[%d]", path, i), f)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			numbers(v.Field(i), path+"."+v.Type().Field(i).Name, f)
		}
	}
}

// checkTake fails where a take says what no take may say: a number that is none,
// a trusted pluck without a positive f0 and uncertainty, a reading without plucks
// or a pluck refused without a reason.
func checkTake(tb testing.TB, take Take) {
	tb.Helper()
	numbers(reflect.ValueOf(take), "take", func(path string, x float64) {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			tb.Errorf("%s is %g", path, x)
		}
	})
	good := 0
	last := math.Inf(-1)
	for i, p := range take.Plucks {
		fatal := false
		for _, d := range p.Doubts {
			fatal = fatal || d.Fatal
			if d.Say == "" || d.Code == "" {
				tb.Errorf("pluck %d: a doubt without words: %+v", i, d)
			}
		}
		if p.Trusted == fatal {
			tb.Errorf("pluck %d: trusted %v with doubts %v", i, p.Trusted, p.Doubts)
		}
		if p.Start < last || p.Start < 0 || p.Start > take.Seconds {
			tb.Errorf("pluck %d starts at %g s of %g, after one at %g", i, p.Start, take.Seconds, last)
		}
		last = p.Start
		if !p.Trusted {
			continue
		}
		good++
		for _, v := range []Value{p.F0, p.F1} {
			if !(v.V > 0) || !(v.U > 0) {
				tb.Errorf("pluck %d is trusted with %+v", i, v)
			}
		}
		if p.B.V < 0 || !(p.B.U > 0) || p.To <= p.From {
			tb.Errorf("pluck %d is trusted with B %+v, from %g to %g s", i, p.B, p.From, p.To)
		}
	}
	if (take.Reading != nil) != (good > 0) || take.Reading != nil && take.Reading.Plucks != good {
		tb.Errorf("%d trusted plucks, reading %+v", good, take.Reading)
	}
	if len(take.Plucks) == 0 && len(take.Doubts) == 0 {
		tb.Error("nothing heard and nothing said")
	}
}

// TestAnalyzeSurvives: finite samples of any size and shape give no panic and no
// number that is none; those far beyond full scale are refused.
func TestAnalyzeSurvives(t *testing.T) {
	const rate = 8000.0
	const n = 8000
	pluckLike := append(whiteNoise(2000, 1e-4, 1), plus(damped(n-2000, rate, 110, 3, 0.5, 0), damped(n-2000, rate, 220, 3, 0.3, 0))...)
	scale := func(x []float64, by float64) []float64 {
		y := make([]float64, len(x))
		for i, v := range x {
			y[i] = v * by
		}
		return y
	}
	r := rand.New(rand.NewPCG(1, 2))
	random := make([]float64, n)
	for i := range random {
		random[i] = math.Ldexp(r.NormFloat64(), r.IntN(100)-50)
	}
	impulse := make([]float64, n)
	impulse[3000] = 1
	step := append(make([]float64, 3000), repeat(1, n-3000)...)
	sounds := map[string][]float64{
		"none": nil, "one": {0.5}, "two": {0.5, -0.5}, "silence": make([]float64, n),
		"a pluck": pluckLike, "a huge pluck": scale(pluckLike, 1e6), "a tiny pluck": scale(pluckLike, 1e-12),
		"a pluck lost in a float": scale(pluckLike, 1e-200), "denormal": scale(pluckLike, 5e-320),
		"random sizes": random, "impulse": impulse, "step": step, "constant": repeat(-0.3, n),
		"alternating": damped(n, rate, rate/2, 0, 1, 0), "lowest": damped(n, rate, 3, 0, 1, 0),
		"growing": damped(n, rate, 100, -10, 1e-6, 0),
	}
	for _, by := range []float64{1e77, 1e155, 1e300, 1.7e308} { // squares and sums that overflow
		sounds[fmt.Sprintf("a pluck %g times as large", by)] = scale(pluckLike, by)
		sounds[fmt.Sprintf("an impulse of %g", by)] = scale(impulse, by/2)
		sounds[fmt.Sprintf("a step to %g", by)] = scale(step, by/2)
	}
	for name, x := range sounds {
		for _, near := range []float64{0, 110, 3000} {
			take, err := Analyze(x, rate, Options{Near: near, Flaws: []Flaw{{At: -5, Len: 3}, {At: math.MaxInt64 - 1, Len: 0}}})
			if far := slices.ContainsFunc(x, func(v float64) bool { return math.Abs(v) > largest }); far != errors.Is(err, ErrNotFinite) {
				t.Errorf("%s: samples beyond all sound %v, error %v", name, far, err)
			}
			if err != nil {
				continue
			}
			t.Run(name, func(t *testing.T) { checkTake(t, take) })
		}
	}
}

// TestAnalyzeLeavesSamplesAlone: the samples are the caller's.
func TestAnalyzeLeavesSamplesAlone(t *testing.T) {
	for _, rate := range []float64{16000, 48000} { // as they are, and decimated
		x, _ := rendered(t, plain(110, rate, 1.2))
		y := slices.Clone(x)
		if _, err := Analyze(x, rate, Options{}); err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(x, y) {
			t.Errorf("%g Hz: samples were changed", rate)
		}
	}
}

// TestAnalyzeFlaws: samples missing within a pluck take the trust away, elsewhere not.
func TestAnalyzeFlaws(t *testing.T) {
	const rate = 16000.0
	x, _ := rendered(t, plain(110, rate, 1.5)) // from 0.5 s on
	for _, c := range []struct {
		flaw    Flaw
		trusted bool
	}{
		{Flaw{2000, 100}, true},
		{Flaw{16000, 0}, false},
		{Flaw{16000, 400}, false},
		{Flaw{30000, 10}, true}, // behind the end
	} {
		take, err := Analyze(x, rate, Options{Flaws: []Flaw{c.flaw}})
		if err != nil {
			t.Fatal(err)
		}
		checkTake(t, take)
		if (take.Reading != nil) != c.trusted {
			t.Errorf("%+v: reading %v, plucks %+v", c.flaw, take.Reading, take.Plucks)
		}
	}
}

// TestAnalyzeRepeats: the same samples give the same take.
func TestAnalyzeRepeats(t *testing.T) {
	x, _ := rendered(t, plain(82.4, 16000, 1.5))
	a, _ := Analyze(x, 16000, Options{})
	b, _ := Analyze(x, 16000, Options{})
	if a.Reading == nil || !reflect.DeepEqual(a, b) {
		t.Errorf("%+v\n%+v", a, b)
	}
}
