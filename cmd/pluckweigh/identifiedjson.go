package main

import "pluckweigh/stock/identify"

// identityJSON is which string it may be.
type identityJSON struct {
	UnitWeight *unitWeightJSON `json:"unit_weight"`
	Outside    *float64        `json:"outside_m"`
	UOutside   *float64        `json:"u_outside_m"`
	Stiffness  *float64        `json:"core_bending_n_m2"`
	UStiffness *float64        `json:"u_core_bending_n_m2"`
	Kind       *string         `json:"kind"`

	Candidates []candidateJSON `json:"candidates"`
	None       *float64        `json:"none_probability"`
	Settled    bool            `json:"settled"`
	Next       []nextJSON      `json:"next"`
	Wires      []plainJSON     `json:"plain"`
	OfWire     []nextJSON      `json:"plain_next"`
}

type candidateJSON struct {
	String      string   `json:"string"`
	Name        string   `json:"name"`
	Probability *float64 `json:"probability"`
	Agrees      *float64 `json:"agrees"` // probability that errors put it as far off
}

type nextJSON struct {
	Of      string   `json:"of"`
	Settles *float64 `json:"settles"`
	Gain    *float64 `json:"gain_bits"`
	Open    *float64 `json:"open_bits"`
}

type plainJSON struct {
	Material    string   `json:"material"`
	Probability *float64 `json:"probability"`
	Gauge       *float64 `json:"gauge_m"`
	UGauge      *float64 `json:"u_gauge_m"`
}

// newIdentityJSON is which string it may be, nothing known where nothing was heard.
func newIdentityJSON(f *figure) identityJSON {
	j := identityJSON{Candidates: []candidateJSON{}, Next: []nextJSON{}, Wires: []plainJSON{}, OfWire: []nextJSON{}}
	if f == nil {
		return j
	}
	is := f.is
	if f.value > 0 {
		j.UnitWeight = newUnitWeightJSON(f)
	}
	if d := is.evidence.Outside; d.Value > 0 {
		j.Outside, j.UOutside = measuredJSON(d)
	}
	if ei := is.evidence.Stiffness; ei.Value > 0 {
		j.Stiffness, j.UStiffness = measuredJSON(ei)
	}
	j.Kind = orNull(is.kind.String())
	for _, c := range is.Candidates {
		name := is.strings[c.String].Name
		j.Candidates = append(j.Candidates, candidateJSON{name, name, finite(c.Probability), finite(c.Agrees)})
	}
	j.None = finite(is.None)
	_, j.Settled = is.Settled()
	j.Next = newNextJSON(is.Next)
	if is.wire() {
		j.OfWire = newNextJSON(is.OfWire)
	}
	if is.wired() {
		for _, x := range is.Wires {
			j.Wires = append(j.Wires, plainJSON{x.Of.Name, finite(x.Probability), finite(float64(x.Gauge.Value)), finite(float64(x.Gauge.U))})
		}
	}
	return j
}

func newNextJSON(tests []identify.Test) []nextJSON {
	out := []nextJSON{}
	for _, t := range tests {
		out = append(out, nextJSON{t.Of.String(), finite(t.Settles), finite(t.Gain), finite(t.Open)})
	}
	return out
}
