package draw

import (
	"io"
	"math"

	"foldwright/solver/geom"
)

// Picture is a picture that is drawn: coloured areas, lines and words in the
// order they are painted. Its units are its own, x to the right and y down from
// the upper left corner; whoever places it gives it a size. It needs no ids, so
// any number of pictures can share a page.
type Picture struct {
	Width, Height float64
	Title         string // what it shows, for those who cannot see it
	Shapes        []Shape
}

// Shape is one area, or lines, or one line of words.
type Shape struct {
	Lines  []Polyline
	Fill   string // #rrggbb of the area inside the lines, by the even-odd rule; empty for none
	Stroke string // #rrggbb of the lines; empty for none
	Width  float64
	Dash   []float64
	Words  *Words
}

// Polyline is a run of straight lines.
type Polyline struct {
	Points []geom.Vec2
	Closed bool
}

// Words is a line of text with At on its base line.
type Words struct {
	S      string
	At     geom.Vec2
	Size   float64 // of the type
	Anchor Anchor
	Ink    string
}

// WritePicture writes a picture as SVG of a width that fits where it is put.
func WritePicture(w io.Writer, p *Picture) error {
	s := pictureWriter{}
	s.text(`<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="0 0 `)
	s.numbers(p.Width, p.Height)
	s.text(`"><title>`)
	s.text(xmlText(p.Title))
	s.text("</title>\n")
	for i := range p.Shapes {
		s.shape(&p.Shapes[i])
	}
	s.text("</svg>\n")
	return writeAll(w, s.b)
}

// pictureDecimals of a unit of a picture, which is shown as about a pixel.
const pictureDecimals = 1

type pictureWriter struct{ b []byte }

func (s *pictureWriter) text(t string) { s.b = append(s.b, t...) }

func (s *pictureWriter) numbers(values ...float64) {
	for i, v := range values {
		if i > 0 {
			s.b = append(s.b, ' ')
		}
		s.b = geom.AppendNumber(s.b, v, pictureDecimals)
	}
}

func (s *pictureWriter) attribute(name, value string) { s.text(" " + name + `="` + value + `"`) }

func (s *pictureWriter) shape(k *Shape) {
	if k.Words != nil {
		s.words(k.Words)
		return
	}
	s.text("<path")
	s.attribute("fill", orNone(k.Fill))
	if k.Fill != "" {
		s.attribute("fill-rule", "evenodd")
	}
	if k.Stroke != "" {
		s.attribute("stroke", k.Stroke)
		s.attribute("stroke-linejoin", "round")
		s.text(` stroke-width="`)
		s.b = geom.AppendNumber(s.b, k.Width, pictureDecimals+1)
		s.text(`"`)
		if len(k.Dash) > 0 {
			s.text(` stroke-dasharray="`)
			s.numbers(k.Dash...)
			s.text(`"`)
		} else {
			s.attribute("stroke-linecap", "round")
		}
	}
	s.text(` d="`)
	for _, l := range k.Lines {
		for i, p := range l.Points {
			s.text("ML"[min(i, 1):][:1])
			s.numbers(p.X, p.Y)
		}
		if l.Closed {
			s.text("Z")
		}
	}
	s.text("\"/>\n")
}

func orNone(color string) string {
	if color == "" {
		return "none"
	}
	return color
}

var anchorNames = [...]string{Start: "start", Middle: "middle", End: "end"}

func (s *pictureWriter) words(w *Words) {
	s.text(`<text font-family="sans-serif" x="`)
	s.numbers(w.At.X)
	s.text(`" y="`)
	s.numbers(w.At.Y)
	s.text(`" font-size="`)
	s.numbers(w.Size)
	s.text(`"`)
	s.attribute("text-anchor", anchorNames[w.Anchor])
	s.attribute("fill", w.Ink)
	s.text(">" + xmlText(w.S) + "</text>\n")
}

// FitIn is the largest box of the picture's shape in the middle of a box.
func (p *Picture) FitIn(box geom.Box2) geom.Box2 {
	size := box.Size()
	k := min(size.X/p.Width, size.Y/p.Height)
	half := geom.Vec2{X: p.Width, Y: p.Height}.Mul(k / 2)
	return geom.Box2{Min: box.Center().Sub(half), Max: box.Center().Add(half)}
}

// sound tells whether every number of the picture is one.
func (p *Picture) sound() bool {
	ok := p.Width > 0 && p.Height > 0 && !math.IsInf(p.Width+p.Height, 0)
	for i := range p.Shapes {
		for _, l := range p.Shapes[i].Lines {
			for _, at := range l.Points {
				ok = ok && finite(at)
			}
		}
	}
	return ok
}
