package lesson

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// mustBeFinite refuses an outcome that JSON has no numbers for, or without a verdict.
func mustBeFinite(t *testing.T, o Outcome) {
	t.Helper()
	if _, err := json.Marshal(o); err != nil {
		t.Errorf("%v: %+v", err, o)
	}
	if o.Say == "" || o.Verdict == "" || o.Verdict == NotShown && len(o.Next) == 0 && o.Used > 0 {
		t.Errorf("says nothing: %+v", o)
	}
	if o.Verdict != NotShown && len(o.Findings) == 0 {
		t.Errorf("%s of nothing", o.Verdict)
	}
}

// lengths are points of f0 = 50/L by a power, off by so much as they say.
func lengths(r *rand.Rand, u float64, at ...float64) (points []Point) {
	for _, l := range at {
		points = append(points, Point{X: []Value{{V: l + u*r.NormFloat64(), U: u}}, Y: Value{V: 50 / l, U: 0.01}})
	}
	return points
}

func lesson(t *testing.T, id string) *Lesson {
	t.Helper()
	l, err := Named(id)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// Data that do not show a law are said not to, with what would.
func TestNotShown(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	l := lesson(t, "length")
	for name, c := range map[string]struct {
		points []Point
		next   string
	}{
		"none":            {nil, "4 at least, better 6"},
		"one":             {lengths(r, 5e-4, 0.65), "measure at more values of the length"},
		"two":             {lengths(r, 5e-4, 0.65, 0.5), "measure at more values of the length"},
		"one length":      {lengths(r, 0, 0.65, 0.65, 0.65, 0.65), "measure at more values of the length"},
		"narrow":          {lengths(r, 2e-3, 0.65, 0.645, 0.64, 0.648), "vary the length further: the largest is only 1.0"},
		"rough":           {lengths(r, 0.06, 0.65, 0.5, 0.55, 0.45), "more"},
		"three, by three": {lengths(r, 0.02, 0.65, 0.5, 0.4), "more, the farther"},
	} {
		o := l.Judge(c.points, nil)
		mustBeFinite(t, o)
		if o.Verdict != NotShown || !strings.Contains(strings.Join(o.Next, "; "), c.next) {
			t.Errorf("%s: %s: %s %v", name, o.Verdict, o.Say, o.Next)
		}
	}
}

// A curve is no power law, even where its exponent is about right.
func TestCurvesAreRefused(t *testing.T) {
	var points []Point
	for _, l := range []float64{0.65, 0.6, 0.55, 0.5, 0.45, 0.4, 0.35, 0.3} {
		x := math.Log(l / 0.45)
		points = append(points, Point{X: []Value{{V: l, U: 5e-4}}, Y: Value{V: 50 / l * math.Exp(0.3*x*x), U: 0.01}})
	}
	o := lesson(t, "length").Judge(points, nil)
	if o.Verdict != Contradicts || !strings.Contains(o.Say, "curve") {
		t.Errorf("%s: %s", o.Verdict, o.Say)
	}
}

// A curve that hardly is one is said, and contradicts no law: real strings show some to who
// measures well.
func TestSlightCurves(t *testing.T) {
	var points []Point
	for _, l := range []float64{0.65, 0.6, 0.55, 0.5, 0.45, 0.4, 0.35, 0.3} {
		x := math.Log(l / 0.45)
		points = append(points, Point{X: []Value{{V: l, U: 1e-6}}, Y: Value{V: 50 / l * math.Exp(0.01*x*x), U: 1e-4}})
	}
	o := lesson(t, "length").Judge(points, Givens{"start of the rule": {V: 1e-3}})
	if o.Verdict != Agrees || !strings.Contains(strings.Join(o.Doubts, "; "), "a curve that is hardly one") {
		t.Errorf("%s: %s %v", o.Verdict, o.Say, o.Doubts)
	}
}

// The partials of a flexible string have no stiffness to show, those of one that is flat
// for its overtones contradict the law, and where α falls with the frequency so does that.
func TestSignsThatAreWrong(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	for b, want := range map[float64]Verdict{1e-4: Agrees, 0: NotShown, -1e-4: Contradicts} {
		var points []Point
		for n := 1.0; n < 16; n++ {
			f := 55 * n * math.Sqrt(1+b*n*n)
			points = append(points, Point{X: []Value{{V: n}}, Y: Value{V: f + 1e-3*r.NormFloat64(), U: 1e-3}})
		}
		o := lesson(t, "stiffness").Judge(points, nil)
		mustBeFinite(t, o)
		if o.Verdict != want {
			t.Errorf("B = %v: %s: %s", b, o.Verdict, o.Say)
		}
	}
	for rise, want := range map[float64]Verdict{0.5: Agrees, 0: NotShown, -0.5: Contradicts} {
		var points []Point
		for n := 1.0; n < 16; n++ {
			f := 0.1 * n
			points = append(points, Point{X: []Value{{V: 1000 * f}}, Y: Value{V: 4 + rise*f*f + 0.02*r.NormFloat64(), U: 0.02}})
		}
		o := lesson(t, "decay").Judge(points, nil)
		if o.Verdict != want {
			t.Errorf("rise %v: %s: %s", rise, o.Verdict, o.Say)
		}
	}
}

// One point that belongs to no other is named, counts as long as nobody sets it aside, and
// no more once somebody has, which is seen.
func TestOddPoints(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 6))
	points := lengths(r, 5e-4, 0.65, 0.6, 0.55, 0.5, 0.45, 0.4, 0.35)
	points[3].X[0].V += 0.05 // misread by five centimetres
	l := lesson(t, "length")
	o := l.Judge(points, nil)
	if len(o.Odd) != 1 || o.Odd[0] != 3 || !strings.Contains(strings.Join(o.Doubts, "; "), "point 4 (5") || o.Used != 7 {
		t.Errorf("%v %v", o.Odd, o.Doubts)
	}
	points[3].Aside = "misread"
	o = l.Judge(points, nil)
	if o.Used != 6 || len(o.Odd) != 0 || o.Placed[3].Aside != "misread" || o.Placed[3].Fits || !(o.Placed[3].X > 0) || o.Verdict != Agrees {
		t.Errorf("%+v", o)
	}
}

