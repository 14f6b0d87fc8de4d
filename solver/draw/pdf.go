package draw

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"foldwright/solver/geom"
)

// PDFOptions shape a PDF file. The zero value is one page of the size of the
// drawing's box with nothing added.
type PDFOptions struct {
	Styles      *StyleTable // nil for DefaultStyles
	Paper       *Paper      // spread over sheets of this size; nil for one page of the box
	Orientation Orientation // of the paper
	Margin      float64     // kept free at the rim of the paper, mm; 0 for 10
	Overlap     float64     // shared by neighbouring sheets, mm; 0 for 10
	Notes       bool        // scale bar, title and cautions below a page of the box; sheets of paper always have them
}

const (
	pointsPerMM = 72 / 25.4
	// maxPDFPage is the largest page that readers must take, 14,400 points
	// (ISO 32000-1, annex C), mm.
	maxPDFPage = 14400 / pointsPerMM
	// fillAlpha is the tint of filled areas, as in SVG.
	fillAlpha = "0.2"
)

// WritePDF writes PDF 1.7 at true size. Each operation is a layer (an optional
// content group) named by the style table; operations with one name share one.
// Curves stay curves: lines and Béziers exactly, arcs as Béziers within half a
// micrometre. Words are text, in a font that the file carries.
//
// On paper, the drawing is spread over as few sheets as margin and overlap
// allow, rows from the top and columns from the left. The file asks readers
// not to scale it when printing.
func WritePDF(w io.Writer, d *Drawing, o PDFOptions) error {
	return WritePDFPages(w, []*Drawing{d}, o)
}

// WritePDFPages writes several drawings one after another into a file, each as
// WritePDF does. The title of the file is that of the first.
func WritePDFPages(w io.Writer, drawings []*Drawing, o PDFOptions) error {
	if len(drawings) == 0 {
		return &Error{Reason: "there is none"}
	}
	p := pdfWriter{o: o, styles: resolved(o.Styles), file: newPDFFile(), font: newPDFFont(Regular)}
	if err := p.styles.Check(); err != nil {
		return err
	}
	p.nameLayers()
	for _, d := range drawings {
		if err := d.check(); err != nil {
			return err
		}
		p.d, p.tiling, p.notes = d, nil, notes{}
		if err := p.layOut(); err != nil {
			return err
		}
		for i := range p.tiling.tiles {
			p.sheet(&p.tiling.tiles[i])
		}
	}
	return writeAll(w, p.close(drawings[0]))
}

// pdfLayer is a layer of the file, named on pages by its place in the list.
type pdfLayer struct {
	name string
	used bool
}

// notesLayer is the layer of what belongs to the sheet and not to the drawing.
const notesLayer = "sheet notes"

type pdfWriter struct {
	d      *Drawing
	o      PDFOptions
	styles StyleTable
	file   *pdfFile
	font   *pdfFont
	tiling *tiling
	notes  notes

	layers  []pdfLayer
	layerOf [operationCount]int
	pages   []pdfLeaf
}

// pdfLeaf is a page that is written, and its size.
type pdfLeaf struct {
	size    geom.Vec2
	content pdfContent
}

func (p *pdfWriter) nameLayers() {
	index := map[string]int{}
	for i, s := range p.styles {
		at, ok := index[s.Layer]
		if !ok {
			at = len(p.layers)
			index[s.Layer] = at
			p.layers = append(p.layers, pdfLayer{name: s.Layer})
		}
		p.layerOf[i] = at
	}
	p.layers = append(p.layers, pdfLayer{name: notesLayer})
}

// layOut settles the size of the pages and what each shows.
func (p *pdfWriter) layOut() error {
	if !(p.o.Margin >= 0) || math.IsInf(p.o.Margin, 0) {
		return &OptionError{"margin", "is not a length"}
	}
	if !(p.o.Overlap >= 0) || math.IsInf(p.o.Overlap, 0) {
		return &OptionError{"overlap", "is not a length"}
	}
	if p.o.Paper == nil {
		return p.onePage()
	}
	margin, overlap := p.o.Margin, p.o.Overlap
	if margin == 0 {
		margin = defaultMargin
	}
	if overlap == 0 {
		overlap = defaultOverlap
	}
	w, h := p.o.Paper.Width, p.o.Paper.Height
	if !(w > 0 && h > 0) {
		return &OptionError{"paper", "has no area"}
	}
	if max(w, h) > maxPDFPage {
		return &OptionError{"paper", fmt.Sprintf("is larger than the %.0f mm of a page", maxPDFPage)}
	}
	upright := geom.Vec2{X: min(w, h), Y: max(w, h)}
	var first error
	for _, page := range []geom.Vec2{upright, {X: upright.Y, Y: upright.X}} {
		landscape := page.X > page.Y
		if p.o.Orientation == Portrait && landscape || p.o.Orientation == Landscape && page == upright && upright.X != upright.Y {
			continue
		}
		t, n, err := p.onPaper(page, margin, overlap)
		if err != nil {
			if first == nil {
				first = err
			}
			continue
		}
		if p.tiling == nil || len(t.tiles) < len(p.tiling.tiles) {
			p.tiling, p.notes = t, n
		}
	}
	if p.tiling == nil {
		return first
	}
	return nil
}

