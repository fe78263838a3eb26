package synth

// Truth is what a detector should find in a take, and what a bound on its
// errors is computed from.
type Truth struct {
	F0     float64 // Hz, flexible fundamental of the string at rest, at the start of the take
	F1     float64 // Hz, first partial at rest by the stiff-string law, first polarisation, without a clip
	B      float64
	Plucks []PluckTruth
	Sigma  float64 // standard deviation of all noise together
	White  float64 // standard deviation of the white part of it
	SNRdB  float64 // string over all noise as Reference SNR defines it; +Inf without noise, 0 without plucks
}

// A PluckTruth is one pluck as rendered. Its partials hold from At to Until.
type PluckTruth struct {
	At         float64 // s, the onset
	Until      float64 // s, when it begins to be stopped by hand or next pluck, or the take ends
	GlideCents float64 // above rest at the onset
	GlideDecay float64 // 1/s, the glide falls as exp(−GlideDecay·t); twice the first partial's decay rate
	Partials   []Partial

	warp warp
}

// StringTime returns W(t), t seconds after the onset: the integral of Pitch. A
// partial has gone through Freq·W(t) periods by then.
func (p PluckTruth) StringTime(t float64) float64 { return p.warp.at(t) }

// Pitch returns the frequency of every partial over its frequency at rest, t
// seconds after the onset. It is 1 + g·exp(−GlideDecay·t) without a Ramp.
func (p PluckTruth) Pitch(t float64) float64 { return p.warp.rate(t) }

// A Partial is one damped sinusoid of a pluck as it appears in the samples,
//
//	Amp·exp(−Decay·t)·cos(2π·Freq·W(t) + Phase)
//
// with t in seconds from the onset and W from PluckTruth.StringTime. Amp and Phase include the high-pass, exactly so
// once its own transient is over and there is no glide.
type Partial struct {
	N            int
	Polarization int     // 0 or 1
	Freq         float64 // Hz, at rest
	Amp          float64 // at the onset, full scale is 1
	Phase        float64 // rad
	Decay        float64 // 1/s
}
