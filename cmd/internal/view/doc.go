// Package view draws on a terminal what is heard while it is heard: the number in digits
// that are read from across a bench, pitch over time as a strip, a string's partials as a
// ladder, the strings of an instrument, and how one settles.
//
// It knows no sound. A State is told events of plain values, all numbers of which are for
// the eye but for those that come as text, which have their uncertainty with them. Render
// makes a screen of it: text without colour or any escape sequence. A Screen puts that on
// a terminal, and gives the terminal back.
package view