func (p *pdfWriter) onPaper(page geom.Vec2, margin, overlap float64) (*tiling, notes, error) {
	n, err := p.layNotes(geom.Vec2{X: margin, Y: margin}, page.X-2*margin)
	if err != nil {
		return nil, n, err
	}
	area := geom.Box2{Min: geom.Vec2{X: margin, Y: margin + n.height}, Max: geom.Vec2{X: page.X - margin, Y: page.Y - margin}}
	t, err := tileDrawing(p.d.Box, page, area, overlap)
	return t, n, err
}

// onePage is the box itself, and below it the notes when asked for.
func (p *pdfWriter) onePage() error {
	size := p.d.Box.Size()
	below := 0.0
	if p.o.Notes {
		const inset = 3.0                                   // from the sides
		wide := max(size.X-2*inset, scaleBarLength+barRoom) // a small drawing stands at the left of its notes
		size.X = wide + 2*inset
		n, err := p.layNotes(geom.Vec2{X: inset, Y: inset}, wide)
		if err != nil {
			return err
		}
		p.notes, below = n, n.height+inset
	}
	page := geom.Vec2{X: size.X, Y: size.Y + below}
	if max(page.X, page.Y) > maxPDFPage {
		return &OptionError{"paper", fmt.Sprintf("a page of %.4g by %.4g mm is larger than the %.0f mm that a page can have; choose a paper", page.X, page.Y, maxPDFPage)}
	}
	area := geom.Box2{Min: geom.Vec2{Y: below}, Max: page}
	p.tiling = &tiling{page: page, area: area, rows: 1, columns: 1, tiles: []tile{{1, 1, p.d.Box}}}
	return nil
}

// scale is the matrix from millimetres to points, with the origin at a point
// of the page. More decimals than paths have: they are multiplied by metres.
func (c *pdfContent) scale(origin geom.Vec2) {
	for _, v := range [...]float64{pointsPerMM, 0, 0, pointsPerMM, origin.X * pointsPerMM, origin.Y * pointsPerMM} {
		c.b = append(geom.AppendNumber(c.b, v, 10), ' ')
	}
	c.raw("cm\n")
}

func (p *pdfWriter) sheet(t *tile) {
	var c pdfContent
	c.raw("q\n")
	c.scale(p.tiling.area.Min.Sub(t.window.Min))
	if p.o.Paper != nil {
		size := t.window.Size()
		c.op("re", t.window.Min.X, t.window.Min.Y, size.X, size.Y)
		c.raw("W n\n")
	}
	for i := range p.d.Parts {
		for _, op := range workOrder {
			p.operation(&c, t, &p.d.Parts[i], op)
		}
	}
	c.raw("Q\n")
	p.writeNotes(&c, t)
	p.pages = append(p.pages, pdfLeaf{p.tiling.page, c})
}

// operation writes what one part has of one operation and the window shows.
func (p *pdfWriter) operation(c *pdfContent, t *tile, part *Part, op Operation) {
	style := &p.styles[op]
	open := false
	begin := func() {
		if open {
			return
		}
		open = true
		p.beginLayer(c, p.layerOf[op])
		c.ink("RG", style.Color)
		c.ink("rg", style.Color)
		c.line(style.Width, style.Dash)
	}
	// Lines reach past their path by half their width.
	window := t.window.Grow(style.Width)
	for i := range part.Marks {
		m := &part.Marks[i]
		if m.Op != op || len(m.Path) == 0 {
			continue
		}
		path := m.Path.Transform(part.Place)
		if p.o.Paper != nil && !window.Overlaps(path.Bounds()) {
			continue
		}
		begin()
		c.path(path)
		if !m.Fill || op == Glue {
			c.raw("S\n")
		} else {
			c.raw("B*\n") // the tint is the fill's alone
		}
		if m.Fill && op == Glue {
			if lines := hatch(path); len(lines) > 0 {
				c.path(lines)
				c.raw("S\n")
			}
		}
	}
	for _, text := range part.Texts {
		if text.Op != op || text.S == "" {
			continue
		}
		placed := text.placed(part.Place)
		size := placed.Height / p.font.capitals()
		if p.o.Paper != nil {
			reach := p.font.width(placed.S, size) + size
			if !window.Overlaps(geom.Box2{Min: placed.At, Max: placed.At}.Grow(reach)) {
				continue
			}
		}
		begin()
		p.text(c, placed, size)
	}
	if open {
		c.raw("EMC\n")
	}
}

