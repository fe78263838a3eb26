package chart

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// A Course is readings over time, and the law that they follow.
type Course struct {
	Title, X, Y string // titles of the whole and of the axes, with their units
	Readings    []CourseReading
	// Law is what the readings follow at x and its standard uncertainty there; From one x
	// To another it is drawn, from Ahead on as what is to come.
	Law             func(x float64) (y, u float64)
	From, To, Ahead float64
	K               float64 // standard uncertainties that bars and the band reach to either side
	Steps           []CourseStep
	Mark            float64 // x of something done to the string; NaN for nothing
	Marked          string  // what
}

// A CourseReading is one reading with its standard uncertainty.
type CourseReading struct {
	X, Y, U float64
	Odd     bool // it does not belong to the law
}

// A CourseStep is a jump somewhere between two readings.
type CourseStep struct {
	From, To float64
	Name     string
}

const (
	courseHeight = 400
	courseKey    = 158  // width of the key
	most         = 1000 // readings that are drawn; of more, one in so many
	barred       = 150  // up to which they have bars
)

// SVG returns the picture as a document.
func (c Course) SVG() ([]byte, error) { return svg(width, courseHeight, c.draw) }

// PNG returns it as an image.
func (c Course) PNG() ([]byte, error) { return image(width, courseHeight, c.draw) }

// draw draws the picture, and the key beside it.
func (c Course) draw(on draw.Canvas) error {
	if len(c.Readings) == 0 {
		return errors.New("chart: no reading to draw")
	}
	p := plot.New()
	print(p)
	p.Title.Text, p.X.Label.Text, p.Y.Label.Text = c.Title, c.X, c.Y
	p.Add(plotter.NewGrid())
	key := plot.NewLegend()
	key.TextStyle.Font = sans
	for _, part := range []func(*plot.Plot, *plot.Legend) error{c.law, c.steps, c.readings} {
		if err := part(p, &key); err != nil {
			return err
		}
	}
	p.Draw(draw.Crop(on, 4, -courseKey, 4, -4))
	key.Top, key.Left, key.ThumbnailWidth, key.Padding = true, true, 24, 6
	key.YPosition = draw.PosCenter
	key.Draw(draw.Crop(on, width-courseKey+8, 0, 0, -40))
	return nil
}

// law draws the law with its band, and sets the range of the axes: that of what belongs
// to it.
func (c Course) law(p *plot.Plot, key *plot.Legend) error {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, r := range c.Readings {
		if !r.Odd {
			lo, hi = min(lo, r.Y-c.K*r.U), max(hi, r.Y+c.K*r.U)
		}
	}
	// Every step has its place among those that the law is drawn at.
	var known, ahead, upper, lower plotter.XYs
	add := func(x float64) {
		y, u := c.Law(x)
		q := plotter.XY{X: x, Y: y}
		if x <= c.Ahead {
			known = append(known, q)
		}
		if x >= c.Ahead {
			ahead = append(ahead, q)
		}
		upper = append(upper, plotter.XY{X: x, Y: y + c.K*u})
		lower = append(plotter.XYs{{X: x, Y: y - c.K*u}}, lower...)
		lo, hi = min(lo, y-c.K*u), max(hi, y+c.K*u)
	}
	const fine = 240
	next := 0
	for i := range fine + 1 {
		x := c.From + (c.To-c.From)*float64(i)/fine
		for ; next < len(c.Steps) && c.Steps[next].To <= x; next++ {
			add(math.Nextafter(c.Steps[next].To, c.From))
			add(c.Steps[next].To)
		}
		if i > 0 && c.Ahead > c.From+(c.To-c.From)*float64(i-1)/fine && c.Ahead < x {
			add(c.Ahead)
		}
		add(x)
	}
	band, err := plotter.NewPolygon(append(upper, lower...))
	if err != nil {
		return err
	}
	band.Color, band.LineStyle.Width = shade, 0
	p.Add(band)
	for _, part := range []struct {
		name   string
		points plotter.XYs
		dashes []vg.Length
	}{{"likeliest course", known, nil}, {"to come", ahead, []vg.Length{5, 3}}} {
		if len(part.points) < 2 {
			continue
		}
		line, err := plotter.NewLine(part.points)
		if err != nil {
			return err
		}
		line.Color, line.Width, line.Dashes = black, 1.2, part.dashes
		p.Add(line)
		key.Add(part.name, line)
	}
	key.Add(fmt.Sprintf("its ± (k = %g)", c.K), band)
	space := max(0.09*(hi-lo), 1e-6)
	p.Y.Min, p.Y.Max = lo-space, hi+space
	begin := min(c.From, c.Readings[0].X)
	side := 0.02 * (c.To - begin)
	p.X.Min, p.X.Max = begin-side, c.To+side
	return nil
}

