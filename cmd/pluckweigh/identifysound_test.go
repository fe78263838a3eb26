package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"pluckweigh/audio/synth"
	"pluckweigh/detect/detecttest"
	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/stock/identify"
	"pluckweigh/stock/identify/identifytest"
	"pluckweigh/stock/traits"
)

// A pluckOf is a take of a string with a clip, and what its owner would say of it.
type pluckOf struct {
	sound []byte
	args  []string
}

// drawPluck strings it up somewhere, clips a mass on, plucks it once and measures its
// diameter; ok is false for a string so stiff that nobody would. It is heard as the takes of
// which package detect is tested with, from a stretch of them that it does not use.
func drawPluck(t identifytest.Truth, i uint64, r *rand.Rand) (p pluckOf, ok bool, err error) {
	c := detecttest.Loaded(detecttest.Tuning, i+1<<40)
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	s := &c.Take.String
	s.UnitWeight, s.Stiffness = t.Weight, t.Bending
	s.Length = between(0.62, 0.87)
	s.Tension = between(60, 110)
	if t.Weight > 2e-3 {
		s.Tension = between(90, 180)
	}
	if s.B() > 1e-3 || s.F0() < 30 || s.F0() > 400 {
		return p, false, nil
	}
	s.Clip = synth.Clip{Mass: between(0.03, 0.1) * s.UnitWeight * s.Length, At: 0.5 + between(-2e-3, 2e-3)/s.Length}
	x, _, err := c.Take.Render()
	if err != nil {
		return p, false, err
	}
	sound := make([]float32, len(x))
	for i, v := range x {
		sound[i] = float32(v)
	}
	const clip = 0.003 // relative standard uncertainty of its mass
	return pluckOf{floatWAV(uint32(c.Take.Rate), sound), []string{
		"--clip", fmt.Sprintf("%.6gmg±%g%%", 1e6*s.Clip.Mass*(1+clip*r.NormFloat64()), 100*clip),
		"--scale", fmt.Sprintf("%.3fmm±0.5mm", 1e3*s.Length+0.5*r.NormFloat64()), "--ends", "pinned",
		"--gauge", fmt.Sprintf("%.4fmm", 1e3*t.Outside+between(-0.01, 0.01)),
	}}, true, nil
}

// stockOf keeps the make in a stock, each string as one copy of it was weighed, to 0.2 %,
// measured over all, to 0.3 %, and heard for its stiffness, to 3 %.
func stockOf(t *testing.T, n int, r *rand.Rand) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "stock.db")
	st, err := stock.Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	for i := range n {
		is := identifytest.OfMake(i)
		near := func(v, relative float64) (float64, float64) { return v * (1 + relative*r.NormFloat64()), relative * v }
		w, uw := near(is.Weight, 0.002)
		d, ud := near(is.Outside, 0.003)
		ei, ue := near(is.Bending, 0.03)
		s := stock.String{String: traits.String{Name: fmt.Sprint(i), Kind: is.Kind, Left: traits.Uncounted}, Material: "steel"}
		s.Measurements = []stock.Measurement{
			stock.Measure(physics.Stated(physics.UnitWeight(w), physics.UnitWeight(uw)), "clip", time.Time{}, ""),
			stock.Measure(physics.Stated(physics.BendingStiffness(ei), physics.BendingStiffness(ue)), "clip", time.Time{}, ""),
			stock.Measure(physics.Stated(physics.Length(d), physics.Length(ud)), "micrometer", time.Time{}, ""),
		}
		if err := st.Add(t.Context(), s); err != nil {
			t.Fatal(err)
		}
	}
	return path
}

