package draw

import (
	"fmt"
	"slices"
	"strings"

	"foldwright/solver/geom"
)

const (
	scaleBarLength = 50.0
	scaleBarWords  = "50 mm, measure before cutting"

	// Cautions are for everything that is cut and glued; they claim nothing about
	// any machine.
	Cautions = "Cut away from the holding hand, on a mat and against a steel rule. Keep fingers, hair and sleeves clear of machines, " +
		"leave their guards on, and never leave a laser unattended. Help children. Local rules and the maker's instructions come first."

	titleHeight   = 2.6 // heights of capitals, mm
	wordsHeight   = 2.0
	cautionHeight = 1.5
	notesGap      = 2.0 // between the lines of the notes, and to the drawing
	notesColor    = "#000000"
	faintColor    = "#8a919c"
	barWidth      = 0.2
	barRoom       = 1.0 // at the end of the scale bar
	barTick       = 2.4 // ends of the scale bar; the tens are half as high
)

// note is one line of text of the notes, in page coordinates.
type note struct {
	at     geom.Vec2
	height float64
	anchor Anchor
	s      string
}

// notes is what stands below the drawing on every sheet.
type notes struct {
	lines  []note
	bar    geom.Vec2 // left end of the scale bar
	label  note      // where the sheet's own label goes
	height float64   // from the bottom of the area to the drawing; 0 for none
}

// layNotes arranges the notes over a width, upwards from the bottom left.
func (p *pdfWriter) layNotes(from geom.Vec2, width float64) (notes, error) {
	if !(width >= scaleBarLength+barRoom) {
		return notes{}, &OptionError{"paper", fmt.Sprintf("leaves %.4g mm of width, too little for a scale bar of %g mm", width, scaleBarLength)}
	}
	var n notes
	size := func(capitals float64) float64 { return capitals / p.font.capitals() }
	y := from.Y + 0.5 // room below the baseline
	left := func(height float64, s string) note { return note{geom.Vec2{X: from.X, Y: y}, height, Start, s} }

	lines := p.font.wrap(Cautions, size(cautionHeight), width)
	for _, line := range slices.Backward(lines) {
		n.lines = append(n.lines, left(cautionHeight, line))
		y += cautionHeight * 1.6
	}
	y += notesGap / 2
	n.bar = geom.Vec2{X: from.X, Y: y + barTick/2}
	words := left(wordsHeight, scaleBarWords)
	if bar := scaleBarLength + notesGap; width >= bar+p.font.width(scaleBarWords, size(wordsHeight)) {
		words.at.X += bar
		words.at.Y = n.bar.Y - wordsHeight/2
		y += barTick
	} else {
		y += barTick + notesGap/2
		words.at.Y = y
		y += wordsHeight
	}
	n.lines = append(n.lines, words)

	// The label of a sheet stands at the right, or above when it would run
	// into the title.
	y += notesGap
	longest := p.font.width(sheetLabel(maxSheets, maxSheets, maxSheets, maxSheets), size(wordsHeight))
	title := p.shorten(p.d.Title, size(titleHeight), width)
	if title != "" {
		n.lines = append(n.lines, left(titleHeight, title))
	}
	n.label = note{geom.Vec2{X: from.X + width, Y: y}, wordsHeight, End, ""}
	if title != "" && p.font.width(title, size(titleHeight))+2*notesGap+longest > width && p.o.Paper != nil {
		y += titleHeight + notesGap
		n.label = note{geom.Vec2{X: from.X, Y: y}, wordsHeight, Start, ""}
	}
	y += titleHeight + notesGap
	n.height = y - from.Y
	return n, nil
}

func sheetLabel(row, rows, column, columns int) string {
	return fmt.Sprintf("row %d of %d, column %d of %d", row, rows, column, columns)
}

// shorten ends a line that is too long with dots.
func (p *pdfWriter) shorten(s string, size, width float64) string {
	if p.font.width(s, size) <= width {
		return s
	}
	r := []rune(s)
	for len(r) > 0 && p.font.width(string(r)+"…", size) > width {
		r = r[:len(r)-1]
	}
	return strings.TrimRight(string(r), " ") + "…"
}

