package physics

import (
	"math"
	"testing"
)

// speed is the wave speed on a string, √(T/µ), as the frequency law has it: a
// flexible string of half a metre sounds at as many hertz as the wave makes
// metres a second.
func speed(pull Force, w UnitWeight) float64 { return float64(FrequencyOf(pull, w, 0.5)) }

// cutWeight is the unit weight of a string by mass and length.
func cutWeight(t *testing.T, m Mass, l Length) UnitWeight {
	t.Helper()
	r, err := Cut{Stated(m, 0), Stated(l, 0)}.UnitWeight()
	if err != nil {
		t.Fatal(err)
	}
	return r.Value
}

// TestWorkedExamples holds published answers, figures only. last is the place of
// the last printed digit: the answer must agree to half of it.
func TestWorkedExamples(t *testing.T) {
	const g = 9.8 // m/s², as the textbooks print it
	openStax := func(what string) string { return "OpenStax, University Physics volume 1, " + what }

	hung := cutWeight(t, 9*Gram, 3)
	plain := func() UnitWeight {
		// The gauge does not matter: tension and unit weight go with the area alike.
		r, err := PlainWire{Stated(1*Millimetre, 0), Stated[Density](7700, 0)}.UnitWeight()
		if err != nil {
			t.Fatal(err)
		}
		return r.Value
	}()
	area := Force(math.Pi / 4 * 1e-6)

	for _, c := range []struct {
		source    string
		got, want float64
		last      float64
	}{
		{openStax("example 16.3: speed"), speed(56.40, 3.09e-4), 427.23, 0.01},
		{openStax("example 16.3: tension of the heavier string"), float64(TensionOf(5.78e-3, 0.5, 427.23)), 1055.00, 0.01},

		{openStax("example 16.6: speed"), speed(2.00*g, 0.006), 57.15, 0.01},
		{openStax("example 16.6: first mode"), float64(FrequencyOf(2.00*g, 0.006, 2)), 14.29, 0.01},
		{openStax("example 16.6: second mode"), 2 * float64(FrequencyOf(2.00*g, 0.006, 2)), 28.58, 0.01},
		{openStax("example 16.6: third mode"), 3 * float64(FrequencyOf(2.00*g, 0.006, 2)), 42.87, 0.01},

		// Printed to two figures.
		{openStax("check your understanding, chapter 16"), speed(20*g, 0.0060), 180, 10},
		{openStax("problems of chapter 16: 3.00 m, 5.00 g"), speed(500, cutWeight(t, 5*Gram, 3)), 547.723, 0.001},
		{openStax("problems of chapter 16: first mode"), float64(FrequencyOf(200, hung, 3)), 43.03, 0.01},
		{openStax("problems of chapter 16: second mode"), 2 * float64(FrequencyOf(200, hung, 3)), 86.07, 0.01},
		{openStax("problems of chapter 16: third mode"), 3 * float64(FrequencyOf(200, hung, 3)), 129.10, 0.01},
		{openStax("problems of chapter 16: fourth mode"), 4 * float64(FrequencyOf(200, hung, 3)), 172.13, 0.01},
		{openStax("problems of chapter 16: mode 100"), 100 * float64(FrequencyOf(20, 0.0062, 3)), 947, 1},
		{openStax("problems of chapter 16: five antinodes"), 5 * float64(FrequencyOf(90, 0.005, 3.5)), 95.83, 0.01},
		{openStax("problems of chapter 16: speed at 1000 N"), speed(1000, 0.012), 288.68, 0.01},
		{openStax("problems of chapter 16: wavelength at 393.88 Hz"), speed(1000, 0.012) / 393.88, 0.73, 0.01},
		// Neighbouring resonances at 400 and 480 Hz: f0 is their difference. The
		// printed answer, 245.76 N, is wrong by ten: 4·0.006·4²·80² is 2457.6.
		{openStax("problems of chapter 16: 4 m, 400 and 480 Hz"), float64(TensionOf(0.006, 4, 480-400)), 2457.6, 0.1},

		// Attribution from memory.
		{"Young & Freedman, University Physics: tension", float64(TensionOf(40*GramPerMetre, 5, 20)), 1600, 1},
		{"Young & Freedman, University Physics: third harmonic", 3 * float64(FrequencyOf(1600, 40*GramPerMetre, 5)), 60.0, 0.1},
		{"Young & Freedman, University Physics: its wavelength", speed(1600, 40*GramPerMetre) / 60, 3.33, 0.01},

		// Textbooks without a name.
		{"sonometer, textbook: 36 cm, 280 Hz, 24.5 N", float64(UnitWeightOf(24.5, 36*Centimetre, 280)), 6.028e-4, 0.001e-4},
		{"sonometer, textbook: 1 m, 2 g, 300 Hz", float64(TensionOf(cutWeight(t, 2*Gram, 1), 1, 300)), 720, 1},
		{"textbook: steel strained by 1 %", float64(FrequencyOf(0.01*2.2e11*area, plain, 1.5)), 178.2, 0.1},
		{"textbook: length from 420 and 490 Hz", float64(FrequencyOf(450, 5.0e-3, 1)) / (490 - 420), 2.143, 0.001},
	} {
		if !(math.Abs(c.got-c.want) <= c.last/2*(1+1e-9)) {
			t.Errorf("%s: got %.7g, printed is %v (to %v)", c.source, c.got, c.want, c.last)
		}
	}
}

