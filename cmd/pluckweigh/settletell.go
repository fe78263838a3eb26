package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"pluckweigh/detect"
	"pluckweigh/physics"
	"pluckweigh/settle"
	"pluckweigh/settle/diary"
)

// Codes of the doubts about the course of a pitch.
const (
	fileDates   detect.Code = "file_dates"      // times are the files' own
	otherPitch  detect.Code = "other_pitch"     // readings are of another string or note
	oddReadings detect.Code = "odd_readings"    // readings do not belong to the rest
	oddAtEnd    detect.Code = "odd_at_end"      // the last ones do not
	lawOpen     detect.Code = "law_open"        // the readings do not tell the laws apart
	wandering   detect.Code = "wandering"       // no law is quite true
	restless    detect.Code = "restless"        // the pitch jumps too often for steps
	straight    detect.Code = "straight"        // there are too few readings for a law that bends
	gap         detect.Code = "gap"             // nothing was heard for long
	warmthIn    detect.Code = "temperature_in"  // temperature was not taken out
	warmthOpen  detect.Code = "warmth_open"     // what warmth does is told from drift by what was known alone
	tooShort    detect.Code = "too_short_watch" // the readings span too little time
	steppedOnce detect.Code = "stepped"         // it stepped, and may again
)

// A settled answer is what is told of a string that was watched.
type settled struct {
	session  string
	readings []pitched // that are of the string
	left     int       // that are of another
	note     physics.Note
	a4       physics.Frequency
	warmth   *settle.Warmth // that was taken out; nil for none
	known    bool           // all temperatures are
	course   *settle.Course // of all, or of what follows the event
	back     *settle.Return // nil without an event
	event    *diary.When
	forecast settle.Forecast
	doubts   []detect.Doubt
}

// farthestPitch is how far a reading may lie off the middle one to be of the same string
// and note, cents: strings next to each other are rarely tuned closer than 300 (common
// practice, no source).
const farthestPitch = 250

// answer works out what the readings say.
func (w *settling) answer(all []pitched, a4 physics.Frequency, event *diary.When, remarks []detect.Doubt) (*settled, error) {
	a := &settled{session: w.session, a4: a4, event: event, doubts: remarks}
	if len(all) == 0 {
		return nil, &untrusted{"no reading can be trusted", "pluck one string by itself, and let it ring for two seconds or more"}
	}
	a.sort(all)
	return a, w.settled(a)
}

// tell prints what the readings say, and draws it.
func (w *settling) tell(all []pitched, event *diary.When, remarks []detect.Doubt) error {
	a, err := w.answer(all, w.e.reference.hz, event, remarks)
	if err != nil {
		return err
	}
	if w.e.json {
		if err := writeLine(w.e.out, newSettledJSON(a)); err != nil {
			return err
		}
	} else {
		if w.e.printed {
			fmt.Fprintln(w.e.out)
		}
		if err := a.write(w.e.out); err != nil {
			return err
		}
	}
	if w.picture.name == "" {
		return nil
	}
	return w.picture.draw(a.chart())
}

// sort leaves out what is of another string.
func (a *settled) sort(all []pitched) {
	hz := make([]float64, len(all))
	for i, p := range all {
		hz[i] = p.hz
	}
	slices.Sort(hz)
	middle := hz[len(hz)/2]
	for _, p := range all {
		if math.Abs(1200*math.Log2(p.hz/middle)) > farthestPitch {
			a.left++
			continue
		}
		a.readings = append(a.readings, p)
	}
	if a.left > 0 {
		a.doubt(otherPitch, "%s more than %d cents off the others and left out: another string or note", lie(a.left, "reading"), farthestPitch)
	}
}

func (a *settled) doubt(code detect.Code, format string, args ...any) {
	a.doubts = append(a.doubts, detect.Doubt{Code: code, Say: fmt.Sprintf(format, args...)})
}

// lie counts things, and says that they lie.
func lie(n int, what string) string {
	if n == 1 {
		return "1 " + what + " lies"
	}
	return fmt.Sprintf("%d %ss lie", n, what)
}

// settled works out the course.
func (w *settling) settled(a *settled) error {
	first := a.readings[0]
	note, err := physics.NearestNote(physics.Frequency(first.hz), a.a4)
	if err != nil {
		return &callError{err.Error(), "check the pitches: they are in hertz"}
	}
	a.note = note
	a.note.Cents = 0
	base, err := a.note.Frequency(a.a4)
	if err != nil {
		return err
	}
	if err := w.takeOut(a, base); err != nil {
		return err
	}
	all := make([]settle.Reading, len(a.readings))
	for i, p := range a.readings {
		all[i] = settle.Reading{At: p.when.Since(first.when), Cents: 1200 * math.Log2(p.hz/float64(base)), U: p.u / p.hz * 1200 / math.Ln2, Warmer: p.warm}
	}
	if a.event == nil {
		if a.course, err = settle.Of(all, a.warmth); err != nil {
			return few(err)
		}
	} else if err := a.compare(all); err != nil {
		return err
	}
	a.forecast = a.course.Foretell(float64(w.within.Value), w.aheadSeconds())
	a.question()
	return nil
}

