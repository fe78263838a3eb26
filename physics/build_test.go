package physics

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

func mm(v, u float64) Measured[Length] {
	return Stated(Length(v)*Millimetre, Length(u)*Millimetre)
}

func of(t testing.TB, name string) Material {
	t.Helper()
	m, err := ParseMaterial(name)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// bassBuild is a string of two wraps on a hexagonal core, the outer one open.
func bassBuild(t testing.TB) Build {
	return Build{
		Core: Core{Hexagonal, mm(0.5, 0.002), of(t, "steel")},
		Wraps: []Wrap{
			{Wire: mm(0.3, 0.001), Of: of(t, "nickel-200")},
			{Wire: mm(0.45, 0.002), Pitch: mm(0.48, 0.003), Of: of(t, "nickel-200")},
		},
	}
}

// What is without wraps is a plain wire, and turns that touch fill π/4 of the room
// that they take.
func TestBuildLimits(t *testing.T) {
	steel, nickel := of(t, "steel"), of(t, "nickel-200")
	core := Core{Round, mm(0.4, 0.002), steel}
	plain := must(Build{Core: core}.UnitWeight())
	wire := must(PlainWire{core.Size, steel.Density}.UnitWeight())
	if math.Abs(float64(plain.Value/wire.Value)-1) > 1e-12 || math.Abs(float64(plain.U/wire.U)-1) > 1e-12 {
		t.Errorf("without wraps %v, a plain wire %v", plain.Measured, wire.Measured)
	}
	for _, d := range []float64{0.05, 0.3, 0.8} {
		b := Build{Core: core, Wraps: []Wrap{{Wire: mm(d, 0), Of: nickel}}}
		wrap := float64(must(b.UnitWeight()).Value - plain.Value)
		do, di := 0.4e-3+2*d*1e-3, 0.4e-3
		if want := 8890 * math.Pi * math.Pi / 16 * (do*do - di*di); math.Abs(wrap/want-1) > 1e-12 {
			t.Errorf("a close wrap of %v mm weighs %v, want %v", d, wrap, want)
		}
		// The same as an open one whose turns touch.
		around := math.Pi * (0.4 + d)
		b.Wraps[0].Pitch = mm(d/math.Sqrt(1-d*d/(around*around)), 0)
		if open := float64(must(b.UnitWeight()).Value - plain.Value); math.Abs(open/wrap-1) > 1e-12 {
			t.Errorf("%v mm: %v where turns touch by their pitch, %v close", d, open, wrap)
		}
	}
	thin := Build{Core: core, Wraps: []Wrap{{Wire: mm(0.02, 0), Pitch: mm(10, 0), Of: nickel}}}
	// A wire along the core, nearly.
	if w, want := float64(must(thin.UnitWeight()).Value-plain.Value), 8890*math.Pi/4*0.02e-3*0.02e-3; w < want || w > 1.02*want {
		t.Errorf("a wire along the core weighs %v, want %v and little more", w, want)
	}
}

// Neighbouring turns of a close wrap touch and do not run into each other: the
// least distance between their middles is the wire's diameter, by search.
func TestCloseTurnsTouch(t *testing.T) {
	for _, c := range []struct{ under, d float64 }{{0.4, 0.05}, {0.4, 0.5}, {0.4, 0.8}, {1.2, 1.5}} {
		mid := c.under + c.d
		p := c.d / math.Sqrt(1-math.Pow(c.d/(math.Pi*mid), 2))
		least := math.Inf(1)
		for turn := -0.1; turn <= 0.1; turn += 1e-6 { // from one full turn on
			x, y := mid/2*(math.Cos(2*math.Pi*turn)-1), mid/2*math.Sin(2*math.Pi*turn)
			least = min(least, math.Hypot(math.Hypot(x, y), p*(1+turn)))
		}
		// The wire is curved, so that turns come a little closer than on a plane.
		if least > c.d*(1+1e-9) || least < c.d*(1-1e-3) {
			t.Errorf("%v on %v: turns are %v apart", c.d, c.under, least)
		}
	}
}

// The volume of a wrap by another way: points thrown into the room that it takes.
func TestHelixVolume(t *testing.T) {
	const draws = 60_000
	r := rand.New(rand.NewPCG(1, 4))
	for _, c := range []struct{ under, d, p float64 }{{0.4, 0.5, 0.55}, {0.8, 0.3, 0.9}, {0.3, 0.2, 2}} {
		w := Wrap{Wire: mm(c.d, 0), Pitch: mm(c.p, 0)}
		got := w.helix(c.under*1e-3).volume * 1e6
		a, outer, inner := (c.under+c.d)/2, c.under/2+c.d, c.under/2
		hits := 0
		for range draws {
			// Turning a point is the same as moving it along the string.
			rho := math.Sqrt(inner*inner + r.Float64()*(outer*outer-inner*inner))
			if helixNear(rho, r.Float64()*c.p, a, c.p, c.d/2) {
				hits++
			}
		}
		share := float64(hits) / draws
		want := share * math.Pi * (outer*outer - inner*inner)
		sigma := want * math.Sqrt((1-share)/share/draws)
		if math.Abs(got-want) > 4*sigma {
			t.Errorf("%+v: %v mm², by points %v ± %v", c, got, want, sigma)
		}
	}
}

// helixNear tells whether a point at the radius rho and the height z is within
// reach of a helix of radius a and pitch p that starts beside it.
func helixNear(rho, z, a, p, reach float64) bool {
	h := p / (2 * math.Pi)
	for turn := -1.0; turn <= 1; turn++ {
		theta := 0.0 // of the nearest point: Newton's steps on the distance squared
		for range 12 {
			dz := turn*p + h*theta - z
			slope := a*rho*math.Sin(theta) + h*dz
			bend := a*rho*math.Cos(theta) + h*h
			if bend <= 0 {
				bend = a*rho + h*h
			}
			theta -= slope / bend
		}
		dz := turn*p + h*theta - z
		if a*a+rho*rho-2*a*rho*math.Cos(theta)+dz*dz <= reach*reach {
			return true
		}
	}
	return false
}

func TestBuildOutside(t *testing.T) {
	b := bassBuild(t)
	d := must(b.Outside())
	if want := 0.5e-3*2/math.Sqrt(3) + 1.5e-3; math.Abs(float64(d.Value)/want-1) > 1e-12 {
		t.Errorf("outside %v, want %v", d.Value, want)
	}
	if want := math.Sqrt(math.Pow(2/math.Sqrt(3)*2e-6, 2) + math.Pow(2e-6, 2) + math.Pow(4e-6, 2)); math.Abs(float64(d.U)/want-1) > 1e-12 {
		t.Errorf("uncertainty %v, want %v", d.U, want)
	}
}

// The budget's slopes, sign included, against differences.
func TestBuildSensitivities(t *testing.T) {
	const step = 1e-6
	for _, open := range []bool{true, false} {
		base := bassBuild(t)
		if !open {
			base.Wraps[1].Pitch = Measured[Length]{}
		}
		at := func(change func(*Build)) float64 {
			b := base
			b.Wraps = append([]Wrap{}, base.Wraps...)
			change(&b)
			return float64(must(b.UnitWeight()).Value)
		}
		scale := func(input string, by float64) func(*Build) {
			return func(b *Build) {
				switch input {
				case "core":
					b.Core.Size.Value *= Length(by)
				case "wrap 1":
					b.Wraps[0].Wire.Value *= Length(by)
				case "wrap 2":
					b.Wraps[1].Wire.Value *= Length(by)
				case "pitch 2":
					b.Wraps[1].Pitch.Value *= Length(by)
				case "density of music wire":
					b.Core.Of.Density.Value *= Density(by)
				case "density of nickel 200":
					b.Wraps[0].Of.Density.Value *= Density(by)
					b.Wraps[1].Of.Density.Value *= Density(by)
				}
			}
		}
		inputs := map[string]float64{"core": 0.5e-3, "wrap 1": 0.3e-3, "wrap 2": 0.45e-3, "density of music wire": 7850, "density of nickel 200": 8890}
		if open {
			inputs["pitch 2"] = 0.48e-3
		}
		budget := must(base.UnitWeight()).Budget
		for _, term := range budget {
			v, ok := inputs[term.Input]
			if !ok {
				if term.Input != "seat of the wraps" {
					t.Errorf("unexpected term %q", term.Input)
				}
				continue
			}
			delete(inputs, term.Input)
			slope := (at(scale(term.Input, 1+step)) - at(scale(term.Input, 1-step))) / (2 * step * v)
			if math.Abs(term.Sensitivity/slope-1) > 1e-6 {
				t.Errorf("by %s: %v, slope %v", term.Input, term.Sensitivity, slope)
			}
		}
		if len(inputs) > 0 {
			t.Errorf("not in the budget: %v", inputs)
		}
	}
}

// The budget against the distributions themselves (JCGM 101:2008), through the
// physics written out again.
func TestBuildMonteCarlo(t *testing.T) {
	const draws = 200_000
	b := bassBuild(t)
	r := must(b.UnitWeight())
	src := rand.New(rand.NewPCG(5, 6))
	normal := func(v, u float64) float64 { return distuv.Normal{Mu: v, Sigma: u, Src: src}.Rand() }
	within, sum, squares := 0, 0.0, 0.0
	for range draws {
		s, d1, d2, p := normal(0.5, 0.002), normal(0.3, 0.001), normal(0.45, 0.002), normal(0.48, 0.003)
		steel, nickel := normal(7850, 30), normal(8890, 40)
		// The turns follow the corners, the flats, or anything between.
		tight, round := 2*math.Sqrt(3)/math.Pi, 2/math.Sqrt(3)
		under1 := s * (tight + (round-tight)*src.Float64())
		under2 := under1 + 2*d1
		w1 := math.Pi * math.Pi / 16 * (math.Pow(under1+2*d1, 2) - under1*under1)
		w2 := math.Pi / 4 * d2 * d2 * math.Sqrt(math.Pow(math.Pi*(under2+d2), 2)+p*p) / p
		mu := (steel*math.Sqrt(3)/2*s*s + nickel*(w1+w2)) * 1e-6
		sum += mu
		squares += mu * mu
		if math.Abs(mu-float64(r.Value)) <= 2*float64(r.U) {
			within++
		}
	}
	mean := sum / draws
	sd := math.Sqrt(squares/draws - mean*mean)
	if math.Abs(sd/float64(r.U)-1) > 0.01 || math.Abs(mean-float64(r.Value)) > 0.02*sd {
		t.Errorf("%v ± %v, Monte Carlo %v ± %v", r.Value, r.U, mean, sd)
	}
	p, err := r.Model.Propagate(draws, 0.95, 1)
	if err != nil || math.Abs(p.U/sd-1) > 0.01 || math.Abs(p.Mean-mean) > 0.02*sd {
		t.Errorf("the model makes %v ± %v, the physics written out again %v ± %v; %v", p.Mean, p.U, mean, sd, err)
	}
	if share := float64(within) / draws; share < 0.945 || share > 0.97 {
		t.Errorf("U holds %.3f of the draws", share)
	}
}

func TestBuildRefuses(t *testing.T) {
	steel, nickel := of(t, "steel"), of(t, "nickel-200")
	core := Core{Round, mm(0.4, 0), steel}
	for name, c := range map[string]struct {
		build Build
		want  string
	}{
		"no core":       {Build{}, "core must be positive"},
		"no material":   {Build{Core: Core{Round, mm(0.4, 0), Material{}}}, "density of the core must be positive"},
		"no shape":      {Build{Core: Core{7, mm(0.4, 0), steel}}, "shape of the core"},
		"no wire":       {Build{Core: core, Wraps: []Wrap{{Of: nickel}}}, "wrap must be positive"},
		"no metal":      {Build{Core: core, Wraps: []Wrap{{Wire: mm(0.4, 0)}}}, "density of wrap must be positive"},
		"thick wire":    {Build{Core: core, Wraps: []Wrap{{Wire: mm(0.81, 0), Of: nickel}}}, "too thick to be wound on 0.4 mm"},
		"narrow pitch":  {Build{Core: core, Wraps: []Wrap{{Wire: mm(0.5, 0), Pitch: mm(0.49, 0), Of: nickel}}}, "less than the wire's diameter of 0.5 mm"},
		"pitch below 0": {Build{Core: core, Wraps: []Wrap{{Wire: mm(0.5, 0), Pitch: mm(-1, 0), Of: nickel}}}, "pitch must be positive"},
		"NaN":           {Build{Core: core, Wraps: []Wrap{{Wire: mm(math.NaN(), 0), Of: nickel}}}, "wrap must be positive"},
		"second wrap":   {Build{Core: core, Wraps: []Wrap{{Wire: mm(0.1, 0), Of: nickel}, {Wire: mm(-1, 0), Of: nickel}}}, "wrap 2 must be positive"},
	} {
		_, err := c.build.UnitWeight()
		var input *InputError
		if !errors.As(err, &input) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
		if _, err := c.build.Outside(); err == nil {
			t.Errorf("%s has an outside", name)
		}
	}
}

// What is looked for by itself is there, and no material is named that is none.
func TestUsualMaterials(t *testing.T) {
	for what, n := range map[string][2]int{
		"round cores":     {len(usualCores(Round)), 5},
		"hexagonal cores": {len(usualCores(Hexagonal)), 2},
		"wraps":           {len(usualWraps()), 7},
	} {
		if n[0] != n[1] {
			t.Errorf("%d %s of %d named are known", n[0], what, n[1])
		}
	}
}
