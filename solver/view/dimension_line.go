package view

import (
	"math"

	"foldwright/solver/geom"
	"foldwright/solver/raster"
)

// dimension is a measurement laid out in the picture plane, mm. It is drawn as
// draughtsmen do: thin extension lines that start clear of the work and end
// past the dimension line, arrows that touch them, and the figure upright in a
// gap of the line; beside it where the line is too short, with the arrows
// outside where they have no room.
type dimension struct {
	kind Dimension
	text string
	// at runs along the dimension line, from 0 to 1, and goes on beyond.
	at         func(s float64) geom.Vec2
	length     float64 // true length of the line, mm
	curved     bool
	extensions [][2]geom.Vec2 // from what is measured to the dimension line
	outward    geom.Vec2      // away from the work, in the picture plane
}

// Measures of dimensions, px, by common practice of drawing offices at about
// four px to the millimetre.
const (
	dimensionText = 11.0
	arrowLength   = 8.0
	arrowHalf     = 1.7
	extensionGap  = 4.0
	extensionPast = 5.0
	textClear     = 3.0 // round the figure
	outsideTail   = 9.0 // of the line behind an arrow that points inward
	arcPoints     = 48
	extensionLine = 0.6
	dimensionRule = 0.8
)

var dimensionInk = rgb{44, 62, 92}

// placed is a dimension on the drawing, px.
type placed struct {
	lines      []raster.Line
	extensions []raster.Line
	arrows     [][]geom.Vec2
	text       label
	half       geom.Vec2 // of the figure
}

// oriented fills in which way is away from the work.
func (d dimension) oriented(pic *picture, outward geom.Vec3) dimension {
	d.outward = pic.seen(outward).Unit()
	return d
}

// box is what the dimension takes of the picture plane at a scale, mm.
func (d *dimension) box(scale float64) geom.Box2 {
	m := placing{scale: scale, lines: 1}
	p := d.place(&m)
	box := geom.EmptyBox()
	add := func(q geom.Vec2) { box = box.Extend(geom.Vec2{X: q.X / scale, Y: -q.Y / scale}) }
	for _, list := range [2][]raster.Line{p.lines, p.extensions} {
		for _, l := range list {
			for _, q := range l.Points {
				add(q)
			}
		}
	}
	middle := geom.Vec2{X: p.text.at.X, Y: p.text.at.Y - toFoot*dimensionText}
	add(middle.Add(p.half))
	add(middle.Sub(p.half))
	return box
}

func (d *dimension) place(m *placing) placed {
	var p placed
	at := func(s float64) geom.Vec2 { return m.apply(d.at(s)) }
	for _, x := range d.extensions {
		from, to := m.apply(x[0]), m.apply(x[1])
		along := to.Sub(from)
		if n := along.Norm(); n > extensionGap {
			u := along.Unit()
			p.extensions = append(p.extensions, raster.Line{Points: []geom.Vec2{from.Add(u.Mul(extensionGap)), to.Add(u.Mul(extensionPast))}})
		}
	}

	n := 1
	if d.curved {
		n = arcPoints
	}
	line := make([]geom.Vec2, n+1)
	drawn := 0.0
	for k := range line {
		line[k] = at(float64(k) / float64(n))
		if k > 0 {
			drawn += line[k].Sub(line[k-1]).Norm()
		}
	}

	p.half = geom.Vec2{X: raster.TextWidth(d.text, dimensionText)/2 + textClear, Y: dimensionText/2 + textClear}
	middle := at(0.5)
	along := line[n/2+1].Sub(line[n/2]).Unit()
	gap := 2 * across(p.half, along)
	if drawn < gap+2*arrowLength+4 {
		// No room in the line: the figure goes outside it.
		out := geom.Vec2{X: d.outward.X, Y: -d.outward.Y}
		middle = middle.Add(out.Mul(across(p.half, out) + textClear))
		gap = 0
	}
	if gap == 0 {
		p.lines = append(p.lines, raster.Line{Points: line})
	} else {
		p.lines = append(p.lines, broken(line, middle, p.half)...)
	}
	p.text = label{geom.Vec2{X: middle.X, Y: middle.Y + toFoot*dimensionText}, d.text}

	if drawn == 0 {
		return p
	}
	outside := drawn < 3*arrowLength
	// A tenth of the line tells its direction at the ends: an arrow of a curve
	// lies along the chord under it.
	for _, end := range [2]float64{0, 1} {
		tip := at(end)
		step := min(arrowLength/drawn, 0.5)
		inner := at(end + step*(1-2*end))
		u := tip.Sub(inner).Unit()
		if outside {
			u = u.Mul(-1)
			p.lines = append(p.lines, raster.Line{Points: []geom.Vec2{tip, tip.Sub(u.Mul(arrowLength + outsideTail))}})
		}
		back, wing := tip.Sub(u.Mul(arrowLength)), u.Perp().Mul(arrowHalf)
		p.arrows = append(p.arrows, []geom.Vec2{tip, back.Add(wing), back.Sub(wing)})
	}
	return p
}

