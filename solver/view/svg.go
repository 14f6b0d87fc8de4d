package view

import (
	"fmt"
	"math"
	"strconv"
	"unicode/utf8"

	"foldwright/solver/geom"
	"foldwright/solver/raster"
)

// canvas collects the bytes of an SVG. It is a surface.
type canvas struct {
	b      []byte
	coarse bool // coordinates to a tenth of a px, where many pictures share a file
}

func (c *canvas) text(s string) { c.b = append(c.b, s...) }

func (c *canvas) textf(format string, args ...any) { c.b = fmt.Appendf(c.b, format, args...) }

// number writes a coordinate to a hundredth of a px, as short as it goes.
func (c *canvas) number(v float64) {
	n := int64(math.Round(v * 100))
	if c.coarse {
		n = 10 * int64(math.Round(v*10))
	}
	if n < 0 {
		c.b = append(c.b, '-')
		n = -n
	}
	c.b = strconv.AppendInt(c.b, n/100, 10)
	if n %= 100; n != 0 {
		c.b = append(c.b, '.', byte('0'+n/10))
		if n %= 10; n != 0 {
			c.b = append(c.b, byte('0'+n))
		}
	}
}

func (c *canvas) point(command byte, p geom.Vec2) {
	c.b = append(c.b, command)
	c.number(p.X)
	c.b = append(c.b, ' ')
	c.number(p.Y)
}

func (c *canvas) ring(points []geom.Vec2) {
	for i, p := range points {
		c.point("ML"[min(i, 1)], p)
	}
	c.b = append(c.b, 'Z')
}

func (c *canvas) colour(k rgb) { c.text(k.hex()) }

// escaped writes text that came with the design. Runes XML does not allow
// become replacement characters.
func (c *canvas) escaped(s string) {
	for _, r := range s {
		switch {
		case r == '<':
			c.text("&lt;")
		case r == '>':
			c.text("&gt;")
		case r == '&':
			c.text("&amp;")
		case r == '"':
			c.text("&quot;")
		case r < ' ' && r != '\t' && r != '\n' && r != '\r', r == 0xFFFE, r == 0xFFFF:
			c.b = utf8.AppendRune(c.b, utf8.RuneError)
		default:
			c.b = utf8.AppendRune(c.b, r)
		}
	}
}

func (c *canvas) open(width, height float64, title, background string) {
	c.text(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 `)
	c.number(width)
	c.text(" ")
	c.number(height)
	c.text(`" width="`)
	c.number(width)
	c.text(`" height="`)
	c.number(height)
	c.text(`" role="img">` + "\n<title>")
	c.escaped(title)
	c.text("</title>\n")
	if background != "" {
		c.textf(`<rect width="100%%" height="100%%" fill="%s"/>`+"\n", background)
	}
}

func (c *canvas) close() { c.text("</svg>\n") }

func (c *canvas) beginPaper(edges float64) {
	c.text(`<g fill-rule="evenodd" stroke-linejoin="round" stroke-linecap="round" stroke-width="`)
	c.number(edges)
	c.text("\">\n")
}

func (c *canvas) endPaper() { c.text("</g>\n") }

func (c *canvas) beginSheet(sort, id string) {
	c.textf(`<g data-%s="`, sort)
	c.escaped(id)
	c.text(`">`)
}

func (c *canvas) endSheet() { c.text("</g>\n") }

func (c *canvas) fill(rings [][]geom.Vec2, ink rgb) {
	c.text(`<path fill="`)
	c.colour(ink)
	c.text(`" d="`)
	for _, ring := range rings {
		c.ring(ring)
	}
	c.text(`"/>`)
}

func (c *canvas) stroke(lines []raster.Line, ink rgb, width float64) {
	c.text(`<path fill="none" stroke="`)
	c.colour(ink)
	if width > 0 {
		c.text(`" stroke-width="`)
		c.number(width)
	}
	c.text(`" d="`)
	for _, line := range lines {
		for i, p := range line.Points {
			c.point("ML"[min(i, 1)], p)
		}
		if line.Closed {
			c.text("Z")
		}
	}
	c.text(`"/>`)
}

func (c *canvas) shadow(id string, page [][]geom.Vec2, shapes [][][]geom.Vec2, blur float64) {
	c.textf(`<clipPath id="%s-clip"><path clip-rule="evenodd" d="`, id)
	for _, ring := range page {
		c.ring(ring)
	}
	box := shadowBox(page, blur)
	c.textf(`"/></clipPath><filter id="%s-soft" filterUnits="userSpaceOnUse" x="`, id)
	c.number(box.Min.X)
	c.text(`" y="`)
	c.number(box.Min.Y)
	c.text(`" width="`)
	c.number(box.Size().X)
	c.text(`" height="`)
	c.number(box.Size().Y)
	c.text(`"><feGaussianBlur stdDeviation="`)
	c.number(blur)
	c.textf(`"/></filter><g clip-path="url(#%s-clip)"><g filter="url(#%s-soft)" opacity="%g" fill="`, id, id, shadowDepth)
	c.colour(shadowInk)
	c.text(`">`)
	for _, rings := range shapes {
		c.text(`<path d="`)
		for _, ring := range rings {
			c.ring(ring)
		}
		c.text(`"/>`)
	}
	c.text(`</g></g>`)
}

func (c *canvas) write(how *lettering, texts []label) {
	if len(texts) == 0 {
		return
	}
	c.textf(`<g font-family="sans-serif" font-size="%g"`, how.size)
	if how.anchor != raster.Start {
		c.textf(` text-anchor="%s"`, [...]string{raster.Middle: "middle", raster.End: "end"}[how.anchor])
	}
	c.text(` fill="`)
	c.colour(how.ink)
	if how.halo {
		c.textf(`" stroke="#fff" stroke-opacity="%g" stroke-width="%g" stroke-linejoin="round" paint-order="stroke`, haloOpacity, haloWidth)
	}
	c.text("\">\n")
	for _, t := range texts {
		c.text(`<text x="`)
		c.number(t.at.X)
		c.text(`" y="`)
		c.number(t.at.Y)
		c.text(`">`)
		c.escaped(t.text)
		c.text("</text>\n")
	}
	c.text("</g>\n")
}
