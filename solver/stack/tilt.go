package stack

import (
	"foldwright/solver/geom"
)

// tilt is where a piece is across the page, linear over it: x = at + z·X + y·Y
// at a place (X, Y), in mm per radian of opening.
type tilt struct{ at, z, y float64 }

func (t tilt) of(p geom.Vec2) float64 { return t.at + t.z*p.X + t.y*p.Y }

func (t tilt) minus(o tilt) tilt { return tilt{t.at - o.at, t.z - o.z, t.y - o.y} }

// slope is the length of the gradient.
func (t tilt) slope() float64 { return geom.Vec2{X: t.z, Y: t.y}.Norm() }

// flat is the place of a point of the world in the shut page.
func flat(p geom.Vec3) geom.Vec2 { return geom.Vec2{X: p.Z, Y: p.Y} }

// tiltOfRate is the tilt of a panel from the rate of its frame: the point (u, v)
// of a frame in the plane x = 0 moves along x at Origin.X + u·X.X + v·Y.X, and u
// and v are linear in the place.
func tiltOfRate(frame, rate *geom.Frame) tilt {
	o, x, y := flat(frame.Origin), flat(frame.X), flat(frame.Y)
	g := geom.Combine(rate.X.X, geom.Vec3{X: x.X, Y: x.Y}, rate.Y.X, geom.Vec3{X: y.X, Y: y.Y})
	return tilt{at: rate.Origin.X - g.X*o.X - g.Y*o.Y, z: g.X, y: g.Y}
}

// tiltOfPose is the tilt of a panel from its frame at a small opening, where it
// is the graph of a plane over the page; ok is false when it stands too steep to
// be one.
func tiltOfPose(frame *geom.Frame, opening float64) (t tilt, ok bool) {
	n := frame.Normal()
	if n.X*n.X < 0.5 {
		return tilt{}, false
	}
	o := frame.Origin
	z, y := -n.Z/n.X/opening, -n.Y/n.X/opening
	return tilt{at: o.X/opening - z*o.Z - y*o.Y, z: z, y: y}, true
}

// tiltBetween is the tilt of a band from its ends and how far off the middle
// these are; across itself it is level.
func tiltBetween(a, b geom.Vec2, xa, xb float64) tilt {
	d := b.Sub(a)
	g := d.Mul((xb - xa) / d.Dot(d))
	return tilt{at: xa - g.Dot(a), z: g.X, y: g.Y}
}
