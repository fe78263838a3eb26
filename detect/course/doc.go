// Package course hears two strings that were plucked together: those of a course, which
// have one note or lie an octave apart. detect hears one string, and refuses two, or takes
// the louder where they are close.
//
// Part fits the damped partials of two stiff strings at once, each with its own f0, B and
// glide, by least squares over bands about their partials (variable projection: Golub &
// Pereyra, SIAM J. Numer. Anal. 10 (1973) 413; the derivative as by Kaufman, BIT 15 (1975)
// 49). What it cannot part beyond doubt it does not.
package course
