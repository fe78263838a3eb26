// Package bound computes the Cramér–Rao bound on the fundamental f0 and the
// inharmonicity B of a stiff string heard in white Gaussian noise: the least
// standard deviation that any unbiased estimator can have (S. M. Kay,
// Fundamentals of Statistical Signal Processing: Estimation Theory, chapter 3;
// chapter from memory).
//
// It is the yardstick that the detector is held against, so it is made to share
// nothing with it: the Fisher information F = JᵀJ/σ² is summed over samples in
// the time domain, from one column of J for each unknown, and every amplitude,
// phase and decay is unknown.
package bound
