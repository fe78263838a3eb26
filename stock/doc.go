// Package stock keeps what its owner has: strings with all that was ever measured
// of them, and instruments with their positions, in one SQLite file.
//
// A measurement is never changed once it is kept. What a string weighs, how thick and
// how stiff it is are worked out of all its measurements each time it is read
// (Combine), and whether they agree is said with it.
package stock
