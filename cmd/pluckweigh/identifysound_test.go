package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
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
