package geom

import "math"

// curve is a segment together with its start, and for an arc the centre form,
// as a map from t in 0..1 to the plane.
//
// For an arc: point = center + R(phi)·(rx cos θ, ry sin θ), θ = theta + t·delta.
type curve struct {
	kind           SegmentKind
	p0, c1, c2, p1 Vec2
	center         Vec2
	rx, ry         float64
	phi            Angle
	theta, delta   float64
}

// meetingEnds is the distance between the ends of an arc, in radii, below which
// rounding alone decides which way they lie from each other.
const meetingEnds = 1e-15

// resolve finds the curve of a segment. Arcs follow the implementation notes
// of SVG 1.1, section F.6: a zero radius is a straight line (F.6.2), radii too
// small to span the ends grow until they do (F.6.6), and the centre comes from
// F.6.5. An arc whose ends meet is nothing, kept as a line of no length.
func resolve(p0 Vec2, s *Segment) curve {
	k := curve{kind: s.Kind, p0: p0, c1: s.C1, c2: s.C2, p1: s.To}
	if s.Kind != Arc {
		return k
	}
	rx, ry := math.Abs(s.RX), math.Abs(s.RY)
	if rx == 0 || ry == 0 || p0 == s.To {
		k.kind = Line
		return k
	}
	sin, cos := s.Phi.Sincos()
	// F.6.5.1: half the chord, in the axes of the ellipse.
	h := p0.Sub(s.To).Mul(0.5)
	x1, y1 := cos*h.X+sin*h.Y, -sin*h.X+cos*h.Y
	// The same on the unit circle: a chord of half length d around which the
	// centre lies at distance sqrt(1 - d²).
	ux, uy := x1/rx, y1/ry
	d2 := ux*ux + uy*uy
	if d2 > 1 {
		d := math.Sqrt(d2)
		rx, ry, ux, uy, d2 = rx*d, ry*d, ux/d, uy/d, 1
	}
	if d2 < meetingEnds*meetingEnds {
		k.kind = Line
		return k
	}
	f := math.Sqrt((1 - d2) / d2)
	if s.Large == s.Sweep {
		f = -f
	}
	cx, cy := f*uy, -f*ux
	k.rx, k.ry, k.phi = rx, ry, s.Phi
	mid := p0.Lerp(s.To, 0.5)
	k.center = Vec2{mid.X + cos*rx*cx - sin*ry*cy, mid.Y + sin*rx*cx + cos*ry*cy}
	k.theta = math.Atan2(uy-cy, ux-cx)
	end := math.Atan2(-uy-cy, -ux-cx)
	k.delta = end - k.theta
	if s.Sweep && k.delta < 0 {
		k.delta += 2 * math.Pi
	} else if !s.Sweep && k.delta > 0 {
		k.delta -= 2 * math.Pi
	}
	// With ends so close that rounding decides the sign of their difference,
	// the flag knows better.
	full := -2 * math.Pi
	if s.Sweep {
		full = 2 * math.Pi
	}
	if turn := math.Abs(k.delta); !s.Large && turn > 1.5*math.Pi {
		k.delta -= full
	} else if s.Large && turn < 0.5*math.Pi {
		k.delta += full
	}
	if math.Abs(k.delta) < flatTurn {
		k.kind = Line
	}
	return k
}

// flatTurn is the turn below which an arc is a line to the last bit: its
// sagitta r·turn²/8 is beyond the rounding of its own ends.
const flatTurn = 1e-9

// at is the point at parameter t; the ends come out exactly.
func (k *curve) at(t float64) Vec2 {
	switch {
	case t <= 0:
		return k.p0
	case t >= 1:
		return k.p1
	}
	return k.on(t)
}

// on is the point at t by the formula alone, also outside 0..1.
func (k *curve) on(t float64) Vec2 {
	switch k.kind {
	case Quad:
		return k.p0.Lerp(k.c1, t).Lerp(k.c1.Lerp(k.p1, t), t)
	case Cubic:
		m := k.c1.Lerp(k.c2, t)
		a := k.p0.Lerp(k.c1, t).Lerp(m, t)
		b := m.Lerp(k.c2.Lerp(k.p1, t), t)
		return a.Lerp(b, t)
	case Arc:
		sin, cos := math.Sincos(k.theta + t*k.delta)
		return k.center.Add(k.turned(k.rx*cos, k.ry*sin))
	}
	return k.p0.Lerp(k.p1, t)
}

