package chart

import (
	"bytes"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// A Picture can be drawn as a document or as an image.
type Picture interface {
	SVG() ([]byte, error)
	PNG() ([]byte, error)
}

// svg is what is painted on a canvas of that size, as a document.
func svg(w, h vg.Length, paint func(draw.Canvas) error) ([]byte, error) {
	canvas := vgsvg.New(w, h)
	if err := paint(draw.New(canvas)); err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if _, err := canvas.WriteTo(&out); err != nil {
		return nil, err
	}
	// Readers without the Liberation fonts have one of the same widths.
	return bytes.ReplaceAll(out.Bytes(), []byte("font-family:Liberation Sans;"),
		[]byte("font-family:Liberation Sans,Arial,Helvetica,sans-serif;")), nil
}

// fineness is the dots per inch of an image.
const fineness = 144

// image is what is painted, as a PNG.
func image(w, h vg.Length, paint func(draw.Canvas) error) ([]byte, error) {
	canvas := vgimg.PngCanvas{Canvas: vgimg.NewWith(vgimg.UseWH(w, h), vgimg.UseDPI(fineness))}
	if err := paint(draw.New(canvas)); err != nil {
		return nil, err
	}
	var out bytes.Buffer
	_, err := canvas.WriteTo(&out)
	return out.Bytes(), err
}
