package calib

import (
	"fmt"
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"pluckweigh/detect"
	"pluckweigh/physics"
)

const (
	// LeastTone is the shortest tone that is measured, s.
	LeastTone = 5.0
	// parts is into how many stretches a tone is cut.
	parts = 32
	// evenness is how far the amplitude of a steady tone may vary from stretch to
	// stretch, as the standard deviation of its logarithm: about a decibel. A tone
	// that dies away evenly reaches it at 3 dB over the take.
	evenness = 0.1
	// straightness is how far the phase of a steady tone may stray from a straight
	// line, standard deviation, rad. What stays below counts in the uncertainty.
	straightness = 0.2
	// mainsTop is how many harmonics of the mains are no reference: their frequency
	// wanders by a thousandth.
	mainsTop = 10
)

// Tone finds how fast a recorder's clock runs from a recording of a tone of known
// frequency, rate being the sample rate it claims, Hz. The error is an
// *physics.InputError where that tone is not in x, or not alone, or not steady: a
// string that dies away is not, nor is mains hum.
func Tone(x []float64, rate float64, of physics.Measured[physics.Frequency]) (Clock, error) {
	f := float64(of.Value)
	heard, err := steadyTone(x, rate, f)
	if err != nil {
		return Clock{}, err
	}
	c := Clock{PPM: 1e6 * (f/heard.V - 1), U: 1e6 * math.Hypot(heard.U/heard.V, of.Relative())}
	c.Source = fmt.Sprintf("compared for %.0f s with a tone of %s, heard at %s (k = 1); %s", float64(len(x))/rate,
		of.Expanded(1), physics.Stated(physics.Frequency(heard.V), physics.Frequency(heard.U)).Expanded(1),
		most(heard.U/heard.V, of.Relative(), "record it longer and louder to know it better", "the tone itself is most of the ±: take one that is known better"))
	if err := c.worth("take a tone that is known better, and record it longer and louder"); err != nil {
		return Clock{}, err
	}
	return c, nil
}

func toneError(why, fix string) error {
	return &physics.InputError{What: "reference tone", Why: why, Fix: fix}
}

// steadyTone measures the frequency of the tone near f in x, both in Hz.
//
// Against a tone of about the same frequency its phase is a straight line in time.
// Each of 32 stretches gives a phase, that of its discrete-time Fourier transform, and
// least squares through them come within a thousandth of maximum likelihood, of which
// the variance is 6·fs²σ²/(π²A²N(N²−1)) (Rife & Boorstyn 1974). u is half of what
// covers 95 %, by how the phases scatter about the line, more where neighbours stray
// alike: so what is no white noise counts too.
func steadyTone(x []float64, rate, f float64) (detect.Value, error) {
	seconds := float64(len(x)) / rate
	switch {
	case !(f > 0 && f < 0.45*rate):
		return detect.Value{}, toneError(fmt.Sprintf("of %g Hz is beyond what a sample rate of %g Hz holds", f, rate), "take a lower one")
	case detect.Mains(f, 0.004*f, mainsTop):
		return detect.Value{}, toneError(fmt.Sprintf("of %g Hz could be the mains, which wander", f), "take one that is no multiple of 50 or 60 Hz, like 440Hz")
	case !(seconds >= LeastTone):
		return detect.Value{}, toneError(fmt.Sprintf("of %.1f s is too short", seconds), "record half a minute or more")
	}
	at, err := soleTone(x, rate, f)
	if err != nil {
		return detect.Value{}, err
	}
	var v detect.Value
	for range 2 { // once more at the frequency found, which loses nothing
		t, phase, level := phases(x, rate, at)
		intercept, slope := stat.LinearRegression(t, phase, nil, false)
		left := make([]float64, len(t))
		for i := range t {
			left[i] = phase[i] - intercept - slope*t[i]
		}
		dof := float64(parts - 2)
		s := stat.StdDev(left, nil) * math.Sqrt((parts-1)/dof)
		if stat.StdDev(level, nil) > math.Hypot(evenness, 2*s) { // white noise moves both alike
			return detect.Value{}, toneError("is not steady: it dies away, beats or is interrupted",
				"take one that keeps its loudness: no string, no bell")
		}
		if s > straightness {
			return detect.Value{}, toneError("is not steady: its pitch wanders", "take one that a crystal or better keeps, and record it louder")
		}
		spread := stat.StdDev(t, nil) * math.Sqrt(parts-1)
		cover := distuv.StudentsT{Sigma: 1, Nu: dof}.Quantile(0.975) / 2
		at += slope / (2 * math.Pi)
		v = detect.Value{V: at, U: cover * together(t, left, 0) * s / spread / (2 * math.Pi)}
	}
	return v, nil
}

// phases is, of each stretch of x, its middle in seconds, its phase against a tone of
// hz, in rad and continuous, and the logarithm of its amplitude.
func phases(x []float64, rate, hz float64) (t, phase, level []float64) {
	n := len(x) / parts
	for p := range parts {
		var z complex128
		for i := p * n; i < (p+1)*n; i++ {
			_, turn := math.Modf(hz * float64(i) / rate)
			sin, cos := math.Sincos(2 * math.Pi * turn)
			z += complex(x[i]*cos, -x[i]*sin)
		}
		a := cmplx.Phase(z)
		if p > 0 {
			last := phase[p-1]
			a = last + math.Remainder(a-last, 2*math.Pi)
		}
		t = append(t, (float64(p*n)+float64(n-1)/2)/rate)
		phase = append(phase, a)
		level = append(level, math.Log(max(cmplx.Abs(z), math.SmallestNonzeroFloat64)))
	}
	return t, phase, level
}
