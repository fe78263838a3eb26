package stock

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"reflect"
	"slices"
	"strconv"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// The columns of a list of instruments, a line for each position. What is said of the
// whole instrument may stand in its first line alone.
const (
	instrumentColumn = "instrument"
	a4Column         = "reference pitch"
	divisionColumn   = "division"
	mostColumn       = "most total"
	positionColumn   = "position"
	lengthColumn     = "speaking length"
	noteColumn       = "note"
	leastSlotColumn  = "slot from"
	mostSlotColumn   = "slot to"
	strungColumn     = "string"
	wishColumn       = "wish"
)

var instrumentForm = form{[]field{
	text(instrumentColumn), measure(a4Column, physics.Hertz, "Hz"), text(divisionColumn), measure(mostColumn, physics.Newton, "N"),
	text(positionColumn), measure(lengthColumn, physics.Millimetre, "mm"), measure(uncertain(lengthColumn), physics.Millimetre, "mm"), text(assumedColumn),
	text(noteColumn), text(kindColumn), measure(leastSlotColumn, physics.Millimetre, "mm"), measure(mostSlotColumn, physics.Millimetre, "mm"), text(strungColumn), text(wishColumn),
}, "instrument,speaking length (mm),note"}

// parseInstrument reads an instrument with a single position, of that number. What is
// not said is zero. The error is an *physics.InputError.
func (h head) parseInstrument(line []string, number int) (x Instrument, err error) {
	c, err := h.take(line)
	if err != nil {
		return Instrument{}, err
	}
	x.Name = c.text(instrumentColumn)
	p := Position{Said: c.text(noteColumn), Strung: c.text(strungColumn)}
	if s := c.text(positionColumn); s != "" && s != strconv.Itoa(number) {
		return x, &physics.InputError{What: "position", Text: s, Why: fmt.Sprintf("is not the %d that is due", number), Fix: "write the lines of an instrument one after the other, from its position 1 on"}
	}
	if p.Said == "" {
		return x, &physics.InputError{What: "position", Why: "has no note", Fix: "write it like A1"}
	}
	if s := c.text(divisionColumn); s != "" {
		if x.Division, err = physics.ParseDivision(s); err != nil {
			return x, err
		}
	}
	if x.Wish, err = ParseWish(c.text(wishColumn)); err != nil {
		return x, err
	}
	if p.Kind, err = traits.ParseKind(c.text(kindColumn)); err != nil {
		return x, err
	}
	if p.Length.Assumed, err = c.flag(assumedColumn); err != nil {
		return x, err
	}
	if p.Length.Value, err = quantityOf[physics.Length](c, lengthColumn, err); p.Length.Value == 0 && err == nil {
		err = &physics.InputError{What: "position", Why: "has no speaking length", Fix: "write it like 863.6"}
	}
	p.Length.U, err = quantityOf[physics.Length](c, uncertain(lengthColumn), err)
	if p.Length.U == 0 {
		p.Length = physics.SpeakingLength.Assume(p.Length.Value)
	}
	p.Slot.Least, err = quantityOf[physics.Length](c, leastSlotColumn, err)
	p.Slot.Most, err = quantityOf[physics.Length](c, mostSlotColumn, err)
	x.A4, err = quantityOf[physics.Frequency](c, a4Column, err)
	x.Most, err = quantityOf[physics.Force](c, mostColumn, err)
	x.Positions = []Position{p}
	return x, err
}

// quantityOf is what stands in a column, 0 for nothing, unless something was wrong
// before.
func quantityOf[Q physics.Quantity](c cells, name string, before error) (Q, error) {
	if before != nil || c.text(name) == "" {
		return 0, before
	}
	v, err := c.number(name)
	return Q(v), err
}

// An assembler makes instruments of lines that follow each other.
type assembler struct {
	s     *Store
	ctx   context.Context
	tx    *sql.Tx
	h     head
	bad   func(line int, err error)
	done  *Imported
	x     Instrument
	first int      // line of x; 0 for none
	lines int      // of x
	odd   int      // the line of x that is bad; 0 for none
	lost  int      // the unreadable line before this one; 0 for none
	names []string // of instruments that were taken or not
}

// add takes a line.
func (a *assembler) add(number int, line []string) error {
	name := cells{a.h, line}.text(instrumentColumn)
	if a.first == 0 || name != a.x.Name {
		lost := a.lost
		if err := a.flush(); err != nil {
			return err
		}
		// What could not be read may have been the first line of this one.
		a.x, a.first, a.odd = Instrument{Name: name}, number, lost
	}
	a.lost = 0
	a.lines++
	p, err := a.h.parseInstrument(line, a.lines)
	if err == nil {
		err = a.join(p)
	}
	if err == nil {
		return nil
	}
	return a.spoil(number, err)
}

// refuse takes a line that is wrong.
func (a *assembler) refuse(number int, err error) error {
	a.lost = number
	if a.first > 0 { // it may be of this one
		a.lines++
		return a.spoil(number, err)
	}
	return a.tell(number, 1, err)
}

