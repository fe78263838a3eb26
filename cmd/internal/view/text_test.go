package view

import "testing"

// No number is cut in two: what is left of it would be another.
func TestTextsAreCutBetweenWords(t *testing.T) {
	for _, c := range []struct {
		text string
		wide int
		want string
	}{
		{"pulls 158.1 ± 0.9 N", 19, "pulls 158.1 ± 0.9 N"},
		{"pulls 158.1 ± 0.9 N", 18, "pulls 158.1 ± 0.9…"},
		{"pulls 158.1 ± 0.9 N", 10, "pulls…"},
		{"pulls 158.1 ± 0.9 N", 12, "pulls 158.1…"},
		{"pulls", 1, "…"},
	} {
		if got := cut(c.text, c.wide); got != c.want {
			t.Errorf("%q in %d columns is %q, not %q", c.text, c.wide, got, c.want)
		}
	}
	const row = "> 3 A1  good     ± 0.3  -12.1 ± 0.2 cents  pulls 162.4 ± 1.2 N"
	if got, want := whole(row, len(row)-5), "> 3 A1  good     ± 0.3  -12.1 ± 0.2 cents"; got != want {
		t.Errorf("%q", got)
	}
}
