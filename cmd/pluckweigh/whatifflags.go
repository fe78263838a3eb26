package main

import (
	"strings"

	"pluckweigh/physics"
)

// pitches is a flag that takes a note or a frequency, and may be repeated.
type pitches []pitch

func (v *pitches) Set(s string) error {
	var p pitch
	if err := p.Set(s); err != nil {
		return err
	}
	*v = append(*v, p)
	return nil
}

func (v *pitches) String() string {
	var all []string
	for _, p := range *v {
		all = append(all, p.text)
	}
	return strings.Join(all, " ")
}
func (v *pitches) Type() string { return "note" }

// pulls is a flag that takes a pull, and may be repeated.
type pulls []load

func (v *pulls) Set(s string) error {
	q := load{role: physics.Pull}
	if err := q.Set(s); err != nil {
		return err
	}
	*v = append(*v, q)
	return nil
}

func (v *pulls) String() string {
	var all []string
	for _, q := range *v {
		all = append(all, q.text)
	}
	return strings.Join(all, " ")
}
func (v *pulls) Type() string { return "quantity" }

// frame is a flag that says how an instrument's frame expands.
type frame struct {
	physics.Measured[physics.Expansion]
	text string
}

func (v *frame) Set(s string) (err error) {
	f := frame{text: s}
	if f.Measured, err = physics.ParseFrame(s); err == nil {
		*v = f
	}
	return err
}

func (v *frame) String() string { return v.text }

// said is the frame in the words of a title.
func (v frame) said() string {
	switch v.text {
	case "", "rigid":
		return "on a rigid frame"
	case "wood":
		return "on a frame of wood"
	}
	return "on a frame of " + v.Expanded(1)
}
func (v *frame) Type() string { return "frame" }
