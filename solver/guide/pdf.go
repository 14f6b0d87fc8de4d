package guide

import (
	"io"
	"strconv"
	"strings"

	"foldwright/solver/draw"
	"foldwright/solver/geom"
)

// PDFOptions shape the pages of a PDF.
type PDFOptions struct {
	Paper       draw.Paper
	Orientation draw.Orientation // portrait unless draw.Landscape
}

// LeastPage is the smallest paper that the lines of a guide fit, mm: A6.
const LeastPage = 105.0

// Type sizes, mm, and the leading in sizes of the type.
const (
	bodySize    = 3.5
	smallSize   = 2.9
	stepSize    = 4.4
	headingSize = 5.4
	titleSize   = 9.0
	leading     = 1.36
)

// Inks of words and rules; the file is made to be printed.
const (
	ink     = "#16181d"
	softInk = "#555b66"
	ruleInk = "#b9bec7"
)

// sideBySide is the width of the type area from which a picture stands beside
// the words of its step, mm.
const sideBySide = 130.0

// pictureShare is how much of the type area's height a picture may take.
const pictureShare = 0.42

// WritePDF writes the guide as pages with pictures as vectors. A step keeps its
// picture, its words and its checks on one page, where they fit one.
func WritePDF(w io.Writer, g *Guide, o PDFOptions) error {
	if min(o.Paper.Width, o.Paper.Height) < LeastPage {
		return &draw.OptionError{Field: "paper", Reason: "is too small for the lines of a guide; take A6 or larger"}
	}
	b := draw.NewBooklet(g.Title+" – "+g.words.guide, o.Paper, o.Orientation)
	margin := min(18, b.Size().X*0.09)
	f := &flow{Booklet: b, g: g, left: margin, width: b.Size().X - 2*margin, top: b.Size().Y - margin, bottom: margin + 6}
	f.newPage()
	f.front()
	f.parts()
	f.steps()
	f.list(g.words.final, g.Final)
	f.list(g.words.run, g.Run)
	f.jigs()
	pages := strconv.Itoa(b.Pages())
	b.OnEach(func(page int) {
		words := g.words.page.with("n", strconv.Itoa(page+1), "of", pages)
		b.Write(draw.Regular, smallSize, geom.Vec2{X: f.left + f.width, Y: margin - 2}, draw.End, softInk, words)
		title := b.Wrap(draw.Regular, smallSize, f.width*0.7, g.Title)[0]
		b.Write(draw.Regular, smallSize, geom.Vec2{X: f.left, Y: margin - 2}, draw.Start, softInk, title)
	})
	_, err := b.WriteTo(w)
	return err
}

// flow fills pages from the top.
type flow struct {
	*draw.Booklet
	g           *Guide
	left, width float64
	top, bottom float64
	y           float64 // what is free below
}

func (f *flow) newPage() {
	f.AddPage()
	f.y = f.top
}

// need starts a new page where less than a height is left, unless one page could
// not hold it either.
func (f *flow) need(height float64) {
	if f.y-height < f.bottom && f.y < f.top {
		f.newPage()
	}
}

// text is words in one type, broken to lines.
type text struct {
	face  draw.Face
	size  float64
	ink   string
	lines []string
	first string // before the first line, in bold
	inset float64
	after float64
}

func (f *flow) set(face draw.Face, size, width float64, s string) text {
	return text{face: face, size: size, ink: ink, lines: f.Wrap(face, size, width, s), after: size * 0.4}
}

func (t *text) height() float64 { return float64(len(t.lines))*t.size*leading + t.after }

// put writes a text with its upper left corner at a place.
func (f *flow) put(t *text, x, y float64) {
	for i, line := range t.lines {
		at := geom.Vec2{X: x + t.inset, Y: y - float64(i+1)*t.size*leading + t.size*0.36}
		if i == 0 && t.first != "" {
			f.Write(draw.Bold, t.size, geom.Vec2{X: x, Y: at.Y}, draw.Start, t.ink, t.first)
		}
		f.Write(t.face, t.size, at, draw.Start, t.ink, line)
	}
}

// paragraph writes text over the whole width, and goes on overleaf.
func (f *flow) paragraph(t text) {
	for len(t.lines) > 0 {
		f.need(t.size * leading)
		line := t
		line.lines, line.after = t.lines[:1], 0
		f.put(&line, f.left, f.y)
		f.y -= line.height()
		t.lines, t.first = t.lines[1:], ""
	}
	f.y -= t.after
}

// heading writes a heading that stays with at least so much of what follows.
func (f *flow) heading(s string, follows float64) {
	t := f.set(draw.Bold, headingSize, f.width, s)
	f.need(t.height() + 4 + follows)
	if f.y < f.top {
		f.y -= 4
	}
	f.paragraph(t)
	f.Rule(geom.Vec2{X: f.left, Y: f.y}, geom.Vec2{X: f.left + f.width, Y: f.y}, 0.25, ruleInk)
	f.y -= 2
}

