package draw

import (
	"math"

	"foldwright/solver/geom"
)

const (
	// pdfDecimals of a millimetre in paths and of a point in page sizes: a
	// tenth of a micrometre and less.
	pdfDecimals = 4
	// pdfArcError is how far a Bézier may be from the arc it stands for, mm.
	// Half a micrometre is a fiftieth of the finest step of a cutter.
	pdfArcError = 0.0005
)

// pdfContent is a content stream in the making, in millimetres.
type pdfContent struct{ b []byte }

func (c *pdfContent) raw(s string) { c.b = append(c.b, s...) }

func (c *pdfContent) numbers(values ...float64) {
	for _, v := range values {
		c.b = append(geom.AppendNumber(c.b, v, pdfDecimals), ' ')
	}
}

// op writes operands and their operator.
func (c *pdfContent) op(operator string, values ...float64) {
	c.numbers(values...)
	c.raw(operator)
	c.raw("\n")
}

func (c *pdfContent) point(operator string, p geom.Vec2) { c.op(operator, p.X, p.Y) }

// path writes the construction operators of a path; the caller paints it.
func (c *pdfContent) path(p geom.Path) {
	for i := range p {
		at := p[i].Start
		c.point("m", at)
		for j := range p[i].Segments {
			s := &p[i].Segments[j]
			switch s.Kind {
			case geom.Quad: // raised to a cubic, exactly
				c.curve(at.Lerp(s.C1, 2.0/3), s.To.Lerp(s.C1, 2.0/3), s.To)
			case geom.Cubic:
				c.curve(s.C1, s.C2, s.To)
			case geom.Arc:
				c.arc(at, s)
			default:
				c.point("l", s.To)
			}
			at = s.To
		}
		if p[i].Closed {
			c.raw("h\n")
		}
	}
}

func (c *pdfContent) curve(c1, c2, to geom.Vec2) {
	c.op("c", c1.X, c1.Y, c2.X, c2.Y, to.X, to.Y)
}

// arc writes an arc as cubics. An ellipse is a circle seen along another axis:
// the arc is taken where it is a circle and its control points are brought
// back, since Bézier curves follow affine maps.
func (c *pdfContent) arc(from geom.Vec2, s *geom.Segment) {
	rx, ry := math.Abs(s.RX), math.Abs(s.RY)
	if rx == 0 || ry == 0 || from == s.To {
		c.point("l", s.To)
		return
	}
	sin, cos := s.Phi.Sincos()
	if rx == ry {
		sin, cos = 0, 1
	}
	squash := ry / rx
	round := func(p geom.Vec2) geom.Vec2 {
		return geom.Vec2{X: cos*p.X + sin*p.Y, Y: (cos*p.Y - sin*p.X) / squash}
	}
	back := func(p geom.Vec2) geom.Vec2 {
		p.Y *= squash
		return geom.Vec2{X: cos*p.X - sin*p.Y, Y: sin*p.X + cos*p.Y}
	}
	circle := geom.Contour{Start: round(from), Segments: []geom.Segment{
		{Kind: geom.Arc, RX: rx, RY: rx, Large: s.Large, Sweep: s.Sweep, To: round(s.To)},
	}}
	strokes := strokesOf(&circle, pdfArcError)
	for i, k := range strokes {
		if k.bulge == 0 {
			c.point("l", s.To)
			continue
		}
		n := arcCubics(math.Abs(k.turn()), k.radius()*max(1, squash))
		handle := 4.0 / 3 * math.Tan(k.turn()/float64(4*n))
		for j := range n {
			piece := k.piece(float64(j)/float64(n), float64(j+1)/float64(n))
			a, b := piece.a.Sub(k.center()), piece.b.Sub(k.center())
			to := back(piece.b)
			if i == len(strokes)-1 && j == n-1 {
				to = s.To
			}
			c.curve(back(piece.a.Add(a.Perp().Mul(handle))), back(piece.b.Sub(b.Perp().Mul(handle))), to)
		}
	}
}

// arcCubics is the number of equal cubics that keeps an arc within
// pdfArcError. The usual cubic, whose handles are 4/3·tan(θ/4) radii, lies
// outside the circle by at most 2/27·sin⁶(θ/4)/cos²(θ/4) radii (from memory;
// the tests measure it).
func arcCubics(turn, radius float64) int {
	n := max(1, int(math.Ceil(turn/(math.Pi/2)-1e-9)))
	for {
		s, c := math.Sincos(turn / float64(4*n))
		if radius*2/27*math.Pow(s, 6)/(c*c) <= pdfArcError {
			return n
		}
		n++
	}
}
