package view

import (
	"fmt"
	"math"
	"strconv"
	"unicode/utf8"

	"foldwright/solver/geom"
)

// canvas collects the bytes of an SVG. Coordinates are px, x right and y down.
type canvas struct{ b []byte }

func (c *canvas) text(s string) { c.b = append(c.b, s...) }

func (c *canvas) textf(format string, args ...any) { c.b = fmt.Appendf(c.b, format, args...) }

// number writes a coordinate to a hundredth of a px, as short as it goes.
func (c *canvas) number(v float64) {
	n := int64(math.Round(v * 100))
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

func (c *canvas) colour(k rgb) {
	const digits = "0123456789abcdef"
	c.b = append(c.b, '#')
	for _, v := range [3]float64{k.r, k.g, k.b} {
		n := uint8(math.Round(min(max(v, 0), 255)))
		c.b = append(c.b, digits[n>>4], digits[n&15])
	}
}

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
