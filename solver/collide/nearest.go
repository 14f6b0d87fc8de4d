package collide

import (
	"math"

	"foldwright/solver/geom"
)

// search finds directions along which two sets of points are well apart. It is
// the method of Gilbert, Johnson and Keerthi (A fast procedure for computing the
// distance between complex objects, IEEE J. Robotics and Automation 4 (1988),
// from memory): the point nearest to the origin of the convex hull of a set that
// is known by its furthest points alone.
type search struct {
	a, b []geom.Vec3 // no a: the set is b alone

	simplex [4]geom.Vec3
	size    int
}

const (
	// mostSteps ends a search that rounding keeps from ending; what it gives is
	// tried like any other direction.
	mostSteps = 48
	// nearEnough is the part of the distance that a further step must win.
	nearEnough = 1e-4
)

// furthest is the point of the set that goes least far along d.
func (s *search) furthest(d geom.Vec3) geom.Vec3 {
	var low, high geom.Vec3
	least, most := math.Inf(1), math.Inf(-1)
	for _, p := range s.b {
		if t := p.Dot(d); t < least {
			low, least = p, t
		}
	}
	for _, p := range s.a {
		if t := p.Dot(d); t > most {
			high, most = p, t
		}
	}
	return low.Sub(high)
}

// direction is the unit direction, from a towards b, along which they are
// furthest apart; not ok where the set has the origin in it.
func (s *search) direction() (geom.Vec3, bool) {
	v := s.furthest(geom.Vec3{X: 1})
	s.simplex[0], s.size = v, 1
	for range mostSteps {
		vv := v.Dot(v)
		w := s.furthest(v)
		if vv-v.Dot(w) <= nearEnough*vv {
			break
		}
		s.simplex[s.size] = w
		s.size++
		next := s.reduce()
		if s.size == 4 || next.Dot(next) >= vv {
			if s.size == 4 {
				return geom.Vec3{}, false
			}
			break
		}
		v = next
	}
	norm := v.Norm()
	if norm == 0 {
		return geom.Vec3{}, false
	}
	return v.Mul(1 / norm), true
}

// reduce keeps the corners of the simplex that carry its point nearest to the
// origin, and gives it; all four when the origin is inside.
func (s *search) reduce() geom.Vec3 {
	x := s.simplex
	switch s.size {
	case 2:
		return s.keep(segmentNearest(x[0], x[1]))
	case 3:
		return s.keep(triangleNearest(x[0], x[1], x[2]))
	}
	best := carried{least: math.Inf(1)}
	inside := true
	for i := range 4 {
		p, q, r, top := x[(i+1)%4], x[(i+2)%4], x[(i+3)%4], x[i]
		n := q.Sub(p).Cross(r.Sub(p))
		if n.Dot(p)*n.Dot(p.Sub(top)) > 0 { // the origin and the fourth corner are on one side
			continue
		}
		inside = false
		if c := triangleNearest(p, q, r); c.least < best.least {
			best = c
		}
	}
	if inside {
		return geom.Vec3{}
	}
	return s.keep(best)
}

func (s *search) keep(c carried) geom.Vec3 {
	s.simplex, s.size = c.corners, c.count
	return c.at
}

// carried is the point of a simplex nearest to the origin with the corners that
// carry it.
type carried struct {
	at      geom.Vec3
	least   float64 // its squared distance
	corners [4]geom.Vec3
	count   int
}

func pointNearest(p geom.Vec3) carried {
	return carried{p, p.Dot(p), [4]geom.Vec3{p}, 1}
}

func segmentNearest(p, q geom.Vec3) carried {
	d := q.Sub(p)
	t := -p.Dot(d)
	dd := d.Dot(d)
	switch {
	case t <= 0:
		return pointNearest(p)
	case t >= dd:
		return pointNearest(q)
	}
	at := p.Add(d.Mul(t / dd))
	return carried{at, at.Dot(at), [4]geom.Vec3{p, q}, 2}
}

// triangleNearest. Source: C. Ericson, Real-Time Collision Detection, 5.1.5 (from
// memory): which side or corner the origin lies off, told by the barycentric
// coordinates of its foot.
func triangleNearest(p, q, r geom.Vec3) carried {
	d, e := q.Sub(p), r.Sub(p)
	n := d.Cross(e)
	nn := n.Dot(n)
	if nn > 0 {
		u := q.Cross(r).Dot(n)
		v := r.Cross(p).Dot(n)
		w := p.Cross(q).Dot(n)
		if u >= 0 && v >= 0 && w >= 0 {
			at := n.Mul(p.Dot(n) / nn)
			return carried{at, at.Dot(at), [4]geom.Vec3{p, q, r}, 3}
		}
	}
	best := segmentNearest(p, q)
	if c := segmentNearest(q, r); c.least < best.least {
		best = c
	}
	if c := segmentNearest(r, p); c.least < best.least {
		best = c
	}
	return best
}