// slope is the derivative with respect to t.
func (k *curve) slope(t float64) Vec2 {
	switch k.kind {
	case Quad:
		return k.c1.Sub(k.p0).Lerp(k.p1.Sub(k.c1), t).Mul(2)
	case Cubic:
		a, b, c := k.c1.Sub(k.p0), k.c2.Sub(k.c1), k.p1.Sub(k.c2)
		return a.Lerp(b, t).Lerp(b.Lerp(c, t), t).Mul(3)
	case Arc:
		sin, cos := math.Sincos(k.theta + t*k.delta)
		return k.turned(-k.rx*sin*k.delta, k.ry*cos*k.delta)
	}
	return k.p1.Sub(k.p0)
}

// turned is (x, y) of the ellipse's axes in the plane.
func (k *curve) turned(x, y float64) Vec2 {
	sin, cos := k.phi.Sincos()
	return Vec2{cos*x - sin*y, sin*x + cos*y}
}

// circular tells whether the curve is an arc of a circle. Radii that went
// through the same scaling stay equal to the bit.
func (k *curve) circular() bool { return k.kind == Arc && k.rx == k.ry }

// maxArcTurn keeps arcs in endpoint form well conditioned. The centre is at
// √(r² - c²) from a chord of half length c = r·sin(d/2), so an error e in c
// moves it by e·tan(d/2): less than 2e up to 120 degrees, without bound at 180.
const maxArcTurn = 2 * math.Pi / 3

// arcPieces is the number of equal pieces that brings the arc under
// maxArcTurn. The slack keeps a third of a turn, as rounded, in one piece.
func (k *curve) arcPieces() int {
	return max(1, int(math.Ceil(math.Abs(k.delta)/maxArcTurn-1e-9)))
}

// sub appends the piece from parameter a to b (backwards when a > b), which
// starts at `from` and ends at `to`: the points of the curve there up to a
// small correction, which the control points share.
func (k *curve) sub(dst []Segment, a, b float64, from, to Vec2) []Segment {
	switch k.kind {
	case Quad:
		c := k.blossom2(a, b)
		c = c.Add(from.Sub(k.at(a)).Add(to.Sub(k.at(b))).Mul(0.5))
		return append(dst, Segment{Kind: Quad, C1: c, To: to})
	case Cubic:
		c1 := k.blossom3(a, a, b).Add(from.Sub(k.at(a)))
		c2 := k.blossom3(a, b, b).Add(to.Sub(k.at(b)))
		return append(dst, Segment{Kind: Cubic, C1: c1, C2: c2, To: to})
	case Arc:
		part := *k
		part.delta = k.delta * (b - a)
		n := part.arcPieces()
		for i := 1; i <= n; i++ {
			end := to
			if i < n {
				end = k.on(a + (b-a)*float64(i)/float64(n))
			}
			dst = append(dst, Segment{Kind: Arc, RX: k.rx, RY: k.ry, Phi: k.phi, Sweep: part.delta > 0, To: end})
		}
		return dst
	}
	return append(dst, Segment{Kind: Line, To: to})
}

// blossom2 and blossom3 are the polar forms of the Bézier curves: the control
// points of the piece a..b are the blossoms at mixed arguments. Source: Farin,
// Curves and Surfaces for CAGD, chapter on blossoms.
func (k *curve) blossom2(a, b float64) Vec2 {
	return k.p0.Lerp(k.c1, a).Lerp(k.c1.Lerp(k.p1, a), b)
}

func (k *curve) blossom3(a, b, c float64) Vec2 {
	p, q, r := k.p0.Lerp(k.c1, a), k.c1.Lerp(k.c2, a), k.c2.Lerp(k.p1, a)
	return p.Lerp(q, b).Lerp(q.Lerp(r, b), c)
}

// direction is the angle of v from the x axis.
func direction(v Vec2) Angle { return Angle(math.Atan2(v.Y, v.X)) }

// normalAxis brings the turn of an ellipse's axis, which has no head, into
// (-π/2, π/2].
func normalAxis(a Angle) Angle {
	r := math.Remainder(float64(a), math.Pi)
	if r <= -math.Pi/2 {
		r += math.Pi
	}
	return Angle(r)
}
