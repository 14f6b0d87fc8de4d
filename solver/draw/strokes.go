package draw

import (
	"math"

	"foldwright/solver/geom"
)

// stroke is a straight line or a circular arc from a to b. bulge is
// tan(turn/4), positive anticlockwise, 0 for a line.
type stroke struct {
	a, b  geom.Vec2
	bulge float64
}

// strokesOf takes a contour apart, the closing line of a closed one included.
// Lines and circular arcs are exact, other curves become chords within tol.
func strokesOf(c *geom.Contour, tol float64) []stroke {
	v := c.BulgePolyline(tol)
	n := len(v)
	if !c.Closed {
		n--
	}
	out := make([]stroke, 0, n)
	for i := range n {
		k := stroke{v[i].Point, v[(i+1)%len(v)].Point, v[i].Bulge}
		if k.a != k.b {
			out = append(out, k)
		}
	}
	return out
}

func (k stroke) turn() float64 { return 4 * math.Atan(k.bulge) }

func (k stroke) chord() geom.Vec2 { return k.b.Sub(k.a) }

func (k stroke) radius() float64 {
	return k.chord().Norm() / 2 / math.Abs(math.Sin(k.turn()/2))
}

// center lies left of the chord for an anticlockwise arc of less than a half
// turn, at half the chord over tan(turn/2); tan(turn/2) = 2b/(1-b²).
func (k stroke) center() geom.Vec2 {
	return k.a.Lerp(k.b, 0.5).Add(k.chord().Perp().Mul((1 - k.bulge*k.bulge) / (4 * k.bulge)))
}

func (k stroke) length() float64 {
	if k.bulge == 0 {
		return k.chord().Norm()
	}
	return k.radius() * math.Abs(k.turn())
}

// at is the point at a fraction of the length.
func (k stroke) at(t float64) geom.Vec2 {
	switch {
	case t <= 0:
		return k.a
	case t >= 1:
		return k.b
	case k.bulge == 0:
		return k.a.Lerp(k.b, t)
	}
	c := k.center()
	sin, cos := math.Sincos(k.turn() * t)
	r := k.a.Sub(c)
	return c.Add(geom.Vec2{X: cos*r.X - sin*r.Y, Y: sin*r.X + cos*r.Y})
}

// along is the unit direction of travel at a fraction of the length.
func (k stroke) along(t float64) geom.Vec2 {
	if k.bulge == 0 {
		return k.chord().Unit()
	}
	d := k.at(t).Sub(k.center()).Perp().Unit()
	if k.bulge < 0 {
		return d.Mul(-1)
	}
	return d
}

// piece is the part between two fractions of the length.
func (k stroke) piece(from, to float64) stroke {
	p := stroke{a: k.at(from), b: k.at(to)}
	if k.bulge != 0 {
		p.bulge = math.Tan(k.turn() * (to - from) / 4)
	}
	return p
}

func (k stroke) reverse() stroke { return stroke{k.b, k.a, -k.bulge} }

// segments appends the stroke as segments of a contour that stands at k.a.
func (k stroke) segments(dst []geom.Segment) []geom.Segment {
	if k.bulge == 0 {
		return append(dst, geom.Segment{Kind: geom.Line, To: k.b})
	}
	// Arcs in endpoint form are kept to a third of a turn.
	n := max(1, int(math.Ceil(math.Abs(k.turn())/(2*math.Pi/3)-1e-9)))
	r := k.radius()
	for i := 1; i <= n; i++ {
		dst = append(dst, geom.Segment{Kind: geom.Arc, RX: r, RY: r, Sweep: k.bulge > 0, To: k.at(float64(i) / float64(n))})
	}
	return dst
}

// strokesPath joins strokes that follow one another.
func strokesPath(strokes []stroke, closed bool) geom.Path {
	if len(strokes) == 0 {
		return nil
	}
	c := geom.Contour{Start: strokes[0].a, Closed: closed}
	for _, k := range strokes {
		c.Segments = k.segments(c.Segments)
	}
	return geom.Path{c}
}
