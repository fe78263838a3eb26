package choose

import (
	"errors"
	"math"
	"testing"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// The line goes by pitch, whatever the order of the positions.
func TestSlopeGoesByPitch(t *testing.T) {
	at := func(pitches ...physics.Frequency) (out []Position) {
		for _, f := range pitches {
			out = append(out, Position{F0: f})
		}
		return out
	}
	for _, tt := range []struct {
		positions []Position
		want      []physics.Force
	}{
		{at(400, 100, 200, 100), []physics.Force{180, 120, 150, 120}},
		{at(50), []physics.Force{120}},
		{at(50, 50), []physics.Force{120, 120}},
	} {
		got := Slope(tt.positions, 120, 180).Targets
		for i := range tt.want {
			if math.Abs(float64(got[i]-tt.want[i])) > 1e-9 {
				t.Errorf("%v, not %v", got, tt.want)
			}
		}
	}
}

// An instrument like another has its strings, where these are in stock.
func TestLikeItself(t *testing.T) {
	q := bigQuestion(300)
	for _, w := range []Wish{{}, Wish{}.Pushed(3e-3)} {
		var on []traits.String
		var want []int
		for _, p := range q.Positions {
			s := 0 // the one that pulls nearest to 150 N
			for k := range q.Strings {
				off := func(k int) float64 {
					pull, err := PullOf(p, q.Strings[k])
					if err != nil {
						t.Fatal(err)
					}
					return math.Abs(float64(pull.Value - 150))
				}
				if off(k) < off(s) {
					s = k
				}
			}
			on, want = append(on, q.Strings[s]), append(want, s)
		}
		var err error
		if q.Wish, err = w.Like(q.Positions, on); err != nil {
			t.Fatal(err)
		}
		c, err := q.Best()
		if err != nil {
			t.Fatal(err)
		}
		for i, p := range c.Picks {
			if p.String != want[i] {
				t.Errorf("position %d: string %d, not %d", i, p.String, want[i])
			}
		}
		if c.Objective > 1e-9 {
			t.Errorf("off by %v", c.Objective)
		}
	}
	var input *physics.InputError
	if _, err := (Wish{}).Like(q.Positions, q.Strings[:3]); !errors.As(err, &input) {
		t.Errorf("like three strings on twelve positions: %v", err)
	}
}

// What would break, or may, is said.
func TestStrainIsSaid(t *testing.T) {
	steel, _ := physics.ParseMaterial("steel")
	p := Position{F0: 329.63, Length: physics.Stated[physics.Length](0.648, 5e-4)}
	for _, tt := range []struct {
		up   float64 // semitones
		code string
	}{{0, ""}, {5, MayBreak}, {9, Breaks}} {
		at := p
		at.F0 = p.F0.Raise(physics.PitchInterval(tt.up) * physics.Semitone)
		s := traits.String{Kind: traits.Plain, Left: 1, UnitWeight: physics.Stated[physics.UnitWeight](4e-4, 4e-6),
			Outside: physics.Stated[physics.Length](0.254e-3, 5e-6)}
		s.Core = s.CoreOf(steel)
		c, err := Question{Positions: []Position{at}, Strings: []traits.String{s}}.Best()
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		for _, d := range c.Picks[0].Doubts {
			got += d.Code
		}
		if got != tt.code || c.Picks[0].Load == nil {
			t.Errorf("%v semitones up: %q, not %q; %+v", tt.up, got, tt.code, c.Picks[0].Load)
		}
	}
}

// The side force is that of the exact law but for some parts in ten thousand, and as
// uncertain.
func TestPushIsTheSideForce(t *testing.T) {
	q := bigQuestion(40)
	q.Wish = Even(0, 0).Pushed(3e-3)
	c, err := q.Best()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range c.Picks {
		s := q.Strings[p.String]
		d, err := physics.Strung{Length: q.Positions[p.Position].Length, Pull: p.Pull, Core: s.Core}.Pushed(physics.Stated[physics.Length](3e-3, 0))
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(float64(p.Push.Value/d.Side.Value)-1) > 2e-4 || p.Push.U != d.Side.U {
			t.Errorf("%v, not %v", p.Push, d.Side.Measured)
		}
		s.Core = physics.Core{}
		supple := pushed(q.Positions[p.Position], &s, p.Pull, 3e-3)
		if supple.Value >= p.Push.Value || !(supple.U > 0) {
			t.Errorf("without its core %v, with it %v", supple, p.Push)
		}
	}
}
