package curves

import (
	"encoding/xml"
	"fmt"
	"image/color"
	"io"
	"math"
	"strconv"
	"strings"

	"foldwright/solver/geom"
	"foldwright/solver/raster"
)

// dotSize is the width of the dot of a value with none beside it, px.
const dotSize = 4.0

// WriteSVG plots a table as SVG. Each curve is a group with its measure as
// data-measure.
func WriteSVG(w io.Writer, t *Table, o PlotOptions) error {
	o, err := o.resolved(t)
	if err != nil {
		return err
	}
	s := layout(t, &o)
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" width="%d" height="%d" role="img">`+"\n<title>%s</title>\n",
		s.width, s.height, s.width, s.height, escaped(s.title))
	if s.ground {
		b.WriteString(`<rect width="100%" height="100%" fill="#fff"/>` + "\n")
	}
	b.WriteString(`<g fill="none" stroke-linejoin="round" stroke-linecap="round">` + "\n")
	for i := range s.lines {
		writeLine(&b, &s.lines[i])
	}
	fmt.Fprintf(&b, "</g>\n<g font-family=\"sans-serif\">\n")
	for _, x := range s.texts {
		writeText(&b, &x)
	}
	b.WriteString("</g>\n</svg>\n")
	_, err = io.WriteString(w, b.String())
	return err
}

func writeLine(b *strings.Builder, l *line) {
	if l.id != "" {
		fmt.Fprintf(b, `<g data-measure="%s">`, escaped(l.id))
	}
	fmt.Fprintf(b, `<path stroke="%s" stroke-width="%s"`, hex(l.ink), number(l.width))
	if len(l.dash) > 0 {
		parts := make([]string, len(l.dash))
		for i, d := range l.dash {
			parts[i] = number(d)
		}
		fmt.Fprintf(b, ` stroke-dasharray="%s"`, strings.Join(parts, " "))
	}
	b.WriteString(` d="`)
	for _, run := range l.runs {
		for i, p := range run.Points {
			fmt.Fprintf(b, "%c%s %s", "ML"[min(i, 1)], number(p.X), number(p.Y))
		}
	}
	b.WriteString(`"/>`)
	for _, p := range l.dotted {
		fmt.Fprintf(b, `<circle fill="%s" cx="%s" cy="%s" r="%s"/>`, hex(l.ink), number(p.X), number(p.Y), number(dotSize/2))
	}
	if l.id != "" {
		b.WriteString("</g>")
	}
	b.WriteString("\n")
}

func writeText(b *strings.Builder, x *raster.Text) {
	place := fmt.Sprintf(`x="%s" y="%s"`, number(x.At.X), number(x.At.Y))
	if x.Up {
		place = fmt.Sprintf(`transform="translate(%s %s) rotate(-90)"`, number(x.At.X), number(x.At.Y))
	}
	anchor := [...]string{raster.Start: "", raster.Middle: ` text-anchor="middle"`, raster.End: ` text-anchor="end"`}[x.Anchor]
	fmt.Fprintf(b, `<text %s font-size="%s" fill="%s"%s>%s</text>`+"\n", place, number(x.Size), hex(x.Ink), anchor, escaped(x.String))
}

// WritePNG plots a table as PNG, the same picture as WriteSVG.
func WritePNG(w io.Writer, t *Table, o PlotOptions) error {
	o, err := o.resolved(t)
	if err != nil {
		return err
	}
	s := layout(t, &o)
	c := raster.New(s.width, s.height)
	if s.ground {
		c.Clear(color.NRGBA{255, 255, 255, 255})
	}
	for i := range s.lines {
		l := &s.lines[i]
		c.Stroke(l.runs, l.width, l.ink, l.dash)
		for _, p := range l.dotted {
			c.Stroke([]raster.Line{{Points: []geom.Vec2{p}}}, dotSize, l.ink, nil)
		}
	}
	for _, x := range s.texts {
		c.Write(x)
	}
	return c.WritePNG(w)
}

func number(v float64) string {
	return strconv.FormatFloat(math.Round(v*100)/100+0, 'f', -1, 64)
}

func hex(c color.NRGBA) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

func escaped(s string) string {
	var b strings.Builder
	if err := xml.EscapeText(&b, []byte(s)); err != nil {
		return "" // a builder does not fail
	}
	return b.String()
}
