package collide

import (
	"math"

	"foldwright/solver/geom"
)

// prover shows that pieces stay clear of each other over an interval: by a plane,
// fixed in the frame of a panel, on whose one side all corners of the one stay and
// on whose other side all of the other. A corner stays on its side when it is
// further from the plane in the middle of the interval than it strays. Pieces that
// share a point or a line by construction need no exception: about what they
// share both the distance and the straying shrink in proportion.
type prover struct {
	motion
	noise  float64
	search search
	rays   []geom.Vec3 // directions from a tip
}

// clear tells whether two bodies are proved not to pass through each other.
func (v *prover) clear(x, y *body) bool {
	if v.apart(x, x.face.hull, y, y.face.hull) {
		return true
	}
	if len(x.face.parts) == 1 && len(y.face.parts) == 1 {
		return false
	}
	for _, p := range x.face.parts {
		if len(x.face.parts) > 1 && v.apart(x, p, y, y.face.hull) {
			continue
		}
		for _, q := range y.face.parts {
			if !v.apart(x, p, y, q) {
				return false
			}
		}
	}
	return true
}

func (v *prover) apart(x *body, p part, y *body, q part) bool {
	return v.beside(x, y, q) || v.beside(y, x, p) || v.parted(x, p, y, q)
}

// beside tells whether a part of y stays on one side of the plane of x.
func (v *prover) beside(x, y *body, q part) bool {
	if x.sheet == None {
		return false
	}
	o, n := x.face.frame.Origin, x.face.normal
	side := 0.0
	for k := q.first; k < q.end; k++ {
		if v.sheets[y.held(k).panel] == x.sheet {
			continue
		}
		h := y.face.corners[k].Sub(o).Dot(n)
		if side == 0 && math.Abs(h) > v.noise {
			side = math.Copysign(1, h)
		}
		if h *= side; h < -v.noise {
			return false
		}
		if _, down := v.strays(y, k, x.sheet, n); h < down-v.noise {
			return false
		}
	}
	return true
}

// parted looks for a plane between a part of x and one of y.
func (v *prover) parted(x *body, p part, y *body, q part) bool {
	v.search.a, v.search.b = x.face.corners[p.first:p.end], y.face.corners[q.first:q.end]
	if n, ok := v.search.direction(); ok && v.holds(n, x, p, y, q) {
		return true
	}
	if v.between(x, p, y, q) {
		return true
	}
	tip, ok := v.tip(x.holds[0].panel, y.holds[0].panel, v.noise)
	if !ok {
		return false
	}
	v.rays = v.rays[:0]
	v.addRays(y, q, tip, 1)
	v.addRays(x, p, tip, -1)
	n, ok := v.coneDirection()
	return ok && v.holds(n, x, p, y, q)
}

// addRays adds the directions from a tip to corners, or from them.
func (v *prover) addRays(x *body, p part, tip geom.Vec3, sign float64) {
	for _, c := range x.face.corners[p.first:p.end] {
		if d := c.Sub(tip); d.Norm() > v.noise {
			v.rays = append(v.rays, d.Unit().Mul(sign))
		}
	}
}

// coneDirection is a direction that none of the rays goes against. Where two are
// opposite, as along an edge with the tip on it, it must be across both: what is
// left of the others across them then decides.
func (v *prover) coneDirection() (geom.Vec3, bool) {
	for range 2 {
		e, ok := opposite(v.rays)
		if !ok {
			break
		}
		kept := v.rays[:0]
		for _, r := range v.rays {
			if r = r.Sub(e.Mul(r.Dot(e))); r.Norm() > sameLine {
				kept = append(kept, r.Unit())
			}
		}
		v.rays = kept
	}
	if len(v.rays) == 0 {
		return geom.Vec3{}, false
	}
	v.search.a, v.search.b = nil, v.rays
	return v.search.direction()
}

// opposite finds two unit directions that are opposite.
func opposite(rays []geom.Vec3) (geom.Vec3, bool) {
	for i, r := range rays {
		for _, s := range rays[i+1:] {
			if sum := r.Add(s); sum.Dot(sum) < sameLine*sameLine {
				return r, true
			}
		}
	}
	return geom.Vec3{}, false
}

// mostBetween is the longest way between two panels on which the planes of others
// are tried: what is further apart shares no line by construction.
const mostBetween = 4

// between tells whether the plane of a panel on the way from x to y keeps their
// parts apart, as that of the page does for what lies on it and what is hinged to it.
func (v *prover) between(x *body, p part, y *body, q part) bool {
	panel, goal := x.holds[0].panel, y.holds[0].panel
	for range mostBetween {
		n := v.pose.Panels[panel].Normal()
		if v.holdsIn(panel, n, x, p, y, q) || v.holdsIn(panel, n.Neg(), x, p, y, q) {
			return true
		}
		if panel == goal || v.hops[panel*v.panels+goal] == far {
			return false
		}
		panel = across(&v.joints[v.hops[panel*v.panels+goal]], panel)
	}
	return false
}

// holds tells whether some plane across n keeps the parts of x and y apart, fixed
// in the frame of one of them or of a panel on the way between them.
func (v *prover) holds(n geom.Vec3, x *body, p part, y *body, q part) bool {
	for frame := x.holds[0].panel; ; {
		if v.holdsIn(frame, n, x, p, y, q) {
			return true
		}
		if frame == y.holds[0].panel {
			return false
		}
		k := v.hops[frame*v.panels+y.holds[0].panel]
		if k == far {
			return false
		}
		frame = across(&v.joints[k], frame)
	}
}

func (v *prover) holdsIn(frame int, n geom.Vec3, x *body, p part, y *body, q part) bool {
	most := math.Inf(-1)
	for k := p.first; k < p.end; k++ {
		_, up := v.strays(x, k, frame, n)
		most = max(most, x.face.corners[k].Dot(n)+up)
	}
	for k := q.first; k < q.end; k++ {
		if _, down := v.strays(y, k, frame, n); y.face.corners[k].Dot(n)-down < most-v.noise {
			return false
		}
	}
	return true
}
