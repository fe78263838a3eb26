package chart

import (
	"errors"
	"fmt"
	"math"
	"unicode/utf8"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Levels are values in places side by side, and the line that they were to keep to.
type Levels struct {
	Title, X, Y string // titles of the whole and of the axes, with their units
	Levels      []Level
	// K is how many standard uncertainties bars reach to either side.
	K float64
	// Wished says what the line is; empty where there is none.
	Wished string
	// Between shades what lies between the lowest and the highest value.
	Between bool
	// Was says what the values are that stand beside, each before its own; empty where
	// there are none. Is says what the others are, where they are not strings, and Odd what
	// marks are about.
	Was, Is, Odd string
}

// A Level is a value in its place.
type Level struct {
	Place, Name string
	Y, U        float64
	Wish        float64 // that of the line there
	Was, WasU   float64 // that stands beside
	None        bool    // there is no value
	Odd         bool    // to be marked
}

const (
	levelsHeight = 380
	letter       = 0.56 * typical // mean width of a letter
	longestName  = 20
	beside       = 0.12 // of the distance between places, by which two values are moved apart
	slant        = 0.9  // rad, by which names are turned that are too long side by side
)

// SVG returns the picture as a document.
func (l Levels) SVG() ([]byte, error) { return svg(width, levelsHeight, l.paint) }

// PNG returns it as an image.
func (l Levels) PNG() ([]byte, error) { return image(width, levelsHeight, l.paint) }

func (l Levels) paint(canvas draw.Canvas) error {
	p := plot.New()
	p.Title.Text, p.X.Label.Text, p.Y.Label.Text = l.Title, l.X, l.Y
	print(p)
	grid := plotter.NewGrid()
	grid.Vertical.Width = 0
	p.Add(grid)
	bars, was := errorBars{}, errorBars{}
	var drawn []Level // with a value
	var wish, none plotter.XYs
	for i, v := range l.Levels {
		x := float64(i)
		if l.Wished != "" {
			wish = append(wish, plotter.XY{X: x, Y: v.Wish})
		}
		if v.None {
			if l.Wished != "" {
				none = append(none, plotter.XY{X: x, Y: v.Wish})
			}
			continue
		}
		if l.Was != "" {
			was.XYs = append(was.XYs, plotter.XY{X: x - beside, Y: v.Was})
			was.y = append(was.y, l.K*v.WasU)
			x += beside
		}
		drawn = append(drawn, v)
		bars.XYs = append(bars.XYs, plotter.XY{X: x, Y: v.Y})
		bars.y = append(bars.y, l.K*v.U)
	}
	if len(drawn) == 0 {
		return errors.New("chart: no level to draw")
	}
	var key keyLine
	if l.Between {
		band, err := l.band(bars.XYs)
		if err != nil {
			return err
		}
		p.Add(band)
		key.add("spread", band)
	}
	if len(wish) > 0 {
		// From edge to edge, so that it is a line where there is one place only.
		wish = append(append(plotter.XYs{{X: -0.5, Y: wish[0].Y}}, wish...), plotter.XY{X: float64(len(l.Levels)) - 0.5, Y: wish[len(wish)-1].Y})
		line, err := plotter.NewLine(wish)
		if err != nil {
			return err
		}
		line.Color, line.Width, line.Dashes = black, 1, []vg.Length{5, 3}
		p.Add(line)
		key.add(l.Wished, line)
	}
	points, err := plotter.NewScatter(bars.XYs)
	if err != nil {
		return err
	}
	points.GlyphStyleFunc = func(i int) draw.GlyphStyle {
		if drawn[i].Odd {
			return draw.GlyphStyle{Color: black, Radius: 5, Shape: draw.BoxGlyph{}}
		}
		return draw.GlyphStyle{Color: black, Radius: 3.5, Shape: draw.CircleGlyph{}}
	}
	up, err := plotter.NewYErrorBars(bars)
	if err != nil {
		return err
	}
	up.CapWidth, up.Width = 10, 1.2
	p.Add(up, points)
	if l.Was != "" {
		if err := l.addWas(p, was, &key); err != nil {
			return err
		}
	}
	is, odd := "string", "with a doubt"
	if l.Is != "" {
		is, odd = l.Is, l.Odd
	}
	key.add(fmt.Sprintf("%s, ± with k = %g", is, l.K), glyph{draw.GlyphStyle{Color: black, Radius: 3.5, Shape: draw.CircleGlyph{}}})
	for _, v := range drawn {
		if v.Odd {
			key.add(odd, glyph{draw.GlyphStyle{Color: black, Radius: 5, Shape: draw.BoxGlyph{}}})
			break
		}
	}
	if len(none) > 0 {
		empty, err := plotter.NewScatter(none)
		if err != nil {
			return err
		}
		empty.GlyphStyle = draw.GlyphStyle{Color: black, Radius: 5, Shape: draw.CrossGlyph{}}
		p.Add(empty)
		key.add("no string", glyph{empty.GlyphStyle})
	}
	l.axes(p)
	p.Draw(draw.Crop(canvas, 4, -4, 26, -4))
	key.draw(canvas)
	return nil
}

// addWas draws the values that stand beside.
func (l Levels) addWas(p *plot.Plot, was errorBars, key *keyLine) error {
	points, err := plotter.NewScatter(was.XYs)
	if err != nil {
		return err
	}
	points.GlyphStyle = draw.GlyphStyle{Color: black, Radius: 3.5, Shape: draw.RingGlyph{}}
	up, err := plotter.NewYErrorBars(was)
	if err != nil {
		return err
	}
	up.CapWidth, up.Width = 6, 0.8
	p.Add(up, points)
	key.add(l.Was, glyph{points.GlyphStyle})
	return nil
}

// axes names the places and what is in them, and leaves room about what is drawn.
func (l Levels) axes(p *plot.Plot) {
	longest := 0
	names := make([]string, len(l.Levels))
	for i, v := range l.Levels {
		names[i] = short(v.Name)
		longest = max(longest, utf8.RuneCountInString(v.Place), utf8.RuneCountInString(names[i]))
	}
	turned := letter*float64(longest+1) > (width-80)/float64(len(l.Levels))
	var ticks plot.ConstantTicks
	for i, v := range l.Levels {
		label := v.Place + "\n" + names[i]
		if turned {
			label = v.Place + "  " + names[i]
		}
		ticks = append(ticks, plot.Tick{Value: float64(i), Label: label})
	}
	p.X.Tick.Marker = ticks
	p.X.Min, p.X.Max = -0.5, float64(len(l.Levels))-0.5
	if turned {
		t := &p.X.Tick.Label
		t.Rotation, t.XAlign, t.YAlign = slant, text.XRight, text.YCenter
	}
	room := 0.08 * (p.Y.Max - p.Y.Min)
	if room == 0 {
		room = 0.02 * math.Abs(p.Y.Max)
	}
	p.Y.Min, p.Y.Max = max(0, p.Y.Min-room), p.Y.Max+room
}

// short is a name of no more than longestName letters.
func short(name string) string {
	if all := []rune(name); len(all) > longestName {
		return string(all[:longestName-1]) + "…"
	}
	return name
}

// A keyLine says in a line below a plot what its marks are.
type keyLine []keyEntry

type keyEntry struct {
	name string
	mark plot.Thumbnailer
}

func (k *keyLine) add(name string, mark plot.Thumbnailer) { *k = append(*k, keyEntry{name, mark}) }

// draw draws it along the lower edge.
func (k keyLine) draw(canvas draw.Canvas) {
	x := vg.Length(50)
	for _, e := range k {
		key := plot.NewLegend()
		key.TextStyle.Font = sans
		key.Left, key.ThumbnailWidth, key.Padding = true, 26, 4
		key.Add(e.name, e.mark)
		key.Draw(draw.Crop(canvas, x, 0, 6, 0))
		x += 26 + 22 + vg.Length(letter*float64(utf8.RuneCountInString(e.name)))
	}
}

// A glyph is a mark in a key.
type glyph struct{ draw.GlyphStyle }

func (g glyph) Thumbnail(c *draw.Canvas) { c.DrawGlyph(g.GlyphStyle, c.Center()) }

// band is from the lowest value to the highest.
func (l Levels) band(at plotter.XYs) (*plotter.Polygon, error) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, q := range at {
		low, high = min(low, q.Y), max(high, q.Y)
	}
	left, right := -0.5, float64(len(l.Levels))-0.5
	band, err := plotter.NewPolygon(plotter.XYs{{X: left, Y: low}, {X: right, Y: low}, {X: right, Y: high}, {X: left, Y: high}})
	if err != nil {
		return nil, err
	}
	band.Color, band.LineStyle.Width = shade, 0
	return band, nil
}
