package view

import (
	"fmt"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/raster"
)

// picture is a scene in painting order.
type picture struct {
	*scene
	order []*fragment
	box   geom.Box2 // in the picture plane, mm
}

func newPicture(c *cutOut, p *kinematics.Pose, e eye) *picture {
	s := newSceneOf(c, p, e)
	pic := &picture{scene: s, order: s.paintOrder(), box: geom.EmptyBox()}
	s.watch.paint(len(pic.order))
	for _, g := range pic.order {
		for _, ring := range s.shape(g) {
			for _, q := range ring {
				pic.box = pic.box.Extend(q)
			}
		}
	}
	return pic
}

// placing puts the picture plane on the drawing: px = at + scale·(x, -y).
type placing struct {
	scale float64
	at    geom.Vec2
	lines float64   // widths of lines, times those of a picture of the default width
	room  geom.Box2 // px, of the picture
}

func (m *placing) apply(p geom.Vec2) geom.Vec2 {
	return geom.Vec2{X: m.at.X + m.scale*p.X, Y: m.at.Y - m.scale*p.Y}
}

func (m *placing) all(points []geom.Vec2) []geom.Vec2 {
	out := make([]geom.Vec2, len(points))
	for i, p := range points {
		out[i] = m.apply(p)
	}
	return out
}

// draw draws the picture, unless its watch halts it. ids starts the ids of its definitions.
func (pic *picture) draw(c surface, m placing, o *Options, ids string) {
	c.beginPaper(edgeWidth * m.lines)
	for _, g := range pic.order {
		if pic.watch.halted() {
			return
		}
		pic.drawFragment(c, g, &m, o, ids)
	}
	c.endPaper()
	var taken []geom.Box2
	if o.Labels {
		taken = pic.drawLabels(c, &m)
	}
	drawDimensions(c, pic.dimensions(o), &m)
	pic.drawMarks(c, o.Marks, &m, taken)
}

func (pic *picture) drawFragment(c surface, g *fragment, m *placing, o *Options, ids string) {
	fill := pic.shade(g.face)
	c.beginSheet(pic.sheet(g.face))
	rings := make([][]geom.Vec2, len(g.rings))
	for i, ring := range pic.shape(g) {
		rings[i] = m.all(ring)
	}
	c.fill(rings, fill)
	if len(g.seams) > 0 {
		seams := make([]raster.Line, len(g.seams))
		for i, s := range g.seams {
			seams[i].Points = m.all([]geom.Vec2{pic.eye.project(g.face.frame.At(s[0])), pic.eye.project(g.face.frame.At(s[1]))})
		}
		c.stroke(seams, fill, seamWidth)
	}
	if o.Shadow && pic.isPage(g.face) {
		pic.drawShadow(c, g, rings, m, fmt.Sprintf("%s-%d", ids, g.face.panel))
	}
	if lines := runs(g, rings, crease); lines != nil {
		c.stroke(lines, creaseInk, creaseWidth*m.lines)
	}
	if lines := runs(g, rings, paperEdge); lines != nil {
		width := 0.0
		if g.face.look == Emphasised {
			width = emphasisedEdge * m.lines
		}
		c.stroke(lines, edgeInk, width)
	}
	c.endSheet()
}

// runs lists the runs of sides of one sort.
func runs(g *fragment, rings [][]geom.Vec2, sort edge) []raster.Line {
	var out []raster.Line
	for i, ring := range g.rings {
		n := len(ring)
		first := 0 // where a run starts, so that none is broken in two
		for k := range ring {
			if ring[(k+n-1)%n].side != sort {
				first = k
				break
			}
		}
		closed := ring[(first+n-1)%n].side == sort
		var run []geom.Vec2
		for k := range n {
			at := (first + k) % n
			if ring[at].side != sort {
				continue
			}
			if run == nil {
				run = []geom.Vec2{rings[i][at]}
			}
			next := (at + 1) % n
			switch last := k == n-1; {
			case last && closed:
				out = append(out, raster.Line{Points: run, Closed: true})
			case last || ring[next].side != sort:
				out = append(out, raster.Line{Points: append(run, rings[i][next])})
				run = nil
			default:
				run = append(run, rings[i][next])
			}
		}
	}
	return out
}

// Shadows.
const (
	shadowBlur  = 2.2 // mm
	shadowDepth = 0.26
)

// drawShadow lays the shadows of all mechanisms on a page. They are one group,
// so that they do not darken each other, clipped to the page.
func (pic *picture) drawShadow(c surface, page *fragment, outline [][]geom.Vec2, m *placing, id string) {
	if pic.eye.side(page.face.frame.Origin, page.face.normal)*page.face.printed <= 0 {
		return
	}
	var shapes [][][]geom.Vec2
	for i := range pic.faces {
		f := &pic.faces[i]
		if pic.isPage(f) {
			continue
		}
		shape := pic.castOn(page.face, f)
		for _, ring := range shape {
			for k, q := range ring {
				ring[k] = m.apply(pic.eye.project(page.face.frame.At(q)))
			}
		}
		if shape != nil {
			shapes = append(shapes, shape)
		}
	}
	if shapes != nil {
		c.shadow(id, outline, shapes, shadowBlur*m.scale)
	}
}

// shadowBox is where the blurred shadow on a page can be seen from: four
// deviations out, what lies in a Gaussian beyond is nothing.
func shadowBox(page [][]geom.Vec2, blur float64) geom.Box2 {
	box := geom.EmptyBox()
	for _, ring := range page {
		for _, q := range ring {
			box = box.Extend(q)
		}
	}
	return box.Grow(4 * blur)
}
