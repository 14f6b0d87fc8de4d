package draw

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"foldwright/solver/geom"
)

// Face is a cut of the font.
type Face uint8

const (
	Regular Face = iota
	Bold
	faceCount
)

// Booklet is a PDF document of pages with words, rules and pictures, put where
// its writer says: millimetres, y up from the lower left corner of the page.
// Words can be searched and copied; pictures are vectors. The same calls make
// the same bytes.
type Booklet struct {
	Title string

	size  geom.Vec2
	fonts [faceCount]*pdfFont
	pages []pdfContent
	err   error
}

// NewBooklet starts a document on a paper, upright unless landscape is asked for.
func NewBooklet(title string, paper Paper, o Orientation) *Booklet {
	b := &Booklet{Title: title, size: geom.Vec2{X: min(paper.Width, paper.Height), Y: max(paper.Width, paper.Height)}}
	if o == Landscape {
		b.size.X, b.size.Y = b.size.Y, b.size.X
	}
	for face := range faceCount {
		b.fonts[face] = newPDFFont(face)
	}
	return b
}

// Size is that of every page.
func (b *Booklet) Size() geom.Vec2 { return b.size }

// Pages is how many there are.
func (b *Booklet) Pages() int { return len(b.pages) }

// AddPage starts the next page; what follows goes there.
func (b *Booklet) AddPage() {
	b.pages = append(b.pages, pdfContent{})
	b.page().scale(geom.Vec2{})
}

// OnEach adds something to every page, such as its number.
func (b *Booklet) OnEach(do func(page int)) {
	whole := b.pages
	for n := range whole {
		b.pages = whole[:n+1]
		do(n)
	}
	b.pages = whole
}

func (b *Booklet) page() *pdfContent { return &b.pages[len(b.pages)-1] }

// TextWidth is the length of a line of words in type of a size.
func (b *Booklet) TextWidth(face Face, size float64, s string) float64 {
	return b.fonts[face].width(s, size)
}

// Wrap breaks words into lines.
func (b *Booklet) Wrap(face Face, size, width float64, s string) []string {
	return b.fonts[face].wrap(s, size, width)
}

// Write sets a line of words on a base line.
func (b *Booklet) Write(face Face, size float64, at geom.Vec2, anchor Anchor, ink, s string) {
	font := b.fonts[face]
	at.X -= [...]float64{Start: 0, Middle: 0.5, End: 1}[anchor] * font.width(s, size)
	c := b.page()
	c.ink("rg", ink)
	c.raw(fmt.Sprintf("BT\n/F%d ", face))
	c.op("Tf", size)
	c.point("Td", at)
	font.show(c, s, size)
	c.raw("ET\n")
}

// Rule draws a line.
func (b *Booklet) Rule(from, to geom.Vec2, width float64, ink string) {
	c := b.page()
	c.ink("RG", ink)
	c.line(width, nil)
	c.point("m", from)
	c.point("l", to)
	c.raw("S\n")
}

// Area fills a box.
func (b *Booklet) Area(box geom.Box2, ink string) {
	c, size := b.page(), box.Size()
	c.ink("rg", ink)
	c.op("re", box.Min.X, box.Min.Y, size.X, size.Y)
	c.raw("f\n")
}

// Picture places a picture in a box, as large as its shape allows.
func (b *Booklet) Picture(p *Picture, in geom.Box2) {
	if !p.sound() {
		b.err = &Error{Reason: "a picture has a number that is none"}
		return
	}
	box := p.FitIn(in)
	k := box.Size().X / p.Width
	put := func(at geom.Vec2) geom.Vec2 { return geom.Vec2{X: box.Min.X + k*at.X, Y: box.Max.Y - k*at.Y} }
	for i := range p.Shapes {
		s := &p.Shapes[i]
		if w := s.Words; w != nil {
			b.Write(Regular, k*w.Size, put(w.At), w.Anchor, w.Ink, w.S)
			continue
		}
		b.shape(s, k, put)
	}
}

func (b *Booklet) shape(s *Shape, k float64, put func(geom.Vec2) geom.Vec2) {
	c := b.page()
	paint := map[[2]bool]string{{true, false}: "f*\n", {false, true}: "S\n", {true, true}: "B*\n"}[[2]bool{s.Fill != "", s.Stroke != ""}]
	if paint == "" {
		return
	}
	if s.Fill != "" {
		c.ink("rg", s.Fill)
	}
	if s.Stroke != "" {
		dash := make([]float64, len(s.Dash))
		for i, v := range s.Dash {
			dash[i] = k * v
		}
		c.ink("RG", s.Stroke)
		c.line(k*s.Width, dash)
	}
	for _, l := range s.Lines {
		for i, at := range l.Points {
			c.point("ml"[min(i, 1):][:1], put(at))
		}
		if l.Closed {
			c.raw("h\n")
		}
	}
	c.raw(paint)
}

// WriteTo writes the file.
func (b *Booklet) WriteTo(w io.Writer) (int64, error) {
	if b.err != nil {
		return 0, b.err
	}
	data := b.close()
	if err := writeAll(w, data); err != nil {
		return 0, err
	}
	return int64(len(data)), nil
}

func (b *Booklet) close() []byte {
	f := newPDFFile()
	root, tree := f.reserve(), f.reserve()
	var fonts, kids strings.Builder
	for face, font := range b.fonts {
		if len(font.codes) > 0 {
			fmt.Fprintf(&fonts, " /F%d %d 0 R", face, font.write(f))
		}
	}
	length := 0
	for i := range b.pages {
		length += len(b.pages[i].b)
	}
	f.b = slices.Grow(f.b, length+length/16)
	for i := range b.pages {
		content := f.stream("", b.pages[i].b)
		page := f.add(fmt.Sprintf("<</Type /Page /Parent %d 0 R /MediaBox [0 0 %s %s] /Resources <</ProcSet [/PDF /Text] /Font <<%s>>>> /Contents %d 0 R>>",
			tree, pageSide(b.size.X), pageSide(b.size.Y), strings.TrimPrefix(fonts.String(), " "), content))
		fmt.Fprintf(&kids, " %d 0 R", page)
	}
	f.object(tree, fmt.Sprintf("<</Type /Pages /Count %d /Kids [%s]>>", len(b.pages), strings.TrimPrefix(kids.String(), " ")))
	f.object(root, fmt.Sprintf("<</Type /Catalog /Lang (en) /Pages %d 0 R /ViewerPreferences <</DisplayDocTitle true>>>>", tree))
	return f.finish(root, f.add("<</Producer (Foldwright) /Title "+pdfString(b.Title)+">>"))
}