// spoil tells of a bad line of the instrument.
func (a *assembler) spoil(number int, err error) error {
	if a.odd == 0 {
		a.odd = number
	}
	return a.tell(number, 0, err) // its lines are counted in the end
}

// tell tells of lines that are not taken.
func (a *assembler) tell(number, lines int, err error) error {
	var input *physics.InputError
	var missing *MissingError
	if !errors.As(err, &input) && !errors.As(err, &missing) {
		return err
	}
	a.done.Bad += lines
	a.bad(number, err)
	return nil
}

// join adds a position to the instrument.
func (a *assembler) join(p Instrument) error {
	same := len(a.x.Positions) > 0
	for _, c := range []struct {
		what   string
		differ bool
	}{
		{a4Column, p.A4 != 0 && p.A4 != a.x.A4}, {divisionColumn, p.Division != physics.Division{} && p.Division != a.x.Division}, {mostColumn, p.Most != 0 && p.Most != a.x.Most},
		{wishColumn, p.Wish.Kind != NoWish && p.Wish.String() != a.x.Wish.String()},
	} {
		if same && c.differ {
			return &physics.InputError{What: c.what, Why: fmt.Sprintf("is not that of the first line of %q", a.x.Name), Fix: "say it once"}
		}
	}
	if !same {
		a.x.A4, a.x.Division, a.x.Most, a.x.Wish = p.A4, p.Division, p.Most, p.Wish
		if a.x.A4 == 0 {
			a.x.A4 = physics.ConcertPitch
		}
	}
	at := &p.Positions[0]
	if err := a.x.tune(at); err != nil {
		return err
	}
	if err := at.check(a.x.A4); err != nil {
		return err
	}
	a.x.Positions = append(a.x.Positions, *at)
	return nil
}

// flush puts the instrument into the stock, unless a line of it is bad.
func (a *assembler) flush() error {
	x, first, lines, odd := a.x, a.first, a.lines, a.odd
	a.x, a.first, a.lines, a.odd, a.lost = Instrument{}, 0, 0, 0, 0
	if first == 0 {
		return nil
	}
	twice := slices.Contains(a.names, x.Name)
	a.names = append(a.names, x.Name)
	refuse := func(why, fix string) error {
		return a.tell(first, lines, &physics.InputError{What: "instrument", Text: x.Name, Why: why, Fix: fix})
	}
	switch {
	case odd > 0 && lines == 1 && odd == first:
		a.done.Bad++
		return nil // all is said
	case odd > 0:
		return refuse(fmt.Sprintf("is left out, for line %d is bad", odd), "mend that, and take the list again")
	case twice:
		return refuse("is there twice", "write its lines one after the other")
	}
	if err := a.put(x); err != nil {
		return a.tell(first, lines, err)
	}
	return nil
}

// put adds an instrument, unless it is in stock as it is.
func (a *assembler) put(x Instrument) error {
	is, err := a.s.instrument(a.ctx, a.tx, x.Name)
	var missing *MissingError
	if errors.As(err, &missing) {
		if err := a.s.addInstrument(a.ctx, a.tx, x); err != nil {
			return err
		}
		a.done.Instruments++
		return nil
	}
	if err != nil {
		return err
	}
	if x, err = x.tuned(); err != nil {
		return err
	}
	if !slices.ContainsFunc(x.Positions, func(p Position) bool { return p.Strung != "" }) && len(x.Positions) == len(is.Positions) {
		for i := range x.Positions {
			x.Positions[i].Strung = is.Positions[i].Strung
		}
	}
	if !reflect.DeepEqual(x, is) {
		return &physics.InputError{What: "instrument", Text: x.Name, Why: "is not what is in stock under this name", Fix: "name it otherwise, or change what is in stock with `pluckweigh stock edit --instrument`"}
	}
	return nil
}

// ExportInstruments writes all instruments as CSV that Import reads back to the same.
func (s *Store) ExportInstruments(ctx context.Context, to io.Writer) error {
	all, err := s.Instruments(ctx)
	if err != nil {
		return err
	}
	l, err := newListWriter(to, &instrumentForm)
	if err != nil {
		return err
	}
	for _, x := range all {
		for i, p := range x.Positions {
			texts := map[string]string{instrumentColumn: x.Name, divisionColumn: x.Division.String(), wishColumn: x.Wish.String(), positionColumn: strconv.Itoa(i + 1),
				noteColumn: p.Said, kindColumn: p.Kind.String(), strungColumn: p.Strung}
			if p.Said == "" {
				texts[noteColumn] = p.Note.String()
			}
			if p.Length.Assumed {
				texts[assumedColumn] = "yes"
			}
			numbers := map[string]float64{a4Column: float64(x.A4), lengthColumn: float64(p.Length.Value), uncertain(lengthColumn): float64(p.Length.U)}
			for name, v := range map[string]float64{mostColumn: float64(x.Most), leastSlotColumn: float64(p.Slot.Least), mostSlotColumn: float64(p.Slot.Most)} {
				if v > 0 {
					numbers[name] = v
				}
			}
			if err := l.write(texts, numbers); err != nil {
				return err
			}
		}
	}
	return l.close()
}
