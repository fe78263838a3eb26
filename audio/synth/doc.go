// Package synth is a plucked string that exists only in numbers: physical
// parameters in, samples out. It is a Source for demonstrations and the ground
// truth of the detector's tests, so nothing in it is approximate in frequency,
// phase or decay: every partial is a closed-form damped sinusoid of the modal
// solution of the stiff string with pinned ends, rendered to within 1e-10 of the
// take's peak.
//
// The signal chain, in order:
//
//	strings (all plucks, neighbours) → attack → high-pass → scaled to Level
//	  → + hum → + noise → clip → quantise
//
// Hum and noise enter behind the high-pass, so that their levels and the
// whiteness of white noise are exactly what was asked for. Everything random
// follows from Take.Seed: equal takes give equal samples.
//
// The model and its symbols are those of Fletcher and Rossing, The Physics of
// Musical Instruments, chapter 2 (attribution of the chapter from memory).
package synth
