package view

import (
	"image/color"
	"io"
	"math"
	"strconv"

	"foldwright/solver/geom"
	"foldwright/solver/raster"
)

// pixels is a surface of pixels.
type pixels struct {
	*raster.Canvas
	edges float64
}

func (k rgb) opaque() color.NRGBA { return k.alpha(1) }

func (k rgb) alpha(a float64) color.NRGBA {
	byteOf := func(v float64) uint8 { return uint8(math.Round(min(max(v, 0), 255))) }
	return color.NRGBA{R: byteOf(k.r), G: byteOf(k.g), B: byteOf(k.b), A: byteOf(255 * a)}
}

// hexColour reads a colour that isHexColour.
func hexColour(s string) rgb {
	part := func(i int) float64 {
		digits := s[1+i*(len(s)-1)/3:][:(len(s)-1)/3]
		if len(digits) == 1 {
			digits += digits
		}
		v, err := strconv.ParseUint(digits, 16, 8)
		if err != nil {
			return 0 // cannot be: the options have been checked
		}
		return float64(v)
	}
	return rgb{part(0), part(1), part(2)}
}

func (c *pixels) open(width, height float64, _, background string) {
	c.Canvas = raster.New(int(math.Ceil(width)), int(math.Ceil(height)))
	if background != "" {
		c.Clear(hexColour(background).opaque())
	}
}

func (c *pixels) close()                   {}
func (c *pixels) beginPaper(edges float64) { c.edges = edges }
func (c *pixels) endPaper()                {}
func (c *pixels) beginSheet(_, _ string)   {}
func (c *pixels) endSheet()                {}

func (c *pixels) fill(rings [][]geom.Vec2, ink rgb) { c.Fill(rings, raster.EvenOdd, ink.opaque()) }

func (c *pixels) stroke(lines []raster.Line, ink rgb, width float64) {
	if width == 0 {
		width = c.edges
	}
	c.Stroke(lines, width, ink.opaque(), nil)
}

func (c *pixels) shadow(_ string, page [][]geom.Vec2, shapes [][][]geom.Vec2, blur float64) {
	m := c.NewMask(shadowBox(page, blur))
	for _, rings := range shapes {
		m.Add(rings, raster.EvenOdd)
	}
	m.Blur(blur)
	m.Clip(page)
	c.FillMask(m, shadowInk.alpha(shadowDepth))
}

func (c *pixels) write(how *lettering, texts []label) {
	for _, t := range texts {
		text := raster.Text{String: t.text, At: t.at, Size: how.size, Anchor: how.anchor, Ink: how.ink.opaque()}
		if how.halo {
			text.Halo, text.HaloWidth = rgb{255, 255, 255}.alpha(haloOpacity), haloWidth
		}
		c.Write(text)
	}
}

// MaxPNGWidth is the widest picture of pixels, px; its memory grows with the
// square.
const MaxPNGWidth = 4096

// draws makes a picture on a surface.
type draws func(s surface) error

func writeSVG(w io.Writer, draw draws) error {
	c := &canvas{}
	if err := draw(c); err != nil {
		return err
	}
	_, err := w.Write(c.b)
	return err
}

func writePNG(w io.Writer, o *Options, draw draws) error {
	if o.Width > MaxPNGWidth {
		return &OptionError{"Width", "must be at most " + strconv.Itoa(MaxPNGWidth) + " px for PNG"}
	}
	c := &pixels{}
	if err := draw(c); err != nil {
		return err
	}
	return c.WritePNG(w)
}
