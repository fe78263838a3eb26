package calib

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"

	"pluckweigh/physics"
)

// A chain is a simulated recorder: it has samples ready block by block, and hands
// each over after a delay.
type chain struct {
	ppm, rate float64
	block     int
	seconds   float64
	jitter    jitter
}

// A jitter makes the delays, in seconds, of blocks that are ready at the times
// given.
type jitter func(r *rand.Rand, ready []float64) []float64

func (c chain) ticks(r *rand.Rand) []Tick {
	true := c.rate * (1 + c.ppm*1e-6)
	var ready []float64
	phase := r.Float64()
	for i := 1; ; i++ {
		at := (float64(i) + phase) * float64(c.block) / true
		if at > c.seconds {
			break
		}
		ready = append(ready, at)
	}
	late := c.jitter(r, ready)
	var out []Tick
	last := 0.0
	for i, at := range ready {
		last = max(last, at+late[i]) // in order, as a queue is
		out = append(out, Tick{Samples: int64((i + 1) * c.block), Seconds: last})
	}
	return out
}

var jitters = map[string]jitter{
	"exponential": func(r *rand.Rand, ready []float64) []float64 {
		d := make([]float64, len(ready))
		for i := range d {
			d[i] = 0.002 * r.ExpFloat64()
		}
		return d
	},
	"uniform, as of a poll": func(r *rand.Rand, ready []float64) []float64 {
		d := make([]float64, len(ready))
		for i := range d {
			d[i] = 0.01 * r.Float64()
		}
		return d
	},
	"autocorrelated": func(r *rand.Rand, ready []float64) []float64 {
		d, tau := make([]float64, len(ready)), math.Exp(r.Float64()*math.Log(100)-math.Log(10)) // 0.1 to 10 s
		v := r.NormFloat64()
		for i := range d {
			if i > 0 {
				k := math.Exp(-(ready[i] - ready[i-1]) / tau)
				v = k*v + math.Sqrt(1-k*k)*r.NormFloat64()
			}
			d[i] = 0.0005 * math.Exp(v)
		}
		return d
	},
	"bursts": func(r *rand.Rand, ready []float64) []float64 {
		d := make([]float64, len(ready))
		busy, until := 0.0, 0.0
		for i := range d {
			if ready[i] > until {
				busy = 0
				until = ready[i] + 10*r.ExpFloat64()
				if r.Float64() < 0.3 {
					busy, until = 0.02*r.Float64(), ready[i]+8*r.Float64()
				}
			}
			d[i] = busy + 0.001*r.ExpFloat64()
		}
		return d
	},
	"timer": func(r *rand.Rand, ready []float64) []float64 {
		d := make([]float64, len(ready))
		wake := 0.0
		for i := range d {
			for wake < ready[i] {
				wake += 0.02 + 0.005*r.Float64()
			}
			d[i] = wake - ready[i]
		}
		return d
	},
}

// Three minutes of jittery callbacks from a recorder up to 200 ppm off, against a
// system clock that is off itself, with a least delay that wanders.
func TestCount(t *testing.T) {
	const runs, ref = 60, 0.5
	sizes := []int{128, 256, 480, 512, 1024, 2048}
	rates := []float64{44100, 48000, 96000}
	all, hit := 0, 0
	for name, j := range jitters {
		r := rand.New(rand.NewPCG(1, 2))
		var errs []float64 // of counting alone, ppm
		alone := 0
		for range runs {
			c := chain{ppm: 400*r.Float64() - 200, rate: rates[r.IntN(3)], block: sizes[r.IntN(6)], seconds: 180, jitter: j}
			ticks := c.ticks(r)
			x, late := lateness(unbroken(ticks), c.rate)
			l, err := envelope(x, late)
			if err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			e := math.Abs(-l.slope/(1+l.slope)*1e6 - c.ppm)
			errs = append(errs, e)
			if e <= 2*l.u*1e6 {
				alone++
			}
			slow, drift := ref*r.NormFloat64()*1e-6, wander/179*r.NormFloat64()
			for i := range ticks {
				ticks[i].Seconds *= 1 + slow + drift
			}
			got, err := Count(ticks, c.rate, Reference{U: ref})
			if err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			all++
			if math.Abs(got.PPM-c.ppm) <= 2*got.U {
				hit++
			}
		}
		slices.Sort(errs)
		p95 := errs[len(errs)*95/100]
		t.Logf("%-22s median %.3f ppm, 95 %% %.3f, most %.3f; within U of the scatter %d of %d",
			name, errs[len(errs)/2], p95, errs[len(errs)-1], alone, runs)
		if p95 > 2 {
			t.Errorf("%s: 95 %% of errors within %.3f ppm, want 2", name, p95)
		}
		if alone < runs*9/10 {
			t.Errorf("%s: within U of the scatter alone %d of %d", name, alone, runs)
		}
	}
	t.Logf("within U %d of %d", hit, all)
	if float64(hit) < 0.93*float64(all) {
		t.Errorf("within U %d of %d, want 95 %%", hit, all)
	}
}

