package main

import (
	"strconv"
	"strings"

	"pluckweigh/physics"
)

// An amount is a flag that takes a number with a unit and no tolerance.
type amount[Q physics.Quantity] struct {
	value Q
	text  string // empty for not given
}

func (v *amount[Q]) Set(s string) (err error) {
	v.value, err = physics.Parse[Q](s)
	v.text = s
	return err
}

func (v *amount[Q]) String() string { return v.text }
func (v *amount[Q]) Type() string   { return "quantity" }

// forces is a flag that takes forces, parted by sep.
type forces struct {
	all  []physics.Force
	text string
	sep  string
}

func (v *forces) Set(s string) error {
	v.all, v.text = nil, s
	for _, part := range strings.Split(s, v.sep) {
		f, err := physics.Parse[physics.Force](strings.TrimSpace(part))
		if err != nil {
			return err
		}
		v.all = append(v.all, f)
	}
	return nil
}

func (v *forces) String() string { return v.text }
func (v *forces) Type() string   { return "force" + v.sep + "..." }

// whichPositions is a flag that takes numbers of positions, like 1,2 or 3-6.
type whichPositions struct {
	all  []int // from 1 on
	text string
}

func (v *whichPositions) Set(s string) error {
	v.all, v.text = nil, s
	for _, part := range strings.Split(s, ",") {
		from, to, isRange := strings.Cut(part, "-")
		if !isRange {
			to = from
		}
		a, errA := strconv.Atoi(strings.TrimSpace(from))
		b, errB := strconv.Atoi(strings.TrimSpace(to))
		if errA != nil || errB != nil || a < 1 || b < a || b > 1000 {
			return &physics.InputError{What: "position", Text: part, Why: "is not a number of one, nor a range", Fix: "write them like 1,2 or 3-6"}
		}
		for ; a <= b; a++ {
			v.all = append(v.all, a)
		}
	}
	return nil
}

func (v *whichPositions) String() string { return v.text }
func (v *whichPositions) Type() string   { return "positions" }
