package lesson

// A Verdict is what the data say of the law.
type Verdict string

const (
	Agrees      Verdict = "agrees"      // the law lies within what the data say, and they say it closely enough
	Contradicts Verdict = "contradicts" // it lies outside
	NotShown    Verdict = "not_shown"   // these data do not show it, either way
)

// An Outcome is what the points say. Nothing in it is NaN or infinite.
type Outcome struct {
	Lesson  string   `json:"lesson"`
	Verdict Verdict  `json:"verdict"`
	Say     string   `json:"say"`  // the verdict in words, with its uncertainty
	Next    []string `json:"next"` // what to do next
	// Findings are what was found, that which decides first; none without a fit.
	Findings []Finding `json:"findings"`
	Placed   []Placed  `json:"points"` // one for each point given, in their order
	Curve    []Curve   `json:"curve"`  // the law that fits, with its band; none without a fit
	Axes     Axes      `json:"axes"`
	// K is the factor by which bars and the band are to be drawn: of standard uncertainties
	// for 95 %.
	K      float64  `json:"k"`
	Doubts []string `json:"doubts"`
	Used   int      `json:"used"` // points that count
	Free   int      `json:"degrees_of_freedom"`
	// Scatter is how far the points lie off the line, in standard uncertainties of their
	// own: root mean square by the degrees of freedom. Null without a fit.
	Scatter *float64 `json:"scatter"`
	// Odd are the indices of points that do not belong to the others, to be looked at.
	Odd []int `json:"odd"`
}

// A Finding is a constant of the law as the data have it.
type Finding struct {
	Name   string `json:"name"`
	Symbol string `json:"symbol"`
	Unit   string `json:"unit"` // empty for a bare number
	Value  Value  `json:"value"`
	// DoF is the effective degrees of freedom of the uncertainty, 0 for unlimited, and K the
	// factor on it that holds 95 %: Student's t.
	DoF float64 `json:"degrees_of_freedom"`
	K   float64 `json:"k"`
	// Low and High are those 95 %.
	Low  float64 `json:"low"`
	High float64 `json:"high"`
	// Expected is what the law says, nil where it leaves it open; AboveZero that it says no
	// more than the sign.
	Expected  *Value `json:"expected"`
	AboveZero bool   `json:"above_zero,omitempty"`
	Decides   bool   `json:"decides"`
	// From says what beside the scatter makes its uncertainty.
	From []string `json:"from,omitempty"`
}

// Text is the finding for a person: "1.003 ± 0.012 (95 %, k = 2.57)".
func (f Finding) Text() string {
	return withUnit(plain(f.Value.V, f.Value.U, f.K), f.Unit) + coveredBy(f.K)
}

// Placed is a point as it is drawn, in the units of the axes.
type Placed struct {
	X  float64 `json:"x"`
	UX float64 `json:"u_x"`
	Y  float64 `json:"y"`
	UY float64 `json:"u_y"`
	// Off is how far it lies above the line, in the unit of Axes.Off.
	Off  float64 `json:"off"`
	UOff float64 `json:"u_off"`
	Name string  `json:"name"` // what its first x was told to be, for a person
	From string  `json:"from"`
	Note string  `json:"note,omitempty"`
	// Part is which of several strings it is of, from 0.
	Part  int    `json:"part"`
	Aside string `json:"aside,omitempty"`
	Fits  bool   `json:"fits"` // it was part of the fit, and Off is known
}

// A Curve is the fitted law at x: y and its standard uncertainty, in the units of the axes,
// and that in the unit of Axes.Off.
type Curve struct {
	Part int     `json:"part"`
	X    float64 `json:"x"`
	Y    float64 `json:"y"`
	U    float64 `json:"u"`
	UOff float64 `json:"u_off"`
}

// Axes are the titles of what is drawn, with their units.
type Axes struct {
	X   string `json:"x"`
	Y   string `json:"y"`
	Off string `json:"off"`
}
