// Package identify tells which of the strings in stock a string is, by what was
// measured of it, or that it is none of them; and what to measure next. It knows
// numbers only, neither storage nor printing.
//
// All is told in the logarithms of unit weight, outside diameter and bending stiffness.
// A string in stock is a normal distribution of them, as wide as it is known; a string
// that is none of these is a broad mixture over what can be built. Probabilities follow
// by Bayes' theorem.
package identify