// steps draws a line at each step, named beside it.
func (c Course) steps(p *plot.Plot, _ *plot.Legend) error {
	upright := func(x float64, name string, dashes []vg.Length) error {
		line, err := plotter.NewLine(plotter.XYs{{X: x, Y: p.Y.Min}, {X: x, Y: p.Y.Max}})
		if err != nil {
			return err
		}
		line.Color, line.Width, line.Dashes = black, 0.7, dashes
		labels, err := plotter.NewLabels(plotter.XYLabels{XYs: plotter.XYs{{X: x, Y: p.Y.Min}}, Labels: []string{name}})
		if err != nil {
			return err
		}
		labels.TextStyle[0].Font = sans
		labels.TextStyle[0].XAlign, labels.Offset = text.XLeft, vg.Point{X: 4, Y: 5}
		if x > (p.X.Min+p.X.Max)/2 {
			labels.TextStyle[0].XAlign, labels.Offset = text.XRight, vg.Point{X: -4, Y: 5}
		}
		p.Add(line, labels)
		return nil
	}
	for _, s := range c.Steps {
		if err := upright((s.From+s.To)/2, s.Name, []vg.Length{2, 3}); err != nil {
			return err
		}
	}
	if !math.IsNaN(c.Mark) {
		return upright(c.Mark, c.Marked, []vg.Length{7, 2, 2, 2})
	}
	return nil
}

// readings draws the readings: those that do not belong to the law as rings, or, where
// they lie beyond the axes, as triangles at the edge that say how far off they are.
func (c Course) readings(p *plot.Plot, key *plot.Legend) error {
	var own, odd, beyond plotter.XYs
	bars := errorBars{}
	var names []string
	stride := 1 + len(c.Readings)/most
	belong, stray := 0, 0
	for _, r := range c.Readings {
		if r.Odd {
			stray++
		} else {
			belong++
		}
		if r.Odd && (stray-1)%stride > 0 || !r.Odd && (belong-1)%stride > 0 {
			continue
		}
		q := plotter.XY{X: r.X, Y: r.Y}
		switch {
		case r.Odd && (r.Y > p.Y.Max || r.Y < p.Y.Min):
			q.Y = min(max(r.Y, p.Y.Min), p.Y.Max)
			beyond, names = append(beyond, q), append(names, fmt.Sprintf("%.3g", r.Y))
		case r.Odd:
			odd = append(odd, q)
		default:
			own = append(own, q)
			bars.XYs, bars.x, bars.y = append(bars.XYs, q), append(bars.x, 0), append(bars.y, c.K*r.U)
		}
	}
	if len(own) <= barred && len(own) > 0 {
		along, err := plotter.NewYErrorBars(bars)
		if err != nil {
			return err
		}
		along.CapWidth = 0
		p.Add(along)
	}
	some := ""
	if stride > 1 {
		some = fmt.Sprintf(", one in %d", stride)
	}
	radius := vg.Length(2.6)
	if len(own) > barred {
		radius = 1.3
	}
	for _, kind := range []struct {
		name   string
		points plotter.XYs
		style  draw.GlyphStyle
	}{
		{"reading" + some, own, draw.GlyphStyle{Color: black, Radius: radius, Shape: draw.CircleGlyph{}}},
		{"odd" + some, odd, draw.GlyphStyle{Color: black, Radius: 4, Shape: draw.RingGlyph{}}},
		{"odd, off the picture", beyond, draw.GlyphStyle{Color: black, Radius: 5, Shape: draw.TriangleGlyph{}}},
	} {
		if len(kind.points) == 0 {
			continue
		}
		points, err := plotter.NewScatter(kind.points)
		if err != nil {
			return err
		}
		points.GlyphStyle = kind.style
		p.Add(points)
		key.Add(kind.name, points)
	}
	if len(beyond) == 0 || len(beyond) > 12 || stride > 1 { // more could not be read
		return nil
	}
	labels, err := plotter.NewLabels(plotter.XYLabels{XYs: beyond, Labels: names})
	if err != nil {
		return err
	}
	for i := range labels.TextStyle {
		labels.TextStyle[i].Font = sans
		labels.TextStyle[i].XAlign, labels.TextStyle[i].YAlign = text.XLeft, text.YCenter
	}
	labels.Offset = vg.Point{X: 7, Y: 0}
	p.Add(labels)
	return nil
}
