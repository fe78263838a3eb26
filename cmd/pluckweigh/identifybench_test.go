package main

import (
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pluckweigh/stock"
	"pluckweigh/stock/identify"
)

// BenchmarkIdentify reads stocks of some sizes, and tells from unit weight and diameter which
// of the strings one is: reading by itself, and the whole command.
func BenchmarkIdentify(b *testing.B) {
	for _, n := range []int{100, 10_000, 100_000} {
		dir := b.TempDir()
		list, path := filepath.Join(dir, "list.csv"), filepath.Join(dir, "stock.db")
		var lines strings.Builder
		lines.WriteString("name,kind,unit weight (g/m),u of unit weight (g/m),outside diameter (mm),u of outside diameter (mm)\n")
		for i := range n {
			w := 0.3 * math.Pow(70, float64(i)/float64(n))
			fmt.Fprintf(&lines, "%d,,%.6g,%.4g,%.5g,0.003\n", i, w, w/300, math.Sqrt(w)*0.42)
		}
		if err := os.WriteFile(list, []byte(lines.String()), 0o600); err != nil {
			b.Fatal(err)
		}
		if err := run(b.Context(), []string{"stock", "import", list, "--stock", path}, nil, io.Discard, io.Discard); err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprintf("read/%d", n), func(b *testing.B) {
			for b.Loop() {
				var s stocked
				file := stockFile{path}
				if err := file.read(b.Context(), func(st *stock.Store) error { return s.read(b.Context(), st, identify.Known) }); err != nil || len(s.strings) != n {
					b.Fatal(len(s.strings), err)
				}
			}
		})
		b.Run(fmt.Sprintf("command/%d", n), func(b *testing.B) {
			for b.Loop() {
				if err := run(b.Context(), []string{"identify", "--unit-weight", "3g/m±0.5%", "--gauge", "0.727mm", "--stock", path}, nil, io.Discard, io.Discard); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
