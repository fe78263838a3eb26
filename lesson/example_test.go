package lesson_test

import (
	"fmt"

	"pluckweigh/lesson"
)

func ExampleLesson_Judge() {
	l, err := lesson.Named("length")
	if err != nil {
		panic(err)
	}
	var points []lesson.Point
	for _, m := range [][2]string{{"650mm", "82.41Hz"}, {"600mm", "89.25Hz"}, {"500mm", "107.1Hz"}, {"400mm", "133.9Hz"}, {"330mm", "162.2Hz"}} {
		x, err := l.X[0].Parse(m[0])
		if err != nil {
			panic(err)
		}
		y, err := l.Y.Parse(m[1])
		if err != nil {
			panic(err)
		}
		p, err := l.Typed([]lesson.Value{x}, y, "by hand")
		if err != nil {
			panic(err)
		}
		points = append(points, p)
	}
	o := l.Judge(points, nil)
	fmt.Println(o.Verdict)
	fmt.Println(o.Findings[0].Name, o.Findings[0].Text())
	// Output:
	// agrees
	// exponent of 1/L 0.9993 ± 0.0023 (95 %, k = 1.97)
}