// A string of plausible build, at pitch, pulls within the range that is usual
// for its instrument (common practice, no source). The builds are invented.
func TestCommonPractice(t *testing.T) {
	const in = float64(Inch)
	type build struct{ core, outside float64 } // inches; core 0 for plain wire
	weight := func(b build) UnitWeight {
		steel := float64(must(ParseMaterial("music wire")).Density.Value)
		if b.core == 0 {
			r, err := PlainWire{Stated(Length(b.outside*in), 0), Stated(Density(steel), 0)}.UnitWeight()
			if err != nil {
				t.Fatal(err)
			}
			return r.Value
		}
		// Close round wrap of steel over a round core: about ρπ²(Do²−Di²)/16.
		core := steel * math.Pi / 4 * math.Pow(b.core*in, 2)
		return UnitWeight(core + steel*math.Pi*math.Pi/16*(math.Pow(b.outside*in, 2)-math.Pow(b.core*in, 2)))
	}
	for _, c := range []struct {
		instrument  string
		scale       float64 // inches
		note        string
		build       build
		least, most float64 // lbf
	}{
		{"bass, light", 34, "E1", build{0.036, 0.095}, 32, 48},
		{"bass, heavy", 35, "E1", build{0.044, 0.108}, 32, 48},
		{"bass, light", 34, "A1", build{0.030, 0.072}, 32, 48},
		{"bass, heavy", 34.5, "D2", build{0.024, 0.060}, 32, 48},
		{"bass, medium", 34, "G2", build{0.018, 0.043}, 32, 48},
		{"longer bass, medium", 36.5, "E1", build{0.040, 0.100}, 33, 49},
		{"longer bass, low string", 37, "B0", build{0.044, 0.130}, 33, 49},
		{"longest bass, lowest string", 39.5, "F#0", build{0.052, 0.165}, 34, 50},
		{"longest bass, next string", 39.5, "B0", build{0.044, 0.125}, 34, 50},
		{"six-string bass", 30, "E1", build{0.036, 0.096}, 25, 33},
		{"low guitar", 29.5, "B1", build{0.028, 0.067}, 25, 33},
		{"guitar, plain", 25.5, "E4", build{0, 0.0105}, 16, 20},
		{"guitar, plain", 25, "E4", build{0, 0.011}, 16, 20},
		{"guitar, wound", 25.5, "E2", build{0.018, 0.046}, 16, 20},
		{"long guitar, plain", 27.5, "E4", build{0, 0.011}, 20, 26},
		{"long guitar, wound", 27, "E2", build{0.019, 0.049}, 20, 26},
	} {
		f := must(must(ParseNote(c.note)).Frequency(ConcertPitch))
		got := TensionOf(weight(c.build), Length(c.scale*in), f).In(PoundForce)
		if got < c.least || got > c.most {
			t.Errorf("%s, %v in, %s, %v: %.1f lbf, usual is %v to %v", c.instrument, c.scale, c.note, c.build, got, c.least, c.most)
		}
	}

	// A set that is not evened out: the highest string may pull up to 10 lbf more
	// than the lowest.
	pull := func(note string, b build) float64 {
		f := must(must(ParseNote(note)).Frequency(ConcertPitch))
		return TensionOf(weight(b), Length(34*in), f).In(PoundForce)
	}
	if more := pull("G2", build{0.018, 0.045}) - pull("E1", build{0.038, 0.100}); more <= 0 || more > 10 {
		t.Errorf("highest string pulls %.1f lbf more than the lowest, usual is 0 to 10", more)
	}

	// Equal gauges of different construction differ in unit weight.
	thin, thick := weight(build{0.014, 0.045}), weight(build{0.022, 0.045})
	if rel := float64(thick/thin) - 1; rel < 0.02 {
		t.Errorf("cores of 0.014 and 0.022 in under one gauge differ by only %.2g in unit weight", rel)
	}
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}
