package curves

import (
	"math"

	"foldwright/solver/geom"
	"foldwright/solver/raster"
)

// Sizes of a plot, px.
const (
	textSize   = 11.0
	titleSize  = 14.0
	rim        = 14.0
	tickLength = 4.0
	tickGap    = 5.0 // between a tick and its number
	axisTitle  = 18.0
	legendLine = 17.0
	legendKey  = 30.0 // length of the sample of a curve
	legendGap  = 8.0
	legendStep = 22.0 // between columns
	curveWidth = 1.8
	xSpacing   = 62.0 // wanted between ticks
	ySpacing   = 46.0
	leastPlot  = 90.0 // height of the plot itself
	// otherFonts is how much wider the sans serif of a reader's machine may be
	// than the one measured.
	otherFonts = 1.12
)

// layout lays a table out as a plot. Lengths have their axis on the left, and
// angles too unless there are lengths: then they have theirs on the right.
func layout(t *Table, o *PlotOptions) *sheet {
	p := &plotter{t: t, width: float64(o.Width)}
	p.legend()
	titleRoom := rim
	if t.Title != "" {
		titleRoom += titleSize + 10
	}
	p.top = titleRoom + legendGap
	below := tickLength + tickGap + textSize + axisTitle + legendGap + p.legendHeight + rim
	height := float64(o.Height)
	if o.Height == 0 {
		height = math.Ceil(max(p.width*0.5+below-60, p.top+leastPlot*2+below))
	}
	p.bottom = max(height-below, p.top+leastPlot)
	height = math.Ceil(p.bottom + below)
	p.scales()

	p.sheet = sheet{
		width: o.Width, height: int(height), title: p.name(), ground: !o.Transparent,
	}
	if t.Title != "" {
		p.write(raster.Text{String: t.Title, At: geom.Vec2{X: rim, Y: rim + titleSize}, Size: titleSize, Ink: titleInk})
	}
	p.drawAxes()
	p.drawCurves()
	p.drawLegend(p.bottom + below - rim - p.legendHeight)
	return &p.sheet
}

type plotter struct {
	sheet
	t                        *Table
	width                    float64
	left, right, top, bottom float64
	x                        scale
	y                        []yAxis // left, then right if there is one

	columns      int
	columnWidth  float64
	legendHeight float64
}

// yAxis is an axis of values of one unit.
type yAxis struct {
	scale
	unit string
}

// name is what a reader who cannot see the plot is told.
func (p *plotter) name() string {
	s := ""
	for i := range p.t.Series {
		if i > 0 {
			s += ", "
		}
		s += p.t.Series[i].Title
	}
	s += " against " + p.t.Axis.Title
	if p.t.Title != "" {
		s = p.t.Title + ": " + s
	}
	return s
}

func (p *plotter) write(t raster.Text) { p.texts = append(p.texts, t) }

func (p *plotter) legend() {
	widest := 0.0
	for i := range p.t.Series {
		widest = max(widest, otherFonts*raster.TextWidth(p.t.Series[i].Title, textSize))
	}
	p.columnWidth = legendKey + legendGap + widest + legendStep
	p.columns = max(1, min(len(p.t.Series), int((p.width-2*rim+legendStep)/p.columnWidth)))
	rows := (len(p.t.Series) + p.columns - 1) / p.columns
	p.legendHeight = float64(rows) * legendLine
}

// scales chooses the ticks, and with the widths of their numbers the sides.
func (p *plotter) scales() {
	var units []string
	for _, length := range [2]bool{true, false} {
		for i := range p.t.Series {
			if u := p.t.Series[i].Unit; (u != degree) == length {
				units = append(units, u)
				break
			}
		}
	}
	ticks := max(2, int((p.bottom-p.top)/ySpacing))
	sides := [2]float64{rim, rim}
	for k, unit := range units {
		low, high := math.Inf(1), math.Inf(-1)
		for i := range p.t.Series {
			if p.t.Series[i].Unit != unit {
				continue
			}
			for _, v := range p.t.Series[i].Values {
				if finite(v) {
					low, high = min(low, v), max(high, v)
				}
			}
		}
		// A scale that nearly reaches zero goes there.
		if low > 0 && low < 0.4*high {
			low = 0
		}
		a := yAxis{newScale(low, high, ticks, unit, true), unit}
		widest := 0.0
		for _, v := range a.ticks() {
			widest = max(widest, raster.TextWidth(a.label(v), textSize))
		}
		sides[k] = rim + axisTitle + widest + tickGap + tickLength
		p.y = append(p.y, a)
	}
	p.left, p.right = sides[0], p.width-max(sides[1], rim+10)
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range p.t.At {
		low, high = min(low, v), max(high, v)
	}
	p.x = newScale(low, high, max(2, int((p.right-p.left)/xSpacing)), p.t.Axis.Unit, false)
}

