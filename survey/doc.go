// Package survey recognises the strings of an instrument by their pitch, whatever the
// order they are plucked in, and says what each pulls as found and at pitch. It knows no
// sound and no storage.
//
// Nothing is guessed: a string is recognised where no other of the instrument's could
// sound so, being no further out of tune than Rules say. Otherwise those that it could be
// are said.
package survey