// across is how far it is from the middle of a box to its side along a unit
// direction.
func across(half, u geom.Vec2) float64 {
	x, y := math.Inf(1), math.Inf(1)
	if u.X != 0 {
		x = half.X / math.Abs(u.X)
	}
	if u.Y != 0 {
		y = half.Y / math.Abs(u.Y)
	}
	if d := min(x, y); !math.IsInf(d, 1) {
		return d
	}
	return 0
}

// broken leaves out the part of a line inside a box.
func broken(line []geom.Vec2, middle, half geom.Vec2) []raster.Line {
	var out []raster.Line
	var piece []geom.Vec2
	finish := func() {
		if len(piece) > 1 {
			out = append(out, raster.Line{Points: piece})
		}
		piece = nil
	}
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		enter, leave := inBox(a.Sub(middle), b.Sub(middle), half)
		if enter >= leave { // all of it is outside
			if piece == nil {
				piece = []geom.Vec2{a}
			}
			piece = append(piece, b)
			continue
		}
		if enter > 0 {
			if piece == nil {
				piece = []geom.Vec2{a}
			}
			piece = append(piece, a.Lerp(b, enter))
		}
		finish()
		if leave < 1 {
			piece = []geom.Vec2{a.Lerp(b, leave), b}
		}
	}
	finish()
	return out
}

// inBox is the part of the side from a to b inside a box about the origin, as
// fractions of the side (Liang and Barsky, 1984).
func inBox(a, b, half geom.Vec2) (enter, leave float64) {
	enter, leave = 0, 1
	clip := func(from, to, reach float64) {
		d := to - from
		for _, sign := range [2]float64{1, -1} {
			// sign·(from + t·d) ≤ reach
			switch slope, rest := sign*d, reach-sign*from; {
			case slope > 0:
				leave = min(leave, rest/slope)
			case slope < 0:
				enter = max(enter, rest/slope)
			case rest < 0:
				leave = enter
			}
		}
	}
	clip(a.X, b.X, half.X)
	clip(a.Y, b.Y, half.Y)
	return enter, leave
}

func drawDimensions(c surface, list []dimension, m *placing) {
	if len(list) == 0 {
		return
	}
	var texts []label
	c.beginPaper(dimensionRule * m.lines)
	for i := range list {
		p := list[i].place(m)
		c.beginSheet("dimension", string(list[i].kind))
		if p.extensions != nil {
			c.stroke(p.extensions, dimensionInk, extensionLine*m.lines)
		}
		if p.lines != nil {
			c.stroke(p.lines, dimensionInk, 0)
		}
		if p.arrows != nil {
			c.fill(p.arrows, dimensionInk)
		}
		c.endSheet()
		texts = append(texts, p.text)
	}
	c.endPaper()
	c.write(&lettering{size: dimensionText, ink: dimensionInk, anchor: raster.Middle, halo: true}, texts)
}
