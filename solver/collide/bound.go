package collide

import (
	"math"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// link is a joint in the middle of an interval of a driver.
type link struct {
	kind     kinematics.JointKind
	at, axis geom.Vec3 // what it turns about or slides along, in the world
	// half is how far its coordinate strays from there within the interval:
	// infinite when the joint is not there throughout.
	half   float64
	number int // of the interval this is of
}

// motion bounds how panels move on each other within an interval, from where they
// are in its middle.
type motion struct {
	panels int
	joints []kinematics.Joint
	hops   []int16
	sheets []int // by panel: one of those that lie in a plane with it
	pose   *kinematics.Pose
	ranges *kinematics.Ranges
	links  []link // those asked for in this interval
	number int    // of the interval
}

// enter takes up another interval, that the ranges are of and the pose is in the
// middle of.
func (m *motion) enter() { m.number++ }

// link works out a joint in the interval. Few are asked for in most intervals.
func (m *motion) link(k int16) *link {
	l := &m.links[k]
	if l.number == m.number {
		return l
	}
	j, p, r := &m.joints[k], m.pose, m.ranges
	l.number, l.kind, l.half = m.number, j.Kind, math.Inf(1)
	first := &j.Faces[0]
	if j.Mechanism != kinematics.Spread && !r.Reached[j.Mechanism] || !p.Has(first.Panel) || !p.Has(j.Faces[1].Panel) {
		return l
	}
	frame := &p.Panels[first.Panel]
	l.at = frame.At(first.Origin)
	q := j.Coordinate(p)
	switch j.Kind {
	case kinematics.Hinged, kinematics.Sliding:
		l.axis = frame.Dir(first.Along)
	case kinematics.Pivoted:
		l.axis = frame.Normal()
	}
	if j.Kind == kinematics.Hinged || j.Kind == kinematics.Pivoted {
		middle := (r.Lo[k] + r.Hi[k]) / 2
		q = middle + math.Remainder(q-middle, 2*math.Pi)
	}
	l.half = max(r.Hi[k]-q, q-r.Lo[k])
	return l
}

// strays is how far a corner of a body may get within the interval from where it is
// in the middle, as seen from the frame of a panel: in any direction, and along the
// unit direction n, fixed in that frame.
//
// Source: derived here. Bring the joints on the way from where they are in the
// middle to where they are at another value, one by one, that next to the corner
// first; what moves an axis then comes later and does not count. With r the corner
// from the axis e in the middle and d what the joints before have moved it, the turn of
// a joint by α moves it by
//
//	sin α·(e × r) - (1 - cos α)·r' + R·d - d,  r' the part of r across e
//
// which is at most α·(|r'| + |d|), and along n at most α·|n·(e × r)| + α²/2·|r'| + α·|d|.
// A slide moves it by its length.
func (m *motion) strays(b *body, corner, frame int, n geom.Vec3) (sum, along float64) {
	x, held := b.face.corners[corner], b.held(corner)
	carrier := held.panel
	if held.slides {
		sum, along = b.slack, b.slack
	}
	for carrier != frame {
		k := m.hops[carrier*m.panels+frame]
		if k == far {
			return math.Inf(1), math.Inf(1)
		}
		l := m.link(k)
		switch l.kind {
		case kinematics.Hinged, kinematics.Pivoted:
			way := l.axis.Cross(x.Sub(l.at))
			norm := way.Norm()
			along += l.half * (math.Abs(way.Dot(n)) + l.half/2*norm + sum)
			sum += l.half * (norm + sum)
		case kinematics.Balled:
			by := l.half * (x.Sub(l.at).Norm() + sum)
			sum, along = sum+by, along+by
		case kinematics.Sliding:
			sum += l.half
			along += l.half * math.Abs(l.axis.Dot(n))
		case kinematics.Glued:
		}
		carrier = across(&m.joints[k], carrier)
	}
	return sum, along
}

// still tells whether two bodies do not move on each other within the interval.
func (m *motion) still(x, y *body) bool {
	for _, from := range x.holds {
		for _, to := range y.holds {
			if from.slides && x.slack > 0 || to.slides && y.slack > 0 {
				return false
			}
			for panel := from.panel; panel != to.panel; {
				k := m.hops[panel*m.panels+to.panel]
				if k == far || m.link(k).half > stillness {
					return false
				}
				panel = across(&m.joints[k], panel)
			}
		}
	}
	return true
}

// stillness is what a joint that stays as it is may seem to move by rounding.
const stillness = 1e-12

// tip is the point in which the axes of all joints on the way from one panel to
// another meet, so that they turn on each other about it.
func (m *motion) tip(from, to int, noise float64) (geom.Vec3, bool) {
	var first, second *link
	var tip geom.Vec3
	for from != to {
		k := m.hops[from*m.panels+to]
		if k == far {
			return tip, false
		}
		l := m.link(k)
		from = across(&m.joints[k], from)
		switch {
		case l.kind == kinematics.Glued:
		case l.kind == kinematics.Balled && first == nil:
			first, second, tip = l, l, l.at
		case l.kind == kinematics.Sliding, l.kind == kinematics.Balled:
			return tip, false
		case first == nil:
			first = l
		case second == nil:
			across := first.axis.Cross(l.axis)
			square := across.Dot(across)
			if square < sameLine*sameLine {
				return tip, false
			}
			second = l
			t := l.at.Sub(first.at).Cross(l.axis).Dot(across) / square
			tip = first.at.Add(first.axis.Mul(t))
			fallthrough
		default:
			if tip.Sub(l.at).Cross(l.axis).Norm() > noise {
				return tip, false
			}
		}
	}
	return tip, second != nil
}
