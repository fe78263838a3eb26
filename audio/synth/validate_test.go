package synth

import (
	"math"
	"strings"
	"testing"
)

func TestValidate(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for name, c := range map[string]struct {
		change func(*Take)
		say    string
	}{
		"rate 0":             {func(k *Take) { k.Rate = 0 }, "rate"},
		"rate negative":      {func(k *Take) { k.Rate = -48000 }, "rate"},
		"rate NaN":           {func(k *Take) { k.Rate = nan }, "rate"},
		"rate infinite":      {func(k *Take) { k.Rate = inf }, "rate"},
		"no time":            {func(k *Take) { k.Seconds = 0 }, "seconds"},
		"a day":              {func(k *Take) { k.Seconds = 86400 }, "seconds"},
		"length":             {func(k *Take) { k.String.Length = -1 }, "length"},
		"length NaN":         {func(k *Take) { k.String.Length = nan }, "length"},
		"tension":            {func(k *Take) { k.String.Tension = 0 }, "tension"},
		"unit weight":        {func(k *Take) { k.String.UnitWeight = inf }, "unit weight"},
		"stiffness":          {func(k *Take) { k.String.Stiffness = -1 }, "stiffness"},
		"a bar":              {func(k *Take) { k.String.Stiffness = 1e9 }, "inharmonicity"},
		"axial":              {func(k *Take) { k.String.AxialStiffness = nan }, "axial"},
		"all stretch":        {func(k *Take) { k.String.AxialStiffness = 1e12 }, "glide"},
		"growing":            {func(k *Take) { k.String.Decay.Base = -1 }, "decay"},
		"growing with pitch": {func(k *Take) { k.String.Decay.Rise = nan }, "decay"},
		"share":              {func(k *Take) { k.String.Second.Share = -0.1 }, "share"},
		"split":              {func(k *Take) { k.String.Second.Cents = nan }, "cents"},
		"uneven":             {func(k *Take) { k.String.Uneven = -1 }, "uneven"},
		"clip mass":          {func(k *Take) { k.String.Clip = Clip{-1e-3, 0.5} }, "clip's mass"},
		"clip at the nut":    {func(k *Take) { k.String.Clip = Clip{1e-4, 1} }, "clip must sit"},
		"clip NaN":           {func(k *Take) { k.String.Clip = Clip{1e-4, nan} }, "clip must sit"},
		"before":             {func(k *Take) { k.Plucks[0].At = -0.1 }, "within the take"},
		"at the end":         {func(k *Take) { k.Plucks[0].At = k.Seconds }, "within the take"},
		"past the last":      {func(k *Take) { k.Plucks[0].At = k.Seconds - 1e-9 }, "within the take"},
		"at NaN":             {func(k *Take) { k.Plucks[0].At = nan }, "within the take"},
		"not drawn":          {func(k *Take) { k.Plucks[0].Height = 0 }, "height"},
		"drawn too far":      {func(k *Take) { k.Plucks[0].Height = 10 }, "height"},
		"at the nut":         {func(k *Take) { k.Plucks[0].Point = 0 }, "point"},
		"off the string":     {func(k *Take) { k.Plucks[0].Point = 1.2 }, "point"},
		"width":              {func(k *Take) { k.Plucks[0].Width = 2 }, "width"},
		"glide":              {func(k *Take) { k.Plucks[0].GlideCents = nan }, "glide"},
		"order":              {func(k *Take) { k.Plucks = append(k.Plucks, k.Plucks[0]) }, "after"},
		"pickup":             {func(k *Take) { k.Pickup.At = 0 }, "pickup"},
		"pickup NaN":         {func(k *Take) { k.Pickup.At = nan }, "pickup"},
		"pickup kind":        {func(k *Take) { k.Pickup.Senses = 7 }, "pickup"},
		"level":              {func(k *Take) { k.Level = nan }, "level"},
		"most":               {func(k *Take) { k.MaxPartials = -1 }, "partials"},
		"ramp":               {func(k *Take) { k.Ramp = 1e9 }, "ramp"},
		"damp":               {func(k *Take) { k.Damp = -1 }, "damp"},
		"attack":             {func(k *Take) { k.Attack.Seconds = -1 }, "attack"},
		"high-pass order":    {func(k *Take) { k.HighPass = HighPass{80, -2} }, "order"},
		"high-pass corner":   {func(k *Take) { k.HighPass = HighPass{24000, 2} }, "corner"},
		"hum":                {func(k *Take) { k.Hum = Hum{0, -40, 3} }, "hum"},
		"noise":              {func(k *Take) { k.Noise = []Noise{{DB: nan}} }, "noise 1"},
		"noise color":        {func(k *Take) { k.Noise = []Noise{{Color: 9}} }, "color"},
		"noise reference":    {func(k *Take) { k.Noise = []Noise{{Reference: -1}} }, "reference"},
		"noise over nothing": {func(k *Take) { k.Plucks, k.Noise = nil, []Noise{{DB: 20}} }, "not heard"},
		"stopped at once":    {func(k *Take) { k.Damp, k.Noise = k.Plucks[0].At+1e-9, []Noise{{DB: 20}} }, "not heard"},
		"clip":               {func(k *Take) { k.Clip = -1 }, "clip"},
		"bits":               {func(k *Take) { k.Bits = 64 }, "bits"},
		"neighbour":          {func(k *Take) { k.Neighbors = []Neighbor{{}} }, "neighbor 1"},
		"silent": {func(k *Take) {
			k.Pickup.At, k.Omit, k.MaxPartials = 0.5, []int{1, 3}, 4
		}, "silent"},
		"silent neighbour": {func(k *Take) {
			n := Neighbor{String: FromPitch(40000, 0), Pluck: k.Plucks[0]}
			k.Neighbors = []Neighbor{n}
		}, "silent"},
	} {
		k := take(guitarA())
		c.change(&k)
		x, _, err := k.Render()
		if err == nil || x != nil {
			t.Errorf("%s: no error", name)
			continue
		}
		if c.say == "silent" {
			c.say = "reaches the pickup"
		}
		if !strings.Contains(err.Error(), c.say) {
			t.Errorf("%s: error %q does not speak of %q", name, err, c.say)
		}
		if s, err := k.Source(); err == nil || s != nil {
			t.Errorf("%s: a source all the same", name)
		}
	}
}

