package identify

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// BenchmarkAnswer asks stocks of some sizes for a string in the midst of them, by what
// a clip and a micrometer tell, and more roughly. In a stock said to be measured all strings
// are known by unit weight, diameter and stiffness, in one labelled by their unit weight
// and diameter, and in a mixed one, as random tests draw it, not all of that is known.
func BenchmarkAnswer(b *testing.B) {
	for _, n := range []int{100, 1000, 10_000, 100_000} {
		r := rand.New(rand.NewPCG(1, 1))
		mixed, real := stock(n, 2e-4, 2e-2, r)
		measured, labelled := make([]traits.String, n), make([]traits.String, n)
		for i, tr := range real {
			s := traits.String{Name: mixed[i].Name, Kind: tr.kind, UnitWeight: mixed[i].UnitWeight, Outside: stated[physics.Length](tr.outside, 0.005, r)}
			labelled[i] = s
			s.Stiffness = stated[physics.BendingStiffness](tr.stiff, 0.05, r)
			measured[i] = s
		}
		tr := real[n/2]
		clip := physics.Evidence{UnitWeight: stated[physics.UnitWeight](tr.weight, 0.005, r), Stiffness: stated[physics.BendingStiffness](tr.stiff, 0.05, r)}
		both := clip
		both.Outside = physics.Gauge.Assume(physics.Length(tr.outside))
		rough := physics.Evidence{UnitWeight: stated[physics.UnitWeight](tr.weight, 0.03, r), Outside: both.Outside}
		for _, c := range []struct {
			name    string
			strings []traits.String
			e       physics.Evidence
		}{
			{"measured/clip+micrometer", measured, both},
			{"labelled/clip", labelled, clip},
			{"labelled/clip+micrometer", labelled, both},
			{"mixed/clip+micrometer", mixed, both},
			{"mixed/rough+micrometer", mixed, rough},
			{"mixed/micrometer", mixed, physics.Evidence{Outside: both.Outside}},
		} {
			b.Run(fmt.Sprintf("%s/%d", c.name, n), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					must(Question{Evidence: c.e, Strings: c.strings}.Answer())
				}
			})
		}
	}
}