// writeNotes writes what belongs to the sheet, in page coordinates.
func (p *pdfWriter) writeNotes(c *pdfContent, t *tile) {
	if p.notes.height == 0 {
		return
	}
	c.raw("q\n")
	c.scale(geom.Vec2{})
	p.beginLayer(c, len(p.layers)-1)
	c.ink("rg", notesColor)
	if len(p.tiling.tiles) > 1 {
		p.joins(c, t)
	}
	c.ink("RG", notesColor)
	c.line(barWidth, nil)
	c.raw("0 J\n") // the bar ends where it ends
	bar := p.notes.bar
	for i := range 6 {
		tick := barTick / 4
		if i == 0 || i == 5 {
			tick = barTick / 2
		}
		x := bar.X + float64(i)*scaleBarLength/5
		c.op("m", x, bar.Y-tick)
		c.op("l", x, bar.Y+tick)
	}
	c.op("m", bar.X, bar.Y)
	c.op("l", bar.X+scaleBarLength, bar.Y)
	c.raw("S\n")
	for _, l := range p.notes.lines {
		p.note(c, l)
	}
	if len(p.tiling.tiles) > 1 {
		label := p.notes.label
		label.s = sheetLabel(t.row, p.tiling.rows, t.column, p.tiling.columns)
		p.note(c, label)
	}
	c.raw("EMC\nQ\n")
}

func (p *pdfWriter) note(c *pdfContent, n note) {
	p.text(c, Text{At: n.at, Anchor: n.anchor, S: n.s}, n.height/p.font.capitals())
}

const (
	crossArm   = 2.0  // of the marks that neighbours share, mm
	crossInset = 0.25 // where along a shared edge, as a part of its length
	joinHeight = 1.3  // of the words along an edge, capitals in mm
)

// joins draws, on each side where another sheet goes on, where that sheet ends
// (a faint line, to trim or glue along) and two crosses in the middle of the
// overlap, which lie at the same place of the drawing on both sheets.
func (p *pdfWriter) joins(c *pdfContent, t *tile) {
	a, half := p.tiling.area, p.tiling.overlap/2
	size := a.Size()
	arm := min(crossArm, half)
	for _, side := range []struct {
		there       bool
		row, column int
		from, along geom.Vec2 // the window's edge
		inward      geom.Vec2
		turn        geom.Angle
	}{
		{t.column > 1, t.row, t.column - 1, a.Min, geom.Vec2{Y: size.Y}, geom.Vec2{X: 1}, geom.Degrees(90)},
		{t.column < p.tiling.columns, t.row, t.column + 1, geom.Vec2{X: a.Max.X, Y: a.Min.Y}, geom.Vec2{Y: size.Y}, geom.Vec2{X: -1}, geom.Degrees(90)},
		{t.row > 1, t.row - 1, t.column, geom.Vec2{X: a.Min.X, Y: a.Max.Y}, geom.Vec2{X: size.X}, geom.Vec2{Y: -1}, 0},
		{t.row < p.tiling.rows, t.row + 1, t.column, a.Min, geom.Vec2{X: size.X}, geom.Vec2{Y: 1}, 0},
	} {
		if !side.there {
			continue
		}
		c.ink("RG", faintColor)
		c.line(0.13, []float64{2, 2})
		for _, depth := range [2]float64{0, 2 * half} { // this sheet's window, and the neighbour's
			start := side.from.Add(side.inward.Mul(depth))
			c.point("m", start)
			c.point("l", start.Add(side.along))
		}
		c.raw("S\n")
		c.ink("RG", notesColor)
		c.line(0.13, nil)
		for _, at := range [2]float64{crossInset, 1 - crossInset} {
			x := side.from.Add(side.inward.Mul(half)).Add(side.along.Mul(at))
			for _, d := range [2]geom.Vec2{{X: arm}, {Y: arm}} {
				c.point("m", x.Sub(d))
				c.point("l", x.Add(d))
			}
		}
		c.raw("S\n")
		words := fmt.Sprintf("joins row %d, column %d", side.row, side.column)
		// Read from the sheet's foot or its right side, inside the edge.
		at := side.from.Add(side.along.Mul(0.5))
		shift := 0.6
		if side.inward.X > 0 || side.inward.Y < 0 { // the words' upper side is outside
			shift = -0.6 - joinHeight
		}
		sin, cos := side.turn.Sincos()
		up := geom.Vec2{X: -sin, Y: cos}
		p.text(c, Text{At: at.Add(up.Mul(shift)), Angle: side.turn, Anchor: Middle, S: words}, joinHeight/p.font.capitals())
	}
}