func (p *pdfWriter) beginLayer(c *pdfContent, layer int) {
	p.layers[layer].used = true
	c.raw("/OC /L" + strconv.Itoa(layer) + " BDC\n")
}

// text sets a line of text in the drawing's coordinates.
func (p *pdfWriter) text(c *pdfContent, t Text, size float64) {
	sin, cos := t.Angle.Sincos()
	back := [...]float64{Start: 0, Middle: 0.5, End: 1}[t.Anchor] * p.font.width(t.S, size)
	at := t.At.Sub(geom.Vec2{X: cos, Y: sin}.Mul(back))
	c.raw("/G1 gs\nBT\n/F0 ")
	c.op("Tf", size)
	for _, v := range [...]float64{cos, sin, -sin, cos, at.X, at.Y} {
		c.b = append(geom.AppendNumber(c.b, v, 6), ' ')
	}
	c.raw("Tm\n")
	p.font.show(c, t.S, size)
	c.raw("ET\n/G0 gs\n")
}

// ink sets the colour of lines (RG) or areas and words (rg).
func (c *pdfContent) ink(operator, color string) {
	r, g, b, err := parseColor(color)
	if err != nil {
		panic("draw: a style that was not checked: " + err.Error())
	}
	c.op(operator, float64(r)/255, float64(g)/255, float64(b)/255)
}

// line sets width, dash, caps and joins as SVG has them.
func (c *pdfContent) line(width float64, dash []float64) {
	c.op("w", width)
	c.raw("[ ")
	c.numbers(dash...)
	c.raw("] 0 d\n")
	if len(dash) > 0 {
		c.raw("0 J 1 j\n")
	} else {
		c.raw("1 J 1 j\n")
	}
}

// close writes pages, layers and font, and gives the file, named as a drawing.
func (p *pdfWriter) close(named *Drawing) []byte {
	f := p.file
	root, tree, resources := f.reserve(), f.reserve(), f.reserve()
	var properties, groups strings.Builder
	for i, l := range p.layers {
		if l.used {
			id := f.add("<</Type /OCG /Name " + pdfString(l.name) + " /Intent [/View /Design]>>")
			fmt.Fprintf(&properties, " /L%d %d 0 R", i, id)
			fmt.Fprintf(&groups, " %d 0 R", id)
		}
	}
	fonts := ""
	if len(p.font.codes) > 0 {
		fonts = fmt.Sprintf(" /Font <</F0 %d 0 R>>", p.font.write(f))
	}
	// G0 is for the drawing: areas as a tint. G1 is for words.
	f.object(resources, fmt.Sprintf("<</ProcSet [/PDF /Text]%s /ExtGState <</G0 <</ca %s /CA 1>> /G1 <</ca 1 /CA 1>>>> /Properties <<%s>>>>",
		fonts, fillAlpha, strings.TrimPrefix(properties.String(), " ")))
	var kids strings.Builder
	for i := range p.pages {
		content := f.stream("", append([]byte("/G0 gs\n"), p.pages[i].content.b...))
		page := f.add(fmt.Sprintf("<</Type /Page /Parent %d 0 R /MediaBox [0 0 %s %s] /Resources %d 0 R /Contents %d 0 R>>",
			tree, pageSide(p.pages[i].size.X), pageSide(p.pages[i].size.Y), resources, content))
		fmt.Fprintf(&kids, " %d 0 R", page)
	}
	f.object(tree, fmt.Sprintf("<</Type /Pages /Count %d /Kids [%s]>>", len(p.pages), strings.TrimPrefix(kids.String(), " ")))
	list := strings.TrimPrefix(groups.String(), " ")
	f.object(root, fmt.Sprintf("<</Type /Catalog /Pages %d 0 R /ViewerPreferences <</DisplayDocTitle true /PrintScaling /None>>"+
		" /OCProperties <</OCGs [%s] /D <</Name (Layers) /Order [%s] /ON [%s]>>>>>>", tree, list, list, list))
	info := "<</Producer (Foldwright)"
	if named.Title != "" {
		info += " /Title " + pdfString(named.Title)
	}
	if named.Desc != "" {
		info += " /Subject " + pdfString(named.Desc)
	}
	return f.finish(root, f.add(info+">>"))
}

// pageSide is a side of a page in points, rounded down: a hair more, and
// programs that paint whole dots add a row.
func pageSide(mm float64) string {
	const unit = 1e4
	return pdfNumber(math.Floor(mm*pointsPerMM*unit) / unit)
}