// Without delays that are one-sided the line is that of least squares, and its
// uncertainty nearly: the median of slopes has 3/π of its efficiency.
func TestTheilSenAgainstLeastSquares(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	const n, runs = 30, 400
	var ratio, ours, theirs float64
	inside := 0
	for range runs {
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i] = float64(i)
			y[i] = 0.5*x[i] + r.NormFloat64()
		}
		l := theilSen(x, y)
		_, slope := stat.LinearRegression(x, y, nil, false)
		ours += (l.slope - 0.5) * (l.slope - 0.5)
		theirs += (slope - 0.5) * (slope - 0.5)
		ratio += l.u / math.Sqrt(12/(n*(n*n-1.0))) / runs
		if math.Abs(l.slope-0.5) < 2*l.u {
			inside++
		}
	}
	if e := theirs / ours; e < 0.85 || e > 1.02 {
		t.Errorf("efficiency %.3f of least squares, want about 3/π", e)
	}
	if ratio < 0.95 || ratio > 1.25 {
		t.Errorf("u is %.3f times that of least squares", ratio)
	}
	if p := float64(inside) / runs; p < 0.93 || p > 0.99 {
		t.Errorf("within 2u %.3f", p)
	}
	t.Logf("efficiency %.3f, u %.3f times, within 2u %.3f", theirs/ours, ratio, float64(inside)/runs)
}

// steady is ticks of a recorder without jitter to speak of.
func steady(ppm, seconds float64) []Tick {
	c := chain{ppm: ppm, rate: 48000, block: 480, seconds: seconds, jitter: jitters["exponential"]}
	return c.ticks(rand.New(rand.NewPCG(5, 6)))
}

func TestCountLosses(t *testing.T) {
	lossy := steady(80, 100)
	for i := range lossy {
		if i >= 3000 { // 30 s
			lossy[i].Samples -= 700
		}
	}
	lossy[3000].Gap = true
	got, err := Count(lossy, 48000, Reference{})
	if err != nil || math.Abs(got.PPM-80) > 2*got.U {
		t.Errorf("after a loss that was noticed: %+v, %v", got, err)
	}
	var input *physics.InputError
	if got, err := Count(steady(80, 100), 48000, Reference{U: 70}); !errors.As(err, &input) || got != (Clock{}) {
		t.Errorf("against a clock that is itself unknown: %+v, %v", got, err)
	}
	short := steady(80, 15)
	short[750].Gap = true
	unseen := steady(80, 100)
	for i := range unseen {
		if i >= 5000 {
			unseen[i].Samples -= 4800
		}
	}
	var few []Tick
	for i := 0; i < 100; i += 10 {
		few = append(few, Tick{Samples: int64(48000 * i), Seconds: float64(i)})
	}
	for name, c := range map[string]struct {
		ticks []Tick
		rate  float64
	}{
		"none":             {nil, 48000},
		"one":              {steady(0, 100)[:1], 48000},
		"too short":        {steady(0, 8), 48000},
		"short by loss":    {short, 48000},
		"lost unseen":      {unseen, 48000},
		"few moments":      {few, 48000},
		"another rate":     {steady(0, 100), 44100},
		"no rate":          {steady(0, 100), 0},
		"rate no number":   {steady(0, 100), math.NaN()},
		"no time at all":   {make([]Tick, 5000), 48000},
		"time no number":   {[]Tick{{0, 0, false}, {1, math.NaN(), false}}, 48000},
		"time going wrong": {[]Tick{{0, 0, false}, {1, math.Inf(1), false}}, 48000},
	} {
		got, err := Count(c.ticks, c.rate, Reference{})
		var input *physics.InputError
		if !errors.As(err, &input) || got != (Clock{}) {
			t.Errorf("%s: %+v, %v", name, got, err)
		}
	}
}
