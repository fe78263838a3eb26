package choose_test

import (
	"fmt"

	"pluckweigh/physics"
	"pluckweigh/stock/choose"
	"pluckweigh/stock/traits"
)

// bass is an instrument of four strings, each position with a speaking length of its own.
func bass() []choose.Position {
	var out []choose.Position
	for i, note := range []string{"G2", "D2", "A1", "E1"} {
		n, _ := physics.ParseNote(note)
		f, _ := n.Frequency(physics.ConcertPitch)
		l := physics.Length(850+5*i) * physics.Millimetre
		out = append(out, choose.Position{Note: note, F0: f, Length: physics.SpeakingLength.Assume(l)})
	}
	return out
}

func wound(id string, w physics.UnitWeight, left int) traits.String {
	return traits.String{Name: id, Kind: traits.Wound, UnitWeight: physics.Stated(w*physics.GramPerMetre, w/500*physics.GramPerMetre), Left: left}
}

// Strings that pull about alike, out of five, and what one position takes that none of them suits.
func ExampleQuestion_Best() {
	q := choose.Question{
		Positions: bass(),
		Strings: []traits.String{
			wound("thin", 5.9, 2), wound("thinner", 6.2, 1), wound("middle", 10.9, 1),
			wound("thick", 19.1, 1), wound("thicker", 19.8, 1),
		},
		Wish:         choose.Level(4, 175),
		Alternatives: 1,
	}
	q.Wish.Within = 30
	c, err := q.Best()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range c.Picks {
		at := q.Positions[p.Position]
		if p.String == choose.Empty {
			fmt.Println(at.Note, "takes", physics.Format(p.Need.UnitWeight, physics.GramPerMetre, 3))
			continue
		}
		fmt.Println(at.Note, q.Strings[p.String].Name, p.Pull.Expanded(physics.Coverage))
	}
	fmt.Println("off by", physics.Format(c.Objective, 0, 3), "within", physics.Format(c.Spread, 0, 3))
	fmt.Println("in all", c.Total.Expanded(physics.Coverage))
	for _, a := range c.Alternatives {
		for _, change := range a.Changes {
			fmt.Printf("or at %s %s, %+.1f N\n", q.Positions[change.Position].Note, q.Strings[change.To].Name, float64(change.Pull))
		}
	}
	// Output:
	// G2 thinner 171.0 ± 2.1 N
	// D2 middle 170.7 ± 2.1 N
	// A1 thicker 176.1 ± 2.2 N
	// E1 takes 34.6 g/m
	// off by 3.45 N within 5.37 N
	// in all 517.8 ± 6.3 N
	// or at A1 thick, -6.2 N
}

// The least spread out of all ways, and what it feels like to push the strings aside by
// three millimetres.
func ExampleWish_Pushed() {
	steel, _ := physics.ParseMaterial("steel")
	q := choose.Question{Positions: bass()[:2], Wish: choose.Even(0, 0).Pushed(3 * physics.Millimetre)}
	for _, s := range []struct {
		id     string
		weight physics.UnitWeight
		core   physics.Length
	}{{"soft", 6, 0.40}, {"stiff", 5.7, 0.55}, {"low", 10.9, 0.45}} {
		w := wound(s.id, s.weight, 1)
		w.Core = physics.Core{Size: physics.CoreSize.Assume(s.core * physics.Millimetre), Of: steel}
		q.Strings = append(q.Strings, w)
	}
	c, err := q.Best()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range c.Picks {
		fmt.Printf("%s pulls %.1f N and is pushed by %.2f N\n", q.Strings[p.String].Name, float64(p.Pull.Value), float64(p.Push.Value))
	}
	// Output:
	// soft pulls 166.0 N and is pushed by 2.35 N
	// low pulls 171.2 N and is pushed by 2.41 N
}

// The same strings a whole tone lower.
func ExampleRetune() {
	positions := bass()
	strings := []traits.String{wound("thin", 5.9, 1), wound("middle", 10.9, 1), wound("thick", 19.1, 1), wound("low", 34, 1)}
	var to []physics.Frequency
	for _, p := range positions {
		to = append(to, p.F0.Raise(-2*physics.Semitone))
	}
	r, err := choose.Retune(positions, strings, to)
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, s := range r.Strings {
		fmt.Println(strings[i].Name, s.Before.Expanded(physics.Coverage), "->", s.After.Expanded(physics.Coverage))
	}
	fmt.Println("in all", r.After.Expanded(physics.Coverage))
	// Output:
	// thin 162.7 ± 2.0 N -> 129.1 ± 1.6 N
	// middle 170.7 ± 2.1 N -> 135.5 ± 1.7 N
	// thick 169.8 ± 2.1 N -> 134.8 ± 1.7 N
	// low 171.7 ± 2.2 N -> 136.2 ± 1.7 N
	// in all 535.7 ± 6.5 N
}
