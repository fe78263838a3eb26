package stock

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

func exported(t testing.TB, s *Store) string {
	t.Helper()
	var b bytes.Buffer
	if err := s.Export(context.Background(), &b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// imported takes a list into the stock and returns what is wrong with which lines.
func imported(t testing.TB, s *Store, list string, dry bool) (Imported, map[int]error) {
	t.Helper()
	odd := map[int]error{}
	n, err := s.Import(context.Background(), strings.NewReader(list), dry, func(line int, err error) { odd[line] = err })
	if err != nil {
		t.Fatal(err)
	}
	return n, odd
}

func TestImport(t *testing.T) {
	s := newStore(t)
	const list = "\ufeffname,kind,unit weight (lb/in),outside diameter (in),left,material\n" +
		"E,wound,0.00103,0.046,3,steel\n" +
		"A,wund,0.0007,0.036,,\n" +
		"D,plain,,0.026,1,\n" +
		"\"G\nh\",plain,,,,\n" +
		"B,plain,18,,,\n" +
		"C,plain,,0.5mm,,\n" +
		"F,plain,,0.5mm,,,7\n" +
		"H,plain,\"x\"y,,,\n" +
		",plain,,,,\n" +
		"E,wound,0.00104,,3,\n" +
		"E,plain,,,,\n" +
		"E,,,,-1,\n" +
		"E,,,,,gold\n"
	for _, dry := range []bool{true, false} {
		n, odd := imported(t, s, list, dry)
		if want := (Imported{Lines: 13, Bad: 9, Strings: 3, Measurements: 5}); n != want {
			t.Errorf("%+v, not %+v: %v", n, want, odd)
		}
		for _, line := range []int{3, 5, 7, 9, 10, 11, 13, 14, 15} {
			if odd[line] == nil {
				t.Errorf("line %d was taken; %v", line, odd)
			}
		}
		all, err := s.Strings(t.Context())
		if err != nil || len(all) != map[bool]int{true: 0, false: 3}[dry] {
			t.Errorf("dry %v: %+v, %v", dry, all, err)
		}
	}
	e, err := s.String(t.Context(), "E")
	if err != nil || e.Left != 3 || e.Material != "music wire" || e.WeightAgreement.N != 2 || !e.UnitWeight.Assumed ||
		e.Outside.Value != 0.046*physics.Inch {
		t.Errorf("%+v, %v", e, err)
	}
	if n, _ := imported(t, s, list, false); n.Strings != 0 || n.Measurements != 0 {
		t.Errorf("taken twice: %+v", n)
	}
	if n, odd := imported(t, s, "name;label;u of unit weight (g/m);unit weight (g/m)\nK;a, b;0.1;18\n", false); n.Strings != 1 || n.Bad != 0 {
		t.Errorf("semicolons: %+v, %v", n, odd)
	}
	for _, bad := range []string{"", "\n", "kind\nplain\n", "name,unit weight\n", "name,unit weight (mm)\n", "name,name\n", "name,weight (g/m)\n", "name (m)\n", "\"name\n"} {
		if n, err := s.Import(t.Context(), strings.NewReader(bad), false, nil); err == nil {
			t.Errorf("%q: %+v", bad, n)
		}
	}
}

// What is written is read back to the same, whatever a string is.
func FuzzRoundTrip(f *testing.F) {
	f.Add("E 46", "046, \"new\"; old", "clip", `{"f0_hz":55,"take":"a;b"}`, 0.01834, 5e-5, 1.17e-3, 7.6e-4, 3.7, int64(1772600767), 3, true)
	f.Add("=1", "", "x", "", 1e-5, 1e-300, 0.1+0.2, 1e-9, 0.0, int64(0), -1, false)
	f.Add(`\.`, " a ", " ", "é", 0.3, 0.1, 9.999999999999999e-3, 123456.789, math.MaxFloat64, int64(-1), math.MaxInt32, true)
	f.Fuzz(func(t *testing.T, name, label, route, reading string, weight, u, mm, ei, dof float64, made int64, left int, assumed bool) {
		x := String{String: traits.String{Name: name, Left: left, Kind: traits.Wound}, Label: label}
		for _, m := range []Measurement{
			{Property: UnitWeight, Value: weight, U: u}, {Property: Outside, Value: mm, U: mm / 3}, {Property: Stiffness, Value: ei, U: ei / 7},
		} {
			m.Route, m.Reading, m.DoF, m.Assumed = route, reading, dof, assumed
			if made != 0 {
				m.Made = time.Unix(made, 0).UTC()
			}
			x.Measurements = append(x.Measurements, m)
		}
		if x.Check() != nil {
			return // no string
		}
		var b bytes.Buffer
		l, err := newListWriter(&b, &stringForm)
		if err != nil {
			t.Fatal(err)
		}
		if err := errors.Join(l.writeString(x), l.close()); err != nil {
			t.Fatal(err)
		}
		back, err := csv.NewReader(&b).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		h, err := parseHead(back[0])
		if err != nil {
			t.Fatal(err)
		}
		for i, m := range x.Measurements {
			got, err := h.parseString(back[1+i])
			want := x
			want.Measurements = []Measurement{m}
			if err != nil || !reflect.DeepEqual(got, want) {
				t.Errorf("%q: %+v, %v, not\n%+v", back[1+i], got, err, want)
			}
		}
	})
}

func TestRoundTrip(t *testing.T) {
	ctx, a, b := t.Context(), newStore(t), newStore(t)
	for i := range 30 {
		u := 1 / float64(7+i)
		x := String{String: traits.String{Name: fmt.Sprintf("n, %d \"é\"", i), Left: i - 1, Kind: traits.Wound}, Label: " l ", Material: "gut", Measurements: []Measurement{
			weighed(10*u, u/3, "clip"), weighed(11*u, u/3, "pull"), thick(3*u, u/7),
		}}
		x.Measurements[1].SetAside = "wrong"
		x.Measurements[2].DoF, x.Measurements[2].Assumed, x.Measurements[2].Made = u, true, time.Time{}
		if err := a.Add(ctx, x); err != nil {
			t.Fatal(err)
		}
	}
	if err := a.Add(ctx, named("bare")); err != nil {
		t.Fatal(err)
	}
	list := exported(t, a)
	if n, odd := imported(t, b, list, false); n.Strings != 31 || n.Measurements != 90 || len(odd) > 0 {
		t.Fatalf("%+v, %v\n%s", n, odd, list)
	}
	if again := exported(t, b); again != list {
		t.Errorf("%s, not\n%s", again, list)
	}
	x, errX := a.Strings(ctx)
	y, errY := b.Strings(ctx)
	for _, all := range [][]String{x, y} {
		for _, s := range all {
			for i := range s.Measurements {
				s.Measurements[i].ID = 0
			}
		}
	}
	if errX != nil || errY != nil || !reflect.DeepEqual(x, y) {
		t.Errorf("%+v, %v, not\n%+v, %v", y, errY, x, errX)
	}
}

// A list that is given up midway changes nothing.
func TestImportIsGivenUp(t *testing.T) {
	s := newStore(t)
	ctx, stop := context.WithCancel(t.Context())
	list := many(5000) + "x,odd,,,,,,\n" + many(100)[len("name"):] // what is bad comes late
	_, err := s.Import(ctx, strings.NewReader(list), false, func(int, error) { stop() })
	if !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
	if all, err := s.Strings(t.Context()); err != nil || len(all) != 0 {
		t.Errorf("%d strings, %v", len(all), err)
	}
}

// many is a list of so many strings.
func many(n int) string {
	var b strings.Builder
	b.WriteString("name,kind,left,unit weight (g/m),u of unit weight (g/m),outside diameter (mm),u of outside diameter (mm),route\n")
	for i := range n {
		w := 0.4 * math.Pow(50, float64(i)/float64(n))
		fmt.Fprintf(&b, "string %d,plain,3,%.6g,%.4g,%.5g,0.003,clip\n", i, w, w/500, math.Sqrt(w)*0.4)
	}
	return b.String()
}

func BenchmarkImport(b *testing.B) {
	for _, n := range []int{1000, 100000} {
		list := many(n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				s := newStore(b)
				if n, odd := imported(b, s, list, false); n.Bad > 0 {
					b.Fatal(odd)
				}
				s.Close()
			}
		})
	}
}

func BenchmarkStrings1000(b *testing.B) {
	s := newStore(b)
	imported(b, s, many(1000), false)
	for b.Loop() {
		if all, err := s.Strings(b.Context()); err != nil || len(all) != 1000 {
			b.Fatal(len(all), err)
		}
	}
}

func BenchmarkExport1000(b *testing.B) {
	s := newStore(b)
	imported(b, s, many(1000), false)
	for b.Loop() {
		exported(b, s)
	}
}

func BenchmarkKeep1000(b *testing.B) {
	s := newStore(b)
	imported(b, s, many(1000), false)
	i := 0
	for b.Loop() {
		i++
		if _, _, err := s.Keep(b.Context(), kept("string 500", weighed(2.8+float64(i)*1e-9, 0.01, "clip"))); err != nil {
			b.Fatal(err)
		}
		if i%50 == 0 { // the string stays one of few measurements
			s.db.Exec("DELETE FROM measurements WHERE route = 'clip' AND made <> ''")
		}
	}
}
