package collide

import (
	"math"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// link is a joint in the middle of an interval of a driver.
type link struct {
	kind     kinematics.JointKind
	at, axis geom.Vec3 // what it turns about, in the world
	// half is how far its coordinate strays from there within the interval:
	// infinite when the joint is not there throughout.
	half float64
}

// motion bounds how panels move on each other within an interval, from where
// they are in its middle.
type motion struct {
	panels  int
	joints  []kinematics.Joint
	hops    []int16
	sheets  []int // by panel: one of those that lie in a plane with it
	links   []link
	normals []geom.Vec3 // of the panels
}

// take reads the joints from the middle pose and the ranges of an interval.
func (m *motion) take(p *kinematics.Pose, r *kinematics.Ranges) {
	for i := range m.normals {
		m.normals[i] = p.Panels[i].Normal()
	}
	for k := range m.joints {
		j, l := &m.joints[k], &m.links[k]
		l.kind, l.half = j.Kind, math.Inf(1)
		first := &j.Faces[0]
		if j.Mechanism != kinematics.Spread && !r.Reached[j.Mechanism] || !p.Has(first.Panel) || !p.Has(j.Faces[1].Panel) {
			continue
		}
		frame := &p.Panels[first.Panel]
		l.at = frame.At(first.Origin)
		q := j.Coordinate(p)
		switch j.Kind {
		case kinematics.Hinged:
			l.axis = frame.Dir(first.Along)
		case kinematics.Pivoted:
			l.axis = frame.Normal()
		}
		if j.Kind == kinematics.Hinged || j.Kind == kinematics.Pivoted {
			middle := (r.Lo[k] + r.Hi[k]) / 2
			q = middle + math.Remainder(q-middle, 2*math.Pi)
		}
		l.half = max(r.Hi[k]-q, q-r.Lo[k])
	}
}

// strays is how far a corner of a body may get within the interval from where it is
// in the middle, as seen from the frame of a panel.
//
// Source: derived here. Bring the joints on the way from where they are in the
// middle to where they are at another value, one by one, that next to the point
// first. The turn of a joint by an angle α moves the point by at most α times its
// distance from the axis, which is no more than the distance of x and what the
// joints before have moved it; whatever moves the axis comes later and does not
// count. A slide moves it by its length.
func (m *motion) strays(b *body, corner, frame int) float64 {
	x, held := b.face.corners[corner], b.held(corner)
	carrier, sum := held.panel, 0.0
	if held.slides {
		sum = b.slack
	}
	for carrier != frame {
		k := m.hops[carrier*m.panels+frame]
		if k == far {
			return math.Inf(1)
		}
		l := &m.links[k]
		switch l.kind {
		case kinematics.Hinged, kinematics.Pivoted:
			sum += l.half * (x.Sub(l.at).Cross(l.axis).Norm() + sum)
		case kinematics.Balled:
			sum += l.half * (x.Sub(l.at).Norm() + sum)
		case kinematics.Sliding:
			sum += l.half
		case kinematics.Glued:
		}
		carrier = across(&m.joints[k], carrier)
	}
	return sum
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
				if k == far || m.links[k].half > stillness {
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
		l := &m.links[k]
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
			if l.axis.Norm() == 0 || tip.Sub(l.at).Cross(l.axis).Norm() > noise {
				return tip, false
			}
		}
	}
	return tip, second != nil
}
