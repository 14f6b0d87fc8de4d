package view

import (
	"fmt"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// picture is a scene in painting order.
type picture struct {
	*scene
	order []*fragment
	box   geom.Box2 // in the picture plane, mm
}

func newPicture(a *kinematics.Assembly, p *kinematics.Pose, e eye, width int) *picture {
	s := newScene(a, p, e, width)
	pic := &picture{scene: s, order: s.paintOrder(), box: geom.EmptyBox()}
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
	lines float64 // widths of lines, times those of a picture of the default width
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

// draw writes the picture. ids starts the ids of its definitions.
func (pic *picture) draw(c *canvas, m placing, o *Options, ids string) {
	c.text(`<g fill-rule="evenodd" stroke-linejoin="round" stroke-linecap="round" stroke-width="`)
	c.number(edgeWidth * m.lines)
	c.text("\">\n")
	for _, g := range pic.order {
		pic.drawFragment(c, g, &m, o, ids)
	}
	c.text("</g>\n")
	if o.Labels {
		pic.drawLabels(c, &m)
	}
}

func (pic *picture) drawFragment(c *canvas, g *fragment, m *placing, o *Options, ids string) {
	fill := pic.shade(g.face)
	c.text(`<g data-panel="`)
	c.escaped(pic.a.Panels[g.face.panel].ID)
	c.text(`">`)
	c.text(`<path fill="`)
	c.colour(fill)
	c.text(`" d="`)
	rings := make([][]geom.Vec2, len(g.rings))
	for i, ring := range pic.shape(g) {
		rings[i] = m.all(ring)
		c.ring(rings[i])
	}
	c.text(`"/>`)
	if len(g.seams) > 0 {
		c.text(`<path fill="none" stroke-width="`)
		c.number(seamWidth)
		c.text(`" stroke="`)
		c.colour(fill)
		c.text(`" d="`)
		for _, s := range g.seams {
			c.point('M', m.apply(pic.eye.project(g.face.frame.At(s[0]))))
			c.point('L', m.apply(pic.eye.project(g.face.frame.At(s[1]))))
		}
		c.text(`"/>`)
	}
	if o.Shadow && pic.isPage(g.face) {
		pic.drawShadow(c, g, m, fmt.Sprintf("%s-%d", ids, g.face.panel))
	}
	pic.drawSides(c, g, rings, crease, creaseInk, creaseWidth*m.lines)
	pic.drawSides(c, g, rings, paperEdge, edgeInk, 0)
	c.text("</g>\n")
}

// drawSides strokes the runs of sides of one sort; a width of 0 leaves the
// usual one.
func (pic *picture) drawSides(c *canvas, g *fragment, rings [][]geom.Vec2, sort edge, ink rgb, width float64) {
	begun := false
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
		pen := false
		for k := range n {
			at := (first + k) % n
			if ring[at].side != sort {
				pen = false
				continue
			}
			if !begun {
				begun = true
				c.text(`<path fill="none" stroke="`)
				c.colour(ink)
				if width > 0 {
					c.text(`" stroke-width="`)
					c.number(width)
				}
				c.text(`" d="`)
			}
			if !pen {
				c.point('M', rings[i][at])
				pen = true
			}
			if closed && k == n-1 {
				c.text("Z")
				break
			}
			c.point('L', rings[i][(at+1)%n])
		}
	}
	if begun {
		c.text(`"/>`)
	}
}

// Shadows.
const (
	shadowBlur  = 2.2 // mm
	shadowDepth = 0.26
)

// drawShadow lays the shadows of all mechanisms on a page. They are one group,
// so that they do not darken each other, clipped to the page.
func (pic *picture) drawShadow(c *canvas, page *fragment, m *placing, id string) {
	if pic.eye.side(page.face.frame.Origin, page.face.normal)*page.face.printed <= 0 {
		return
	}
	var shadows [][][]geom.Vec2
	for i := range pic.faces {
		f := &pic.faces[i]
		if !pic.castsShadow(f) {
			continue
		}
		if rings := pic.castOn(page.face, f); rings != nil {
			shadows = append(shadows, rings)
		}
	}
	if shadows == nil {
		return
	}
	c.textf(`<clipPath id="%s-clip"><path clip-rule="evenodd" d="`, id)
	box := geom.EmptyBox()
	for _, ring := range pic.shape(page) {
		points := m.all(ring)
		c.ring(points)
		for _, q := range points {
			box = box.Extend(q)
		}
	}
	blur := shadowBlur * m.scale
	box = box.Grow(4 * blur)
	c.textf(`"/></clipPath><filter id="%s-soft" filterUnits="userSpaceOnUse" x="`, id)
	c.number(box.Min.X)
	c.text(`" y="`)
	c.number(box.Min.Y)
	c.text(`" width="`)
	c.number(box.Size().X)
	c.text(`" height="`)
	c.number(box.Size().Y)
	c.text(`"><feGaussianBlur stdDeviation="`)
	c.number(blur)
	c.textf(`"/></filter><g clip-path="url(#%s-clip)"><g filter="url(#%s-soft)" opacity="%g" fill="`, id, id, shadowDepth)
	c.colour(shadowInk)
	c.text(`">`)
	for _, rings := range shadows {
		c.text(`<path d="`)
		for _, ring := range rings {
			points := make([]geom.Vec2, len(ring))
			for i, q := range ring {
				points[i] = m.apply(pic.eye.project(page.face.frame.At(q)))
			}
			c.ring(points)
		}
		c.text(`"/>`)
	}
	c.text(`</g></g>`)
}