const bulletInset = 4.0

// bullet is one line of a list.
func (f *flow) bullet(width float64, s string) text {
	t := f.set(draw.Regular, bodySize, width-bulletInset, s)
	t.first, t.inset = "•", bulletInset
	return t
}

func (f *flow) list(heading string, list []string) {
	if len(list) == 0 {
		return
	}
	first := f.bullet(f.width, list[0])
	f.heading(heading, first.height())
	for _, s := range list {
		t := f.bullet(f.width, s)
		f.need(min(t.height(), (f.top-f.bottom)/2))
		f.paragraph(t)
	}
}

func (f *flow) front() {
	g := f.g
	f.paragraph(f.set(draw.Bold, titleSize, f.width, g.Title))
	soft := f.set(draw.Regular, stepSize, f.width, g.words.guide)
	soft.ink = softInk
	f.paragraph(soft)
	f.y -= 2
	f.paragraph(f.set(draw.Regular, bodySize, f.width, g.Intro))
	f.y -= 2
	column := 0.0
	for _, fact := range g.Facts {
		column = max(column, f.TextWidth(draw.Bold, bodySize, fact.Name)+4)
	}
	for _, fact := range g.Facts {
		t := f.set(draw.Regular, bodySize, f.width-column, fact.Value)
		t.first, t.inset = fact.Name, column
		f.paragraph(t)
	}
	f.list(g.words.notices, g.Notices)
	f.heading(g.words.cautions, 12)
	for _, c := range g.Cautions {
		name := f.set(draw.Bold, bodySize, f.width, c.Title)
		name.after = 0
		body := f.set(draw.Regular, bodySize, f.width, c.Text)
		f.need(min(name.height()+body.height(), f.top-f.bottom))
		f.paragraph(name)
		f.paragraph(body)
	}
	f.list(g.words.tools, g.Tools)
	f.list(g.words.materials, g.Materials)
	f.list(g.words.reading, g.Reading)
}

// parts writes the list of parts: a picture and the words beside it, two to a
// row where the page is wide.
func (f *flow) parts() {
	const gap, pictureWide, pictureHigh = 5.0, 34.0, 26.0
	columns := 1
	if f.width >= sideBySide {
		columns = 2
	}
	cell := (f.width - gap*float64(columns-1)) / float64(columns)
	f.heading(f.g.words.parts, pictureHigh)
	for i := 0; i < len(f.g.Parts); i += columns {
		row := f.g.Parts[i:min(i+columns, len(f.g.Parts))]
		texts, high := make([][]text, len(row)), 0.0
		for k := range row {
			wide := cell
			if row[k].Picture != nil {
				wide -= pictureWide + 3
				high = max(high, pictureHigh)
			}
			texts[k] = f.partWords(&row[k], wide)
			high = max(high, heightOf(texts[k]))
		}
		f.need(high + 3)
		for k := range row {
			x := f.left + float64(k)*(cell+gap)
			if row[k].Picture != nil {
				f.Picture(row[k].Picture, geom.Box2{Min: geom.Vec2{X: x, Y: f.y - pictureHigh}, Max: geom.Vec2{X: x + pictureWide, Y: f.y}})
				x += pictureWide + 3
			}
			f.stack(texts[k], x, f.y)
		}
		f.y -= high + 3
	}
}

func (f *flow) partWords(p *Part, width float64) []text {
	words := f.g.words
	list := []text{f.set(draw.Bold, bodySize, width, strconv.Itoa(p.Count)+" × "+p.Name)}
	say := []string{p.Size, p.Creases}
	if len(p.Letters) > 0 {
		say = append(say, words.letterWord+": "+strings.Join(p.Letters, ", "))
	}
	for _, s := range say {
		if s != "" {
			t := f.set(draw.Regular, smallSize, width, s)
			t.after = 0
			list = append(list, t)
		}
	}
	return list
}

func heightOf(list []text) float64 {
	sum := 0.0
	for i := range list {
		sum += list[i].height()
	}
	return sum
}

// stack writes texts under one another.
func (f *flow) stack(list []text, x, y float64) {
	for i := range list {
		f.put(&list[i], x, y)
		y -= list[i].height()
	}
}

func (f *flow) jigs() {
	g := f.g
	if len(g.Jigs) == 0 {
		return
	}
	note := f.set(draw.Regular, bodySize, f.width, g.words.jigNote)
	f.heading(g.words.jigs, note.height()+3*bodySize*leading)
	f.paragraph(note)
	const column = 12.0
	for i := range g.Jigs {
		j := &g.Jigs[i]
		t := f.set(draw.Regular, bodySize, f.width-column, g.nameOf(j.Part)+": "+g.Where(j))
		t.first, t.inset = j.Letter, column
		f.need(min(t.height(), f.top-f.bottom))
		f.paragraph(t)
	}
}