// Strings of several seats have one exponent and each its own constant.
func TestClassesOfSeveralStrings(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 7))
	l := lesson(t, "length")
	var points []Point
	for seat := range 12 {
		v := 60 * math.Exp(r.NormFloat64())
		for _, at := range []float64{0.65, 0.5, 0.4} {
			p := Point{X: []Value{{V: at + 1e-3*r.NormFloat64(), U: 1e-3}}, Y: Value{V: v / (2 * at), U: 0.01}, Group: string(rune('a' + seat))}
			points = append(points, p)
		}
	}
	o := l.Judge(points, nil)
	mustBeFinite(t, o)
	if o.Verdict != Agrees || o.Free != 36-12-1 || len(o.Findings) != 1 {
		t.Errorf("%s with %d degrees of freedom: %s", o.Verdict, o.Free, o.Say)
	}
	for i := range points {
		points[i].Group = ""
	}
	if o := l.Judge(points, nil); o.Verdict == Agrees {
		t.Errorf("strings taken for one: %s", o.Say)
	}
}

// Points that cannot be are placed with the reason and do not count; nothing panics.
func TestPointsThatCannotBe(t *testing.T) {
	for _, l := range All() {
		var points []Point
		for _, v := range []float64{math.NaN(), math.Inf(1), -1, 0, 1e300, 1e-300} {
			x := Value{V: v, U: math.NaN()}
			points = append(points, Point{}, Point{X: []Value{x}}, Point{X: []Value{x, x}, Y: x}, Point{X: []Value{x, x, x}, Y: x})
		}
		o := l.Judge(points, nil)
		mustBeFinite(t, o)
		if o.Used != 0 && l.ID != "decay" || len(o.Placed) != len(points) {
			t.Errorf("%s: %d of %d count", l.ID, o.Used, len(points))
		}
	}
}

// Without the length nothing is said of places.
func TestGivensThatAreMissing(t *testing.T) {
	o := lesson(t, "pluck").Judge([]Point{{X: []Value{{V: 0.1, U: 1e-3}}, Y: Value{V: 0.2, U: 1e-3}}}, nil)
	if o.Verdict != NotShown || !strings.Contains(o.Say, "speaking length is not told") {
		t.Error(o.Say)
	}
}

// Air and string that were warmed together cannot be told apart, and the string is judged.
func TestAirWithTheString(t *testing.T) {
	var points []Point
	for i, c := range []float64{15, 18, 21, 24, 27, 20} {
		f := 196 * math.Exp2((-2.1*(c-20)+0.2*math.Sin(float64(5*i)))/1200)
		points = append(points, Point{X: []Value{{V: c, U: 0.1}, {V: c, U: 0.1}}, Y: Value{V: f, U: 0.02}})
	}
	o := lesson(t, "temperature").Judge(points, nil)
	if o.Verdict != Agrees || len(o.Findings) != 1 || !strings.Contains(strings.Join(o.Doubts, "; "), "temperature of the air is left out") {
		t.Errorf("%s %v %v", o.Say, o.Findings, o.Doubts)
	}
}

func TestNames(t *testing.T) {
	seen := map[string]bool{}
	for _, l := range All() {
		if seen[l.ID] || l.Title == "" || l.Question == "" || len(l.Steps) < 3 || l.Law == "" || l.Source == "" || len(l.Cautions) == 0 || l.Least < 4 {
			t.Errorf("%s is not whole", l.ID)
		}
		seen[l.ID] = true
		for _, a := range append(append(l.X, l.Y), l.Givens...) {
			first, _, _ := strings.Cut(a.Example, " or ")
			if _, err := a.Parse(first); err != nil {
				t.Errorf("%s: the example of %s: %v", l.ID, a.Name, err)
			}
		}
	}
	if _, err := Named("lenght"); err == nil || !strings.Contains(err.(interface{ Hint() string }).Hint(), `"length"`) {
		t.Error(err)
	}
}
