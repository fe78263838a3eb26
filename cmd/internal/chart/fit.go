package chart

import (
	"errors"
	"image/color"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// A Fit is a law through points, a straight line or a curve, and below it how far they lie
// off.
type Fit struct {
	Title, X, Y, Off string // titles of the whole and of the axes, with their units
	Points           []FitPoint
	// K is how many standard uncertainties bars and bands reach to either side.
	K float64
	// Line is the line at x and its standard uncertainty there.
	Line func(x float64) (y, u float64)
	// OffLine is that uncertainty in the unit of the points' Off.
	OffLine func(x float64) float64
	// Curves are drawn in place of Line, where there are any: each the law of some of the
	// points, from one x to another.
	Curves []FitCurve
}

// A FitCurve is a law at several x, in their order, with its standard uncertainties as of
// Line and OffLine.
type FitCurve struct{ X, Y, U, UOff []float64 }

// A FitPoint is a point with its standard uncertainties. Off is how far it
// lies above the line, in the unit of the lower panel.
type FitPoint struct {
	Name         string
	X, UX, Y, UY float64
	Off, UOff    float64
	Odd          bool // to be marked
	Aside        bool // seen, and no part of the fit: it has no Off
}

const (
	fitHeight = 520
	steps     = 60 // of the band
)

var (
	black = color.Gray{0}
	shade = color.Gray{215}
)

// SVG returns the picture as a document.
func (f Fit) SVG() ([]byte, error) { return svg(width, fitHeight, f.paint) }

// PNG returns it as an image.
func (f Fit) PNG() ([]byte, error) { return image(width, fitHeight, f.paint) }

func (f Fit) paint(canvas draw.Canvas) error {
	if len(f.Points) < 2 {
		return errors.New("chart: a line needs two points")
	}
	lo, hi := f.Points[0].X, f.Points[0].X
	for _, p := range f.Points {
		lo, hi = min(lo, p.X), max(hi, p.X)
	}
	margin := 0.05 * (hi - lo)
	if lo >= 0 {
		lo = max(0, lo-margin)
	} else {
		lo -= margin
	}
	hi += margin
	curves := f.Curves
	if len(curves) == 0 {
		curves = []FitCurve{f.line(lo, hi)}
	}
	top, err := f.panel(lo, hi, curves, func(c FitCurve, i int) (float64, float64) { return c.Y[i], c.U[i] },
		func(p FitPoint) (float64, float64) { return p.Y, p.UY }, true)
	if err != nil {
		return err
	}
	bottom, err := f.panel(lo, hi, curves, func(c FitCurve, i int) (float64, float64) { return 0, c.UOff[i] },
		func(p FitPoint) (float64, float64) { return p.Off, p.UOff }, false)
	if err != nil {
		return err
	}
	top.Title.Text, top.Y.Label.Text = f.Title, f.Y
	bottom.X.Label.Text, bottom.Y.Label.Text = f.X, f.Off
	tiles := draw.Tiles{Rows: 2, Cols: 1, PadTop: 4, PadBottom: 4, PadLeft: 4, PadRight: 36, PadY: 14}
	panels := [][]*plot.Plot{{top}, {bottom}}
	for i, c := range plot.Align(panels, tiles, canvas) {
		panels[i][0].Draw(c[0])
	}
	return nil
}

// line is Line at many x.
func (f Fit) line(lo, hi float64) (c FitCurve) {
	for i := range steps + 1 {
		x := lo + (hi-lo)*float64(i)/steps
		y, u := f.Line(x)
		c.X, c.Y, c.U, c.UOff = append(c.X, x), append(c.Y, y), append(c.U, u), append(c.UOff, f.OffLine(x))
	}
	return c
}

// mostNamed is how many points can have their names beside them.
const mostNamed = 14

// panel draws the points over curves with their bands, from one x to another. At the top
// each point has its name beside it, and those that are set aside are there.
func (f Fit) panel(lo, hi float64, curves []FitCurve, law func(c FitCurve, i int) (y, u float64), at func(FitPoint) (y, u float64), top bool) (*plot.Plot, error) {
	p := plot.New()
	print(p)
	p.Add(plotter.NewGrid())
	var lines []plot.Plotter
	for _, c := range curves {
		var middle, upper, lower plotter.XYs
		for i, x := range c.X {
			y, u := law(c, i)
			band := f.K * u
			middle = append(middle, plotter.XY{X: x, Y: y})
			upper = append(upper, plotter.XY{X: x, Y: y + band})
			lower = append(plotter.XYs{{X: x, Y: y - band}}, lower...)
		}
		band, err := plotter.NewPolygon(append(upper, lower...))
		if err != nil {
			return nil, err
		}
		band.Color, band.LineStyle.Width = shade, 0
		middling, err := plotter.NewLine(middle)
		if err != nil {
			return nil, err
		}
		middling.Color, middling.Width = black, 1
		p.Add(band)
		lines = append(lines, middling)
	}
	p.Add(lines...)
	var drawn []FitPoint
	for _, q := range f.Points {
		if top || !q.Aside {
			drawn = append(drawn, q)
		}
	}
	bars := errorBars{}
	var names plotter.XYLabels
	for _, q := range drawn {
		y, u := at(q)
		bars.XYs = append(bars.XYs, plotter.XY{X: q.X, Y: y})
		bars.x = append(bars.x, f.K*q.UX)
		bars.y = append(bars.y, f.K*u)
		names.XYs, names.Labels = append(names.XYs, plotter.XY{X: q.X, Y: y}), append(names.Labels, q.Name)
	}
	across, err := plotter.NewXErrorBars(bars)
	if err != nil {
		return nil, err
	}
	along, err := plotter.NewYErrorBars(bars)
	if err != nil {
		return nil, err
	}
	points, err := plotter.NewScatter(bars.XYs)
	if err != nil {
		return nil, err
	}
	points.GlyphStyleFunc = func(i int) draw.GlyphStyle {
		switch {
		case drawn[i].Aside:
			return draw.GlyphStyle{Color: black, Radius: 4, Shape: draw.CrossGlyph{}}
		case drawn[i].Odd:
			return draw.GlyphStyle{Color: black, Radius: 5, Shape: draw.RingGlyph{}}
		}
		return draw.GlyphStyle{Color: black, Radius: 3, Shape: draw.CircleGlyph{}}
	}
	p.Add(across, along, points)
	if top && len(drawn) <= mostNamed {
		labels, err := plotter.NewLabels(names)
		if err != nil {
			return nil, err
		}
		for i := range labels.TextStyle {
			labels.TextStyle[i].Font, labels.TextStyle[i].XAlign, labels.TextStyle[i].YAlign = sans, text.XLeft, text.YTop
		}
		labels.Offset = vg.Point{X: 6, Y: -4}
		p.Add(labels)
	}
	p.X.Min, p.X.Max = lo, hi
	return p, nil
}

// errorBars are points with bars of equal length to both sides.
type errorBars struct {
	plotter.XYs
	x, y []float64
}

func (b errorBars) XError(i int) (float64, float64) { return b.x[i], b.x[i] }
func (b errorBars) YError(i int) (float64, float64) { return b.y[i], b.y[i] }