func TestValidateTellsAll(t *testing.T) {
	err := Take{}.Validate()
	for _, want := range []string{"rate", "length", "tension", "unit weight", "pickup"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("the empty take's error does not speak of %s: %v", want, err)
		}
	}
}

// FuzzRender wants samples that are finite, or an error, whatever is asked for.
func FuzzRender(f *testing.F) {
	f.Add(110.0, 1e-4, 0.1, 0.002, 0.2, 0.1, 0.0, 0.0, 80.0, 30.0, uint8(0))
	f.Add(41.2, 0.0, 0.0, 0.02, 0.5, 0.5, 100.0, 500.0, 10.0, -10.0, uint8(255))
	f.Add(1e3, 0.9, 0.049, 1e-9, 1e-300, 1-1e-16, -1200.0, -1e4, 1999.0, 300.0, uint8(37))
	f.Add(math.NaN(), math.Inf(1), -1.0, 0.0, 2.0, 3.0, 1e300, -1e300, 0.0, 1e9, uint8(1))
	f.Fuzz(func(t *testing.T, f0, b, at, height, point, pickup, glide, ramp, corner, db float64, flags uint8) {
		k := Take{
			String: FromPitch(f0, b),
			Plucks: []Pluck{{At: at, Height: height, Point: point, GlideCents: glide, Circular: flags&1 != 0}},
			Pickup: Pickup{Quantity(flags % 3), pickup},
			Rate:   4000, Seconds: 0.05, MaxPartials: 100, Level: db, Ramp: ramp,
			HighPass: HighPass{corner, int(flags >> 4)},
			Noise:    []Noise{{Color: Color(flags >> 2 % 4), DB: db}},
			Damp:     math.Abs(at) * 1.1, Clip: math.Abs(height), Bits: int(flags % 53),
			Seed: uint64(flags),
		}
		k.String.AxialStiffness, k.String.Uneven = math.Abs(glide)*1000, math.Abs(ramp)/100
		x, truth, err := k.Render()
		if err != nil {
			return
		}
		for i, v := range x {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("sample %d is %g of %+v", i, v, k)
			}
		}
		for _, q := range truth.Plucks[0].Partials {
			if !(q.Amp >= 0 && q.Freq > 0 && q.Decay >= 0) || math.IsInf(q.Amp*q.Freq*q.Decay, 0) || math.IsNaN(q.Phase) {
				t.Fatalf("partial %+v of %+v", q, k)
			}
		}
	})
}
