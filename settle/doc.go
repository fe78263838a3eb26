// Package settle tells what the pitch of a string does over minutes to days: what law
// it follows, where it stepped, how fast it still drifts, and whether it will stay
// within a tolerance for a while. It is statistics of cents over time and nothing else;
// what a sound's pitch is comes from package detect, what warmth does to a string from
// package physics.
//
// Four laws are weighed against each other: none (the pitch stays), linear,
// logarithmic creep a + b ln(1 + t/τ), and exponential recovery a + b exp(−t/τ). High
// stress steel wire at constant length loses tension fast at first and ever slower:
// Sinha and Levinson, J. Testing and Evaluation 20(2), 1992, doi 10.1520/JTE11908J, who
// measured music wire by its frequency; that it goes by the logarithm of time is the form
// used for prestressing wire (Magura, Sozen and Siess, PCI Journal, April 1964, from
// memory).
// Where the clock of a logarithmic creep began need not be known: it only adds to τ.
//
// Which law holds is weighed by AICc (Burnham and Anderson, Model Selection and
// Multimodel Inference, 2002), and what is foretold is foretold by all of them, each
// with its weight.
package settle
