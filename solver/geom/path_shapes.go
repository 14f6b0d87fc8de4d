package geom

import "math"

// PolylinePath joins points by straight lines. Fewer than two points make an
// empty path.
func PolylinePath(points []Vec2, closed bool) Path {
	if len(points) < 2 {
		return nil
	}
	c := Contour{Start: points[0], Closed: closed, Segments: make([]Segment, 0, len(points)-1)}
	for _, q := range points[1:] {
		c.Segments = append(c.Segments, Segment{Kind: Line, To: q})
	}
	return Path{c}
}

// Rect is the upright rectangle with the given corners, anticlockwise.
func Rect(x0, y0, x1, y1 float64) Path { return RoundedRect(x0, y0, x1, y1, 0) }

// RoundedRect is an upright rectangle with quarter-circle corners,
// anticlockwise. The radius shrinks to what the shorter side allows.
func RoundedRect(x0, y0, x1, y1, r float64) Path {
	x0, x1 = min(x0, x1), max(x0, x1)
	y0, y1 = min(y0, y1), max(y0, y1)
	r = min(r, (x1-x0)/2, (y1-y0)/2)
	if !(r > 0) {
		return PolylinePath([]Vec2{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}, true)
	}
	c := Contour{Start: Vec2{x0 + r, y0}, Closed: true}
	at := c.Start
	line := func(x, y float64) {
		if to := (Vec2{x, y}); to != at {
			c.Segments = append(c.Segments, Segment{Kind: Line, To: to})
			at = to
		}
	}
	corner := func(x, y float64) {
		at = Vec2{x, y}
		c.Segments = append(c.Segments, Segment{Kind: Arc, RX: r, RY: r, Sweep: true, To: at})
	}
	line(x1-r, y0)
	corner(x1, y0+r)
	line(x1, y1-r)
	corner(x1-r, y1)
	line(x0+r, y1)
	corner(x0, y1-r)
	line(x0, y0+r)
	corner(x0+r, y0)
	return Path{c}
}

// Circle is a circle anticlockwise from its rightmost point, in quarters: four
// arcs keep the endpoint form well conditioned.
func Circle(center Vec2, r float64) Path {
	c := Contour{Start: Vec2{center.X + r, center.Y}, Closed: true}
	for _, to := range [4]Vec2{{center.X, center.Y + r}, {center.X - r, center.Y}, {center.X, center.Y - r}, c.Start} {
		c.Segments = append(c.Segments, Segment{Kind: Arc, RX: r, RY: r, Sweep: true, To: to})
	}
	return Path{c}
}

// CircularArc is the open arc about a centre from one angle through a signed
// turn, in pieces of at most a third of a turn.
func CircularArc(center Vec2, r float64, from, turn Angle) Path {
	k := curve{kind: Arc, center: center, rx: r, ry: r, theta: float64(from), delta: float64(turn)}
	if r == 0 || turn == 0 || math.IsNaN(float64(turn)) {
		return nil
	}
	return Path{{Start: k.on(0), Segments: k.sub(nil, 0, 1, k.on(0), k.on(1))}}
}
