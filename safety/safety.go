// Package safety has the cautions that stand before what can hurt, so that every command
// and page words them alike.
package safety

const (
	// Snap stands before a string is loaded or tuned.
	Snap = `caution: a string that is loaded or tuned up can snap, and can harm the instrument.
Protect your eyes, keep out of its line, and go by the instrument's maker, a
qualified luthier and your local rules before anything that is said here.`

	// Whip stands beside it before what pulls harder.
	Whip = `A string under tension can whip: slacken it before you look at it closely. Ask the
instrument's maker before raising the pull of a string or of a set.`

	// Fall stands beside it before weights are hung.
	Fall = `Weights fall when a string snaps: keep feet and hands from under them, hang them low
over something soft, and stand aside of the string, which whips.`

	// Fly stands before a clip is put on a string.
	Fly = `caution: a clip can fly off a string that is plucked hard, and a string can snap.
Fix it well, pluck softly, protect your eyes, and take it off before you play.`

	// Press stands before a string is shortened or touched under its pull.
	Press = `A string that is pressed down or touched is under its full pull: protect your eyes,
and never lean over it.`

	// Warm stands before a string is warmed.
	Warm = `Warm with air or with the hand and never with a flame or a current: varnish, glue and
nylon give way long before steel does, and a string that cools again pulls harder.`

	// Hard stands before a string is plucked as hard as it takes.
	Hard = `Pluck no harder than the instrument is played: a string that is pulled far aside can
snap.`
)