func (w *settling) aheadSeconds() float64 { return float64(w.ahead) / 1e9 }

// compare tells the pitch before and after the event.
func (a *settled) compare(all []settle.Reading) error {
	first := a.readings[0].when
	if a.event.Dated() != first.Dated() {
		return &callError{"--event has a date, or has none where the readings have one", "write it as the readings' times are"}
	}
	back, err := settle.Back(all, a.warmth, a.event.Since(first))
	if err := few(err); err != nil {
		var u *untrusted
		if at, ok := err.(*untrusted); ok {
			u = at
			before := 0
			for _, r := range all {
				if r.At < a.event.Since(first) {
					before++
				}
			}
			return &untrusted{fmt.Sprintf("%s before the event and %d after it: %s", counted(before, "reading"), len(all)-before, u.what), fmt.Sprintf("pluck at least %d times on each side of it", settle.Least)}
		}
		return err
	}
	a.back, a.course = &back, back.After
	return nil
}

// takeOut finds out whether what warmth does can be taken out, and how.
func (w *settling) takeOut(a *settled, base physics.Frequency) error {
	missing := 0
	least, most := math.Inf(1), math.Inf(-1)
	for i := range a.readings {
		p := &a.readings[i]
		if math.IsNaN(p.warm) && len(w.thermo) > 0 {
			if !p.when.Dated() {
				return &callError{"--temperature has dates, and the readings have none", "write times like 2026-11-28T14:02"}
			}
			c, err := w.thermo.At(p.when.Time)
			if err != nil {
				return about("temperature", err)
			}
			p.warm = float64(c)
		}
		if math.IsNaN(p.warm) {
			missing++
			continue
		}
		least, most = min(least, p.warm), max(most, p.warm)
	}
	a.known = missing == 0
	warmth, err := w.warm.at(base)
	switch {
	case err != nil:
		return err
	case missing == len(a.readings) && warmth == nil, missing == 0 && least == most:
	case missing > 0 && warmth == nil && missing == len(a.readings):
	case missing > 0:
		a.doubt(warmthIn, "temperature was not taken out: %d of %d readings have none", missing, len(a.readings))
	case warmth == nil:
		a.doubt(warmthIn, "temperature was not taken out, though it went from %.1f to %.1f °C: say what the string is, as in --scale 648mm --gauge 0.254mm --material steel, or --warmth", least, most)
	default:
		a.warmth = warmth
	}
	return nil
}

// question says what may be wrong with the course.
func (a *settled) question() {
	c := a.course
	odd, atEnd := 0, 0
	for _, r := range c.Readings {
		if r.Odd() {
			odd++
			atEnd++
		} else {
			atEnd = 0
		}
	}
	if odd > atEnd {
		a.doubt(oddReadings, "%s too far off to belong to the rest: misheard, or the string was touched; that counts for little", lie(odd-atEnd, "reading"))
	}
	if atEnd > 0 {
		a.doubt(oddAtEnd, "the last %s off the rest: misheard, or the string has just stepped; pluck it again", lie(atEnd, "reading"))
	}
	if c.Restless {
		a.doubt(restless, "the pitch jumps too often to tell steps apart: they count as scatter")
	}
	if c.Wander > 0 {
		a.doubt(wandering, "the pitch wanders about the law (neighbouring readings lie off it together, correlation %.2f), as temperature or moisture would make it: uncertainties are enlarged for that", c.Wander)
	}
	if len(c.Laws) > 1 && c.Laws[0].Weight < 0.9 {
		var names []string
		for _, l := range c.Laws {
			if l.Weight >= 0.1 {
				names = append(names, l.Law.String())
			}
		}
		if len(names) > 1 {
			a.doubt(lawOpen, "the readings do not tell %s apart: what is said is by all of them", strings.Join(names[:len(names)-1], ", ")+" and "+names[len(names)-1])
		}
	}
	if c.Straight && c.Span() > 0 {
		a.doubt(straight, "%s are too few to see whether the drift slows down", counted(len(c.Readings), "reading"))
	}
	if from, to, long := c.Gap(); long {
		a.doubt(gap, "nothing was heard for %s, after %s: what happened then is not known", lasted(to-from), a.moment(from))
	}
	if a.warmth != nil && c.Warmth.U > 0.8*a.warmth.U {
		a.doubt(warmthOpen, "temperature and drift went together: what is drift is known only as well as what warmth does (%.2f ± %.2f cents/K, k = 2)", a.warmth.Cents, 2*a.warmth.U)
	}
	if a.forecast.TooShort {
		a.doubt(tooShort, "the readings span %s, too little to foretell %s: watch it for longer, or ask for less with --for", lasted(c.Span()), lasted(a.forecast.Ahead))
	}
	if n := len(c.Steps); n > 0 {
		a.doubt(steppedOnce, "it stepped %s in %s: what is foretold holds if it does not again", times(n), lasted(c.Span()))
	}
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}
