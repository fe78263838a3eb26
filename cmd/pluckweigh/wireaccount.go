package main

import "pluckweigh/physics"

// What is printed with --json of what a figure's uncertainty is worth.

// An accountJSON is what a figure says of its uncertainty beside the budget.
type accountJSON struct {
	DoF        *float64        `json:"degrees_of_freedom"` // null for unlimited
	K95        *float64        `json:"coverage_factor_95"`
	Improve    []improveJSON   `json:"improve"`
	MonteCarlo *monteCarloJSON `json:"monte_carlo,omitempty"` // there where asked for
}

type improveJSON struct {
	Input   string   `json:"input"`
	U       *float64 `json:"u"`        // of the input
	UResult *float64 `json:"u_result"` // what the result's would be, all else being equal
	Say     string   `json:"say"`
}

type monteCarloJSON struct {
	Draws       int        `json:"draws"`
	Mean        *float64   `json:"mean"`
	U           *float64   `json:"u"`
	Probability *float64   `json:"probability"`
	Symmetric   []*float64 `json:"symmetric"`
	Shortest    []*float64 `json:"shortest"`
	Linear      []*float64 `json:"linear"`
	Tolerance   *float64   `json:"tolerance"`
	Agrees      bool       `json:"agrees"`
}

func newAccountJSON(f *figure) accountJSON {
	return accountJSON{DoF: limited(f.dof), K95: finite(f.k), Improve: improvementsJSON(f.improve), MonteCarlo: newMonteCarloJSON(f.spread)}
}

func improvementsJSON(all []physics.Improvement) []improveJSON {
	out := []improveJSON{}
	for _, i := range all {
		out = append(out, improveJSON{i.Input, finite(i.Reach.U), finite(i.U), i.Said})
	}
	return out
}

// newMonteCarloJSON is what Monte Carlo makes of a number, nil where it was not asked
// for.
func newMonteCarloJSON(s *spread) *monteCarloJSON {
	if s == nil {
		return nil
	}
	return &monteCarloJSON{
		Draws: s.Draws, Mean: finite(s.Mean), U: finite(s.U), Probability: finite(s.P),
		Symmetric: intervalJSON(s.Symmetric), Shortest: intervalJSON(s.Shortest), Linear: intervalJSON(s.Linear),
		Tolerance: finite(s.Tolerance), Agrees: s.Agrees,
	}
}

func intervalJSON(i physics.Interval) []*float64 {
	return []*float64{finite(i.Low), finite(i.High)}
}

// limited is a number of degrees of freedom, null where they are unlimited.
func limited(dof float64) *float64 {
	if dof == 0 {
		return nil
	}
	return finite(dof)
}
