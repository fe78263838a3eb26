package physics

import (
	"math"
	"testing"
)

// What each role assumes for a typical value.
func TestAssumed(t *testing.T) {
	check := func(name string, u, want float64, assumed bool) {
		t.Helper()
		if math.Abs(u/want-1) > 1e-12 || !assumed {
			t.Errorf("%s: assumed %v (marked %v), want %v", name, u, assumed, want)
		}
	}
	l := must(SpeakingLength.Parse("34in"))
	check("speaking length", float64(l.U), 0.5e-3, l.Assumed)
	w := must(StringWeight.Parse("1.21g/m"))
	check("unit weight", float64(w.U), 1.21e-5, w.Assumed)
	p := must(Pull.Parse("158N"))
	check("pull", float64(p.U), 1.58, p.Assumed)
	d := must(Gauge.Parse("0.254mm"))
	check("gauge", float64(d.U), 5.7735026919e-6, d.Assumed)
	m := must(CutMass.Parse("1.3g"))
	check("mass of the cut", float64(m.U), 5.7735026919e-6, m.Assumed)
	k := must(CoreSize.Parse("0.4mm"))
	check("core", float64(k.U), 5.7735026919e-6, k.Assumed)
	c := must(CutLength.Parse("1m"))
	check("length of the cut", float64(c.U), 0.5e-3, c.Assumed)

	stated := must(SpeakingLength.Parse("34in±0.2mm"))
	if stated.Assumed || math.Abs(float64(stated.U)-0.2e-3) > 1e-18 {
		t.Errorf("a stated tolerance is not kept: %+v", stated)
	}
}

func TestRanges(t *testing.T) {
	bounded := func(name string, r interface{ Check(Length) error }, least, most Length) {
		t.Helper()
		for _, bad := range []Length{0, -1, Length(math.NaN()), Length(math.Inf(1)), least * 0.99, most * 1.01} {
			if r.Check(bad) == nil {
				t.Errorf("%s of %v passes", name, bad)
			}
		}
		for _, good := range []Length{least, (least + most) / 2, most} {
			if err := r.Check(good); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
	for _, r := range []Role[Length]{SpeakingLength, Gauge, CutLength, CoreSize, PushDepth} {
		least, most := r.Range()
		bounded(string(r), r, least, most)
	}
	// What is asked after is taken as it is.
	if m := must(BendInterval.Parse("100cents")); m.U != 0 || m.Value != 100 {
		t.Errorf("bend: %+v", m)
	}
	if m := must(Warming.Parse("5K±1K")); m.U != 1 || m.Assumed {
		t.Errorf("warmer: %+v", m)
	}
	// A role of one's own has no bounds and assumes nothing.
	own := Role[Length]("nut slot")
	if m := own.Assume(3); own.Check(40e3) != nil || m.U != 0 || !m.Assumed {
		t.Errorf("own role: %+v", m)
	}
	if own.Check(0) == nil {
		t.Error("own role takes zero")
	}
	if err := Pull.Check(40e3); err == nil || err.Error() != "pull of 40000 N is implausible" {
		t.Errorf("40 kN: %v", err)
	}
}
