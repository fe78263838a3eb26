package main

import (
	"fmt"
	"math"

	"pluckweigh/cmd/internal/chart"
	"pluckweigh/physics"
)

// chart lays the course out, from the readings before an event to what is to come.
func (a *settled) chart() chart.Course {
	course := a.course
	all := course.Readings
	begin, last := all[0].At, all[len(all)-1].At
	// What is to come is shown for as long as asked for, but not so that what was is lost.
	end := last + min(a.forecast.Ahead, max(course.Span(), 1))
	if a.forecast.TooShort {
		end = last
	}
	unit, name := 1.0, "s"
	switch span := end; {
	case span > 3*86400:
		unit, name = 86400, "d"
	case span > 3*3600:
		unit, name = 3600, "h"
	case span > 180:
		unit, name = 60, "min"
	}
	since := "time"
	if a.readings[0].when.Dated() {
		since = "time since " + a.moment(0)
	}
	c := chart.Course{
		Title: fmt.Sprintf("Within %s: %s", wished(a.forecast), verdict(a.forecast)),
		X:     fmt.Sprintf("%s (%s)", since, name), Y: fmt.Sprintf("cents above %s", a.note.Name()),
		K: physics.Coverage, From: begin / unit, To: end / unit, Ahead: last / unit, Mark: math.NaN(),
		Law: func(x float64) (float64, float64) { e := course.At(x * unit); return e.Value, e.U },
	}
	if a.warmth != nil {
		c.Y += fmt.Sprintf(", at %.1f °C", course.MeanWarmer())
	}
	if a.back != nil {
		warmer := 0.0 // cents, by which the readings before lie off those after for that
		if a.warmth != nil {
			warmer = a.warmth.Cents * (course.MeanWarmer() - a.back.Before.MeanWarmer())
		}
		for _, r := range a.back.Before.Readings {
			c.Readings = append(c.Readings, chart.CourseReading{X: r.At / unit, Y: r.Level + warmer, U: r.U, Odd: r.Odd()})
		}
		c.Mark, c.Marked = a.event.Since(a.readings[0].when)/unit, "event"
	}
	for _, r := range all {
		c.Readings = append(c.Readings, chart.CourseReading{X: r.At / unit, Y: r.Level, U: r.U, Odd: r.Odd()})
	}
	for _, s := range course.Steps {
		c.Steps = append(c.Steps, chart.CourseStep{From: s.After / unit, To: s.Before / unit, Name: "step " + signed(s.Size, 1, "cents")})
	}
	return c
}
