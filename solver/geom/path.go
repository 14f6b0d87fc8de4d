package geom

import "slices"

// SegmentKind tells how a segment gets from its start to its end.
type SegmentKind uint8

const (
	Line  SegmentKind = iota // straight
	Quad                     // quadratic Bézier, one control point C1
	Cubic                    // cubic Bézier, control points C1 and C2
	Arc                      // elliptical arc, endpoint form
)

// Segment is one piece of a contour. It starts where the segment before it
// ends, so a segment alone has no start.
//
// An arc is in the endpoint form of SVG: radii RX and RY, the ellipse's x axis
// turned by Phi, and two choices. Sweep means the angle grows from x towards y
// of the path's own coordinates: anticlockwise, since y is up here. Arcs that
// subtend close to a half turn or a full turn are ill-conditioned in this form
// (the centre moves with the square root of an error in the ends), so code
// that makes arcs keeps them to a third of a turn.
type Segment struct {
	Kind   SegmentKind
	C1, C2 Vec2
	To     Vec2
	RX, RY float64
	Phi    Angle
	Large  bool
	Sweep  bool
}

// Contour is a run of joined segments. A closed contour has an implied
// straight line back to Start when its last segment ends elsewhere.
type Contour struct {
	Start    Vec2
	Segments []Segment
	Closed   bool
}

// Path is a list of contours. As an area it is filled by the even-odd rule, so
// a contour inside another is a hole.
type Path []Contour

// End is the last point of the contour, before any implied closing line.
func (c *Contour) End() Vec2 {
	if n := len(c.Segments); n > 0 {
		return c.Segments[n-1].To
	}
	return c.Start
}

// each calls f for every segment resolved to a curve, the implied closing line
// included. index is -1 for that line.
func (c *Contour) each(f func(index int, k *curve)) {
	at := c.Start
	for i := range c.Segments {
		k := resolve(at, &c.Segments[i])
		f(i, &k)
		at = c.Segments[i].To
	}
	if c.Closed && at != c.Start {
		k := curve{kind: Line, p0: at, p1: c.Start}
		f(-1, &k)
	}
}

// Transform maps the path by a similarity. Under a mirror the sweep of arcs
// turns over; the order of the points is kept, so the signed area changes
// sign.
func (p Path) Transform(m Placement) Path {
	if p == nil {
		return nil
	}
	k := m.Factor()
	turn := m.Dir(Vec2{1, 0})
	out := make(Path, len(p))
	for i := range p {
		c := &p[i]
		segments := make([]Segment, len(c.Segments))
		for j, s := range c.Segments {
			s.To = m.Apply(s.To)
			switch s.Kind {
			case Quad:
				s.C1 = m.Apply(s.C1)
			case Cubic:
				s.C1, s.C2 = m.Apply(s.C1), m.Apply(s.C2)
			case Arc:
				s.RX, s.RY = s.RX*k, s.RY*k
				if m.Mirror {
					s.Phi, s.Sweep = -s.Phi, !s.Sweep
				}
				if s.RX == s.RY {
					s.Phi = 0 // a circle has no axis: keep it out of the numbers
				} else {
					s.Phi = normalAxis(s.Phi + direction(turn))
				}
			}
			segments[j] = s
		}
		out[i] = Contour{Start: m.Apply(c.Start), Segments: segments, Closed: c.Closed}
	}
	return out
}

// Reverse runs every contour the other way. A closed contour keeps its start.
func (p Path) Reverse() Path {
	if p == nil {
		return nil
	}
	out := make(Path, len(p))
	for i := range p {
		out[i] = p[i].reverse()
	}
	return out
}

func (c *Contour) reverse() Contour {
	segments := c.Segments
	if c.Closed && c.End() != c.Start {
		segments = append(slices.Clip(segments), Segment{Kind: Line, To: c.Start})
	}
	r := Contour{Start: c.Start, Closed: c.Closed, Segments: make([]Segment, 0, len(segments))}
	if n := len(segments); n > 0 {
		r.Start = segments[n-1].To
	}
	for i, s := range slices.Backward(segments) {
		if i > 0 {
			s.To = segments[i-1].To
		} else {
			s.To = c.Start
		}
		if s.Kind == Cubic {
			s.C1, s.C2 = s.C2, s.C1
		}
		if s.Kind == Arc {
			s.Sweep = !s.Sweep
		}
		r.Segments = append(r.Segments, s)
	}
	return r
}
