package main

import (
	"pluckweigh/physics"
	"pluckweigh/stock/choose"
)

type chosenJSON struct {
	Instrument string   `json:"instrument"`
	Wish       string   `json:"wish"`
	MostTotal  *float64 `json:"most_total_newton"` // that is allowed, null for not known
	setJSON
	NotProved    bool              `json:"not_proved"`
	Alternatives []alternativeJSON `json:"alternatives"`
	LeftOut      int               `json:"left_out"` // strings whose unit weight is not known
}

type setJSON struct {
	Picks []pickJSON `json:"picks"`
	// Spread and Objective are of the side forces where these are wished for; the
	// objective is the root mean square of what strings are off the wish, or the spread.
	Spread    *float64 `json:"spread_newton"`
	Objective *float64 `json:"objective"`
	Total     *float64 `json:"total_newton"`
	UTotal    *float64 `json:"u_total_newton"`
}

type pickJSON struct {
	Position int        `json:"position"`
	Note     string     `json:"note"`
	String   *string    `json:"string"`
	Pull     *float64   `json:"tension_newton"`
	UPull    *float64   `json:"u_tension_newton"`
	Side     *float64   `json:"side_newton"`
	USide    *float64   `json:"u_side_newton"`
	Wanted   *float64   `json:"wanted_newton"` // what is wished for, of a pull or a side force
	Load     *float64   `json:"load"`
	ULoad    *float64   `json:"u_load"`
	Needed   *float64   `json:"needed_kg_per_m"`
	Build    *needJSON  `json:"build"` // one that has that unit weight
	Doubts   []saidJSON `json:"doubts"`
}

type saidJSON struct {
	Code string `json:"code"`
	Say  string `json:"say"`
}

type needJSON struct {
	Core  wireJSON   `json:"core"`
	Wraps []wireJSON `json:"wraps"`
}

type wireJSON struct {
	Size     *float64 `json:"size_m"`
	Material string   `json:"material"`
}

type alternativeJSON struct {
	setJSON
	Changes []changeJSON `json:"changes"`
}

type changeJSON struct {
	Position int      `json:"position"`
	From     *string  `json:"from"`
	To       *string  `json:"to"`
	Pull     *float64 `json:"change_newton"` // of the pull
}

func (a *chosen) json() chosenJSON {
	j := chosenJSON{Instrument: a.on.Name, Wish: wishSaid(a.wish, false), MostTotal: orNull(float64(a.question.Limits.Total)),
		setJSON: a.setJSON(a.answer.Set), NotProved: a.answer.Gap > 0, Alternatives: []alternativeJSON{}, LeftOut: a.unknown}
	for _, alt := range a.answer.Alternatives {
		x := alternativeJSON{a.setJSON(alt.Set), []changeJSON{}}
		for _, c := range alt.Changes {
			x.Changes = append(x.Changes, changeJSON{c.Position + 1, a.nameJSON(c.From), a.nameJSON(c.To), finite(float64(c.Pull))})
		}
		j.Alternatives = append(j.Alternatives, x)
	}
	return j
}

func (a *chosen) nameJSON(str int) *string {
	if str == choose.Empty {
		return nil
	}
	return &a.strings[str].Name
}

func (a *chosen) setJSON(s choose.Set) setJSON {
	j := setJSON{Picks: []pickJSON{}, Spread: finite(float64(s.Spread)), Objective: finite(float64(s.Objective))}
	if s.Total.Value > 0 {
		j.Total, j.UTotal = measuredJSON(s.Total.Measured)
	}
	for _, p := range s.Picks {
		j.Picks = append(j.Picks, a.pickJSON(p))
	}
	return j
}

func (a *chosen) pickJSON(p choose.Pick) pickJSON {
	j := pickJSON{Position: p.Position + 1, Note: a.question.Positions[p.Position].Note, String: a.nameJSON(p.String),
		Wanted: orNull(float64(p.Wanted)), Doubts: saidsJSON(a.doubts(p))}
	if p.String != choose.Empty {
		j.Pull, j.UPull = measuredJSON(p.Pull.Measured)
	}
	if p.Push.Value > 0 {
		j.Side, j.USide = measuredJSON(p.Push)
	}
	if p.Load != nil {
		j.Load, j.ULoad = measuredJSON(p.Load.Load.Measured)
	}
	if n := p.Need; n != nil {
		j.Needed = finite(float64(n.UnitWeight))
		if n.Build.Core.Size.Value > 0 {
			j.Build = &needJSON{wireJSON{finite(float64(n.Build.Core.Size.Value)), n.Build.Core.Of.Name}, []wireJSON{}}
			for _, w := range n.Build.Wraps {
				j.Build.Wraps = append(j.Build.Wraps, wireJSON{finite(float64(w.Wire.Value)), w.Of.Name})
			}
		}
	}
	return j
}

// measuredJSON is a value and its standard uncertainty.
func measuredJSON[Q physics.Quantity](m physics.Measured[Q]) (value, u *float64) {
	return finite(float64(m.Value)), finite(float64(m.U))
}

func saidsJSON(ds []choose.Doubt) []saidJSON {
	out := []saidJSON{}
	for _, d := range ds {
		out = append(out, saidJSON(d))
	}
	return out
}
