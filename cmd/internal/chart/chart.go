// Package chart draws charts that can be read without colour: every series of a line
// chart has a marker and a dash of its own.
package chart

import (
	"errors"
	"fmt"
	"image/color"
	"math"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// A Point of a series; one with a number that is not finite is left out, as is one
// that a logarithmic axis cannot show.
type Point struct{ X, Y float64 }

// A Series is one line of a chart.
type Series struct {
	Name   string
	Points []Point
	Bare   bool // a line without markers
}

// A Chart is a set of series over common axes, titled with their units.
type Chart struct {
	Title, X, Y string
	LogY        bool
	Categories  []string // names of X = 0, 1, 2 … instead of a scale
	Series      []Series // at most as many as there are looks
}

const (
	width   = 660 // points
	height  = 340
	legend  = 160 // of the width
	typical = 11  // size of print
)

// looks tell the series apart, in their order.
var looks = []struct {
	color  color.RGBA
	shape  draw.GlyphDrawer
	dashes []vg.Length
}{
	{color.RGBA{A: 255}, draw.CircleGlyph{}, nil},
	{color.RGBA{R: 200, G: 60, B: 30, A: 255}, draw.BoxGlyph{}, []vg.Length{6, 2}},
	{color.RGBA{R: 30, G: 100, B: 170, A: 255}, draw.PyramidGlyph{}, []vg.Length{2, 2}},
	{color.RGBA{R: 20, G: 130, B: 80, A: 255}, draw.CrossGlyph{}, []vg.Length{8, 2, 2, 2}},
	{color.RGBA{R: 140, G: 90, B: 170, A: 255}, draw.RingGlyph{}, []vg.Length{4, 4}},
	{color.RGBA{R: 110, G: 110, B: 110, A: 255}, draw.PlusGlyph{}, []vg.Length{1, 3}},
}

// SVG returns the chart as a document.
func (c Chart) SVG() ([]byte, error) { return svg(width, height, c.paint) }

// PNG returns it as an image.
func (c Chart) PNG() ([]byte, error) { return image(width, height, c.paint) }

func (c Chart) paint(whole draw.Canvas) error {
	if len(c.Series) > len(looks) {
		return fmt.Errorf("chart: %d series, of which %d can be told apart", len(c.Series), len(looks))
	}
	p := plot.New()
	p.Title.Text, p.X.Label.Text, p.Y.Label.Text = c.Title, c.X, c.Y
	key := plot.NewLegend()
	print(p)
	key.TextStyle.Font = sans
	grid := plotter.NewGrid()
	grid.Vertical.Width = 0
	p.Add(grid)
	drawn := false
	for i, s := range c.Series {
		thumbs, err := c.add(p, i, s)
		if err != nil {
			return err
		}
		if len(thumbs) > 0 {
			key.Add(s.Name, thumbs...)
			drawn = true
		}
	}
	if !drawn {
		return errors.New("chart: nothing to draw")
	}
	c.axes(p)
	p.Draw(draw.Crop(whole, 4, -legend, 4, -4))
	key.Top, key.Left, key.ThumbnailWidth, key.Padding = true, true, 30, 6
	key.YPosition = draw.PosCenter
	key.Draw(draw.Crop(whole, width-legend+8, 0, 0, -40))
	return nil
}

var sans = font.Font{Typeface: "Liberation", Variant: "Sans", Size: typical}

// print sets the print of a plot.
func print(p *plot.Plot) {
	for _, f := range []*font.Font{&p.Title.TextStyle.Font, &p.X.Label.TextStyle.Font, &p.Y.Label.TextStyle.Font,
		&p.X.Tick.Label.Font, &p.Y.Tick.Label.Font} {
		*f = sans
	}
	p.Title.Padding, p.X.Padding, p.Y.Padding = 8, 4, 4
}

// add puts series i on the plot and returns how the key shows it, nothing where no
// point can be shown.
func (c Chart) add(p *plot.Plot, i int, s Series) ([]plot.Thumbnailer, error) {
	var xys plotter.XYs
	for _, q := range s.Points {
		if sum := q.X + q.Y; math.IsNaN(sum) || math.IsInf(sum, 0) || c.LogY && q.Y <= 0 {
			continue
		}
		xys = append(xys, plotter.XY(q))
	}
	if len(xys) == 0 {
		return nil, nil
	}
	line, points, err := plotter.NewLinePoints(xys)
	if err != nil {
		return nil, err
	}
	l := looks[i]
	line.Color, line.Width, line.Dashes = l.color, 1.3, l.dashes
	points.Color, points.Shape, points.Radius = l.color, l.shape, 3.5
	p.Add(line)
	if s.Bare {
		return []plot.Thumbnailer{line}, nil
	}
	p.Add(points)
	return []plot.Thumbnailer{line, points}, nil
}

// axes sets scales and ticks once all is on the plot.
func (c Chart) axes(p *plot.Plot) {
	if c.LogY {
		lo, hi := math.Floor(math.Log10(p.Y.Min)), math.Ceil(math.Log10(p.Y.Max))
		hi = max(hi, lo+1)
		p.Y.Scale, p.Y.Tick.Marker = plot.LogScale{}, decades(int(lo), int(hi))
		p.Y.Min, p.Y.Max = math.Pow10(int(lo)), math.Pow10(int(hi))
	} else {
		p.Y.Min = 0
		p.Y.Max = max(1, p.Y.Max*1.05)
	}
	if len(c.Categories) > 0 {
		var ticks plot.ConstantTicks
		for i, name := range c.Categories {
			ticks = append(ticks, plot.Tick{Value: float64(i), Label: name})
		}
		p.X.Tick.Marker = ticks
		p.X.Min, p.X.Max = -0.3, float64(len(c.Categories))-0.7
	}
}

// decades are ticks from 10^lo to 10^hi, labelled at the powers.
func decades(lo, hi int) plot.ConstantTicks {
	var ticks plot.ConstantTicks
	for e := lo; e <= hi; e++ {
		v := math.Pow10(e)
		ticks = append(ticks, plot.Tick{Value: v, Label: strconv.FormatFloat(v, 'f', -1, 64)})
		for k := 2.0; k <= 9 && e < hi; k++ {
			ticks = append(ticks, plot.Tick{Value: k * v})
		}
	}
	return ticks
}
