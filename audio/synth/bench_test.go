package synth

import "testing"

// BenchmarkRender makes the standard take: 3 s at 48 kHz of 40 partials.
func BenchmarkRender(b *testing.B) {
	base := take(FromPitch(55, 1e-4))
	base.Seconds, base.MaxPartials = 3, 40
	for _, c := range []struct {
		name   string
		change func(*Take)
	}{
		{"plain", func(*Take) {}},
		{"glide", func(k *Take) { k.Plucks = []Pluck{{At: 0.1, Height: 0.002, Point: 0.17, GlideCents: 5}} }},
		{"white", func(k *Take) { k.Noise = []Noise{{DB: 30}} }},
		{"pink", func(k *Take) { k.Noise = []Noise{{Color: Pink, DB: 30}} }},
	} {
		k := base
		c.change(&k)
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				render(b, k)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*k.samples()), "ns/sample")
		})
	}
}

// BenchmarkSlow is the obvious way to the same samples, for comparison.
func BenchmarkSlow(b *testing.B) {
	k := take(FromPitch(55, 1e-4))
	k.Seconds, k.MaxPartials = 0.3, 40
	x, truth := render(b, k)
	for b.Loop() {
		for i := range x {
			x[i] = slow(truth.Plucks[0], k.Rate, i)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(x)), "ns/sample")
}