func (p *plotter) px(v float64) float64 { return p.left + p.x.of(v)*(p.right-p.left) }

func (p *plotter) py(a *yAxis, v float64) float64 { return p.bottom - a.of(v)*(p.bottom-p.top) }

func unitSign(unit string) string {
	if unit == degree {
		return "°"
	}
	return unit
}

func segment(x0, y0, x1, y1 float64) raster.Line {
	return raster.Line{Points: []geom.Vec2{{X: x0, Y: y0}, {X: x1, Y: y1}}}
}

func (p *plotter) drawAxes() {
	grid := line{ink: gridInk, width: 1}
	axes := line{ink: axisInk, width: 1}
	for _, v := range p.x.ticks() {
		x := p.px(v)
		grid.runs = append(grid.runs, segment(x, p.top, x, p.bottom))
		axes.runs = append(axes.runs, segment(x, p.bottom, x, p.bottom+tickLength))
		p.write(raster.Text{String: p.x.label(v), At: geom.Vec2{X: x, Y: p.bottom + tickLength + tickGap + 0.75*textSize}, Size: textSize, Anchor: raster.Middle, Ink: textInk})
	}
	p.write(raster.Text{
		String: p.t.Axis.Title + ", " + unitSign(p.t.Axis.Unit),
		At:     geom.Vec2{X: (p.left + p.right) / 2, Y: p.bottom + tickLength + tickGap + textSize + 0.8*axisTitle},
		Size:   textSize, Anchor: raster.Middle, Ink: textInk,
	})
	for k := range p.y {
		a := &p.y[k]
		at, out, anchor, titleAt := p.left, -1.0, raster.End, rim+0.6*axisTitle
		if k > 0 {
			at, out, anchor, titleAt = p.right, 1, raster.Start, p.width-rim
		}
		for _, v := range a.ticks() {
			y := p.py(a, v)
			if k == 0 {
				grid.runs = append(grid.runs, segment(p.left, y, p.right, y))
			}
			axes.runs = append(axes.runs, segment(at, y, at+out*tickLength, y))
			p.write(raster.Text{String: a.label(v), At: geom.Vec2{X: at + out*(tickLength+tickGap), Y: y + 0.35*textSize}, Size: textSize, Anchor: anchor, Ink: textInk})
		}
		axes.runs = append(axes.runs, segment(at, p.top, at, p.bottom))
		word := "length, "
		if a.unit == degree {
			word = "angle, "
		}
		p.write(raster.Text{
			String: word + unitSign(a.unit), At: geom.Vec2{X: titleAt, Y: (p.top + p.bottom) / 2},
			Size: textSize, Anchor: raster.Middle, Up: true, Ink: textInk,
		})
	}
	axes.runs = append(axes.runs, segment(p.left, p.bottom, p.right, p.bottom))
	p.lines = append(p.lines, grid, axes)
}

func (p *plotter) drawCurves() {
	for i := range p.t.Series {
		s := &p.t.Series[i]
		a := &p.y[0]
		if len(p.y) > 1 && s.Unit == p.y[1].unit {
			a = &p.y[1]
		}
		c := line{id: s.ID, width: curveWidth}
		c.ink, c.dash = look(i)
		var run []geom.Vec2
		finish := func() {
			if len(run) == 1 {
				c.dotted = append(c.dotted, run[0])
			} else if len(run) > 1 {
				c.runs = append(c.runs, raster.Line{Points: run})
			}
			run = nil
		}
		for k, v := range s.Values {
			if !finite(v) {
				finish()
				continue
			}
			run = append(run, geom.Vec2{X: p.px(p.t.At[k]), Y: p.py(a, v)})
		}
		finish()
		p.lines = append(p.lines, c)
	}
}

func (p *plotter) drawLegend(top float64) {
	for i := range p.t.Series {
		rows := (len(p.t.Series) + p.columns - 1) / p.columns
		x := rim + float64(i/rows)*p.columnWidth
		y := top + (float64(i%rows)+0.5)*legendLine
		key := line{width: curveWidth, runs: []raster.Line{segment(x, y, x+legendKey, y)}}
		key.ink, key.dash = look(i)
		p.lines = append(p.lines, key)
		p.write(raster.Text{String: p.t.Series[i].Title, At: geom.Vec2{X: x + legendKey + legendGap, Y: y + 0.35*textSize}, Size: textSize, Ink: textInk})
	}
}
