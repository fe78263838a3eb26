package main

import (
	"slices"
	"time"

	"pluckweigh/detect"
	"pluckweigh/lesson"
	"pluckweigh/physics"
	"pluckweigh/web"
)

// typed is what somebody typed of the string.
type typed struct {
	length quantity[physics.Length]
	weight quantity[physics.UnitWeight]
	held   ends
	a4     physics.Frequency
	near   physics.Frequency // 0 for none

	lesson *lesson.Lesson // nil for none
	x      []lesson.Value // what is told with each reading
	untold error          // why that cannot be told; nil where it can
}

// points are what a lesson has of a take, nil where there is no lesson.
func (k typed) points(t detect.Take) ([]lesson.Point, *web.Trouble) {
	if k.lesson == nil {
		return nil, nil
	}
	err := k.untold
	var all []lesson.Point
	if err == nil {
		all, err = k.lesson.Hear(k.x, t, "heard")
	}
	if err != nil {
		no := web.TroubleOf(err)
		return nil, &no
	}
	return all, nil
}

// toldAt is what was typed by a moment.
type toldAt struct {
	typed
	at time.Time
}

const (
	toldLate = time.Second // after a pluck by which what is typed may arrive and be meant for it
	toldLong = time.Minute // for which it is remembered: more than a pluck rings and waits to be measured
)

// remember adds what is typed now, and forgets what no pluck is waiting for.
func remember(all []toldAt, now toldAt) []toldAt {
	for len(all) > 1 && now.at.Sub(all[1].at) > toldLong {
		all = all[1:]
	}
	return append(slices.Clone(all), now)
}

// pointsFor are what the lesson has of a take by what stood there when it was plucked: the
// next length may be typed while a string still rings. The id is that of the lesson.
func (p *pageEars) pointsFor(plucked time.Time, t detect.Take) (id string, all []lesson.Point, no *web.Trouble) {
	k := p.typed
	for _, x := range slices.Backward(p.told) {
		if k = x.typed; !x.at.After(plucked.Add(toldLate)) {
			break
		}
	}
	switch now := p.typed.lesson; {
	case now == nil:
		return "", nil, nil
	case k.lesson == nil || k.lesson.ID != now.ID:
		return now.ID, nil, &web.Trouble{Say: "it was plucked before this experiment was chosen", Hint: "pluck again"}
	}
	all, no = k.points(t)
	return k.lesson.ID, all, no
}

// understand reads what was typed. What is wrong is told and counts as not typed.
func understand(a web.Ask) (typed, askedJSON) {
	k := typed{weight: quantity[physics.UnitWeight]{role: physics.StringWeight}}
	told := askedJSON{Troubles: map[string]web.Trouble{}}
	take := func(name, text string, set func(string) error) {
		if text == "" {
			return
		}
		if err := set(text); err != nil {
			told.Troubles[name] = web.TroubleOf(err)
		}
	}
	take("ends", a.Ends, k.held.Set)
	length := scale{quantity[physics.Length]{role: physics.SpeakingLength}, &k.held}
	take("length", a.Length, length.Set)
	k.length = length.quantity
	take("unit_weight", a.Weight, k.weight.Set)
	reference := referencePitch()
	take("reference", a.Reference, reference.Set)
	k.a4 = reference.hz
	take("near", a.Near, func(s string) error {
		var near pitch
		err := near.Set(s)
		if err == nil {
			k.near, err = near.at(k.a4)
		}
		return err
	})
	take("lesson", a.Lesson, func(id string) (err error) {
		k.lesson, err = lesson.Named(id)
		return err
	})
	if k.lesson != nil {
		x, wrong := web.Typed(k.lesson.Asked(), a.X)
		k.x = x
		for i := len(k.lesson.Asked()) - 1; i >= 0; i-- { // of several the first is told where a point is wanted
			if t, ok := wrong[web.Place(i)]; ok {
				told.Troubles[web.Place(i)] = t
				k.untold = &callError{t.Say, t.Hint}
			}
		}
	}
	if k.length.given {
		told.Length = sayMeasured(k.length.Measured)
	}
	if k.weight.given {
		told.Weight = sayMeasured(k.weight.Measured)
	}
	if k.near > 0 {
		told.Near = physics.Format(k.near, 0, 6)
	}
	return k, told
}
