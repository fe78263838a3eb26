// Package physics turns what is known of a string into its unit weight and its
// tension, and says how well they are known. It is numbers only: it knows
// neither sound nor storage.
//
// Quantities are floating-point numbers in SI units, each of its own type, used
// in the manner of time.Duration: 34*physics.Inch is a Length, and
// t.In(physics.PoundForce) is a plain number of pounds-force. Parse reads them,
// with a unit and if wanted a tolerance; a Role reads and checks what a command
// asks for, such as a speaking length.
//
// A Measured quantity carries its standard uncertainty and whether that was
// stated or assumed; a Result adds the Budget that says which input it is owed
// to. Uncertainties are combined to first order as in JCGM 100:2008 (the GUM),
// correlations and degrees of freedom included; Result.Improvements says which
// input would be worth knowing better. A Result that has a Model can be checked by
// Monte Carlo (JCGM 101:2008): see Result.MonteCarlo.
//
// All values are immutable and all functions may be called from any goroutine.
package physics