// The microphone tells it as a take does, and of each pluck on the way what it may be.
func TestIdentifiesLive(t *testing.T) {
	path := filepath.Join(t.TempDir(), "stock.db")
	var out, errs bytes.Buffer
	for _, s := range [][]string{{"A", "17.7g/m±0.5%"}, {"heavy A", "18.6g/m±0.5%"}} {
		if err := run(t.Context(), []string{"stock", "add", s[0], "--unit-weight", s[1], "--stock", path}, nil, &out, &errs); err != nil {
			t.Fatal(err)
		}
	}
	args := []string{"identify", "--stock", path, "--pull", "160N±0.5%", "--scale", "864mm"}
	stdout, stderr, code := runLive(t, t.Context(), &fakeMic{samples: twoPlucks(t), err: io.EOF}, args...)
	if code != codeDone || !strings.Contains(stderr, "can snap") {
		t.Errorf("exit code %d, %s", code, stderr)
	}
	for _, want := range []string{"pluck 1 at 0.5 s: A1", `most likely "A", `, `it is "A"`} {
		if !strings.Contains(stdout, want) {
			t.Errorf("standard output lacks %q:\n%s", want, stdout)
		}
	}
	stdout, _, _ = runLive(t, t.Context(), &fakeMic{samples: twoPlucks(t), err: io.EOF}, append(args, "--json", "--keep", "A")...)
	_, plucks, take := sounds(t, stdout)
	if len(plucks) < 1 || plucks[0]["unit_weight"] == nil || take["settled"] != true {
		t.Errorf("%v, %v", plucks, take)
	}
	st, err := stock.OpenToRead(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	if x, err := st.String(t.Context(), "A"); err != nil || len(x.Measurements) != 3 {
		t.Errorf("kept %+v, %v", x, err)
	}
}

// An answered is what the command said of a string.
type answered struct {
	is     int // of the make, -1 for none
	best   int // likewise
	said   float64
	copied bool // it is not the very string in stock
	heard  bool
}

// TestIdentifiesFromSound asks the command, told a clip's mass to 0.3 % and a diameter by a
// micrometer good to 0.01 mm, which of 120 strings 3 % apart was plucked once, in simulated
// sound. Half are the very strings in stock, half copies that differ from them; one in five
// is none of them. PLUCKWEIGH_TAKES sets how many are plucked.
func TestIdentifiesFromSound(t *testing.T) {
	onceOnly(t)
	const make = 120
	takes := 20
	if s := os.Getenv("PLUCKWEIGH_TAKES"); s != "" {
		var err error
		if takes, err = strconv.Atoi(s); err != nil {
			t.Fatal(err)
		}
	}
	path := stockOf(t, make, rand.New(rand.NewPCG(31, 32)))
	results := [2][]answered{}
	var wg sync.WaitGroup
	for w := range results {
		wg.Go(func() {
			for i := w; i < takes; i += len(results) {
				a, err := identifyOne(t, path, uint64(i), make)
				if err != nil {
					t.Errorf("take %d: %v", i, err)
					return
				}
				results[w] = append(results[w], a)
			}
		})
	}
	wg.Wait()
	var all tallied
	for _, a := range append(results[0], results[1]...) {
		all.add(a)
	}
	all.judge(t)
}

// identifyOne plucks a string and asks which it is.
func identifyOne(t *testing.T, path string, i uint64, make int) (answered, error) {
	r := rand.New(rand.NewPCG(i, 33))
	is, copies := -1, 0.0001
	if i/5%2 > 0 {
		copies = usualCopies
	}
	var of identifytest.Truth
	var p pluckOf
	for ok := false; !ok; {
		of = identifytest.OfAny(r)
		if i%5 > 0 {
			is = r.IntN(make)
			of = identifytest.OfMake(is).Copied(copies * r.NormFloat64())
		}
		var err error
		if p, ok, err = drawPluck(of, i, r); err != nil {
			return answered{}, err
		}
	}
	var out, errs bytes.Buffer
	args := append([]string{"identify", "--stock", path, "--copies", fmt.Sprintf("±%g%%", 100*copies), "--json", "-"}, p.args...)
	err := run(t.Context(), args, bytes.NewReader(p.sound), &out, &errs)
	a := answered{is: is, best: -1, copied: i/5%2 > 0}
	switch exitCode(err) {
	case codeUntrusted:
		t.Logf("take %d, string %d: refused: %v %s", i, is, err, errs.String())
		return a, nil
	case codeDone:
	default:
		return a, fmt.Errorf("%w, %s", err, errs.String())
	}
	a.heard = true
	var said struct {
		Candidates []candidateJSON `json:"candidates"`
		None       float64         `json:"none_probability"`
	}
	if err := json.Unmarshal(out.Bytes(), &said); err != nil {
		return a, err
	}
	a.said = said.None
	if c := said.Candidates; len(c) > 0 && *c[0].Probability > a.said {
		a.said = *c[0].Probability
		if a.best, err = strconv.Atoi(c[0].String); err != nil {
			return a, err
		}
	}
	if a.best != a.is {
		t.Logf("take %d: string %d, %s of %.3g g/m, taken for %d with %.3f", i, a.is, of.Kind, 1e3*of.Weight, a.best, a.said)
	}
	return a, nil
}

// tallied is how often answers were right.
type tallied struct {
	refused                  int
	very, copies             score
	others                   [2]score    // asked for among the very strings, and among copies
	claimed                  int         // of the others, taken for one in stock with 95 % or more
	n, said, rightly         [10]float64 // by what was said
	variance, total, overall float64
}

type score struct{ right, of int }

func (c *score) add(right bool) {
	c.of++
	if right {
		c.right++
	}
}

func (c score) String() string {
	return fmt.Sprintf("%d of %d, %.1f %%", c.right, c.of, 100*float64(c.right)/float64(c.of))
}

// add counts an answer. One in five strings is of no stock, as is taken beforehand.
func (c *tallied) add(a answered) {
	switch {
	case !a.heard:
		c.refused++
		return
	case a.is < 0:
		if a.copied {
			c.others[1].add(a.best < 0)
		} else {
			c.others[0].add(a.best < 0)
		}
		if a.best >= 0 && a.said >= identify.Surely {
			c.claimed++
		}
	case a.copied:
		c.copies.add(a.best == a.is)
	default:
		c.very.add(a.best == a.is)
	}
	bin := min(int(a.said*10), 9)
	c.n[bin]++
	c.said[bin] += a.said
	c.total++
	c.variance += a.said * (1 - a.said)
	c.overall += a.said
	if a.best == a.is {
		c.rightly[bin]++
		c.overall--
	}
}

// judge holds them to the goals, give or take what so few of them scatter by.
func (c *tallied) judge(t *testing.T) {
	t.Logf("%d refused; the right string first in %v of the very strings, %v of copies; a string of no stock recognised in %v, in %v where copies are asked for, in %d taken for one in stock with %g %% or more",
		c.refused, c.very, c.copies, c.others[0], c.others[1], c.claimed, 100*identify.Surely)
	reliability := 0.0
	for i, n := range c.n {
		if n > 0 {
			t.Logf("  said %.3f, right in %.3f of %.0f", c.said[i]/n, c.rightly[i]/n, n)
			reliability += math.Abs(c.said[i]-c.rightly[i]) / c.total
		}
	}
	t.Logf("reliability, mean |said - right|: %.2f %%; said %+.2f %% more than right as a whole", 100*reliability, 100*c.overall/c.total)
	below := func(what string, n score, goal float64) {
		if miss := 3 * math.Sqrt(goal*(1-goal)/float64(n.of)); float64(n.right)/float64(n.of) < goal-miss {
			t.Errorf("%s in %v", what, n)
		}
	}
	below("the right string is first", c.very, 0.984)
	below("the right string, a copy, is first", c.copies, 0.95)
	below("a string of no stock is recognised", c.others[0], 0.95)
	below("a string of no stock, not a copy of one, is recognised", c.others[1], 0.93) // none tells more than 95 % (TestLimitOfStrangers)
	if reliability > 0.03+3*math.Sqrt(c.variance)/c.total {
		t.Errorf("what is said is off by %.2f %%", 100*reliability)
	}
	if c.refused*20 > c.very.of+c.copies.of+c.others[0].of+c.others[1].of {
		t.Errorf("%d are refused", c.refused)
	}
}
