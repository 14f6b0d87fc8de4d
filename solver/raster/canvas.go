package raster

import (
	"image"
	"image/color"
	"image/png"
	"io"

	"foldwright/solver/geom"
)

// Canvas is an image being painted.
type Canvas struct {
	img  *image.RGBA
	rows sweep
}

// New makes a transparent canvas.
func New(width, height int) *Canvas {
	return &Canvas{img: image.NewRGBA(image.Rect(0, 0, width, height))}
}

// Image is what has been painted so far; it is not a copy.
func (c *Canvas) Image() *image.RGBA { return c.img }

// WritePNG writes the image.
func (c *Canvas) WritePNG(w io.Writer) error { return png.Encode(w, c.img) }

// Rule tells which parts of crossing rings are inside.
type Rule uint8

const (
	EvenOdd Rule = iota
	NonZero
)

// Fill paints the inside of closed rings. The colour is not premultiplied.
func (c *Canvas) Fill(rings [][]geom.Vec2, rule Rule, ink color.NRGBA) {
	box := c.img.Rect
	c.rows.run(rings, rule, box.Dx(), box.Dy(), func(y, x0 int, coverage []float32) {
		at := c.img.PixOffset(x0, y)
		for _, v := range coverage {
			if v > 0 {
				over(c.img.Pix[at:at+4:at+4], ink, v)
			}
			at += 4
		}
	})
}

// Clear paints the whole canvas.
func (c *Canvas) Clear(ink color.NRGBA) {
	for at := 0; at < len(c.img.Pix); at += 4 {
		over(c.img.Pix[at:at+4:at+4], ink, 1)
	}
}

// over lays ink on a premultiplied pixel, of which it covers a fraction.
func over(pixel []uint8, ink color.NRGBA, coverage float32) {
	alpha := min(coverage, 1) * float32(ink.A) / 255
	for i, v := range [4]uint8{ink.R, ink.G, ink.B, 255} {
		pixel[i] = uint8(float32(v)*alpha + float32(pixel[i])*(1-alpha) + 0.5)
	}
}
