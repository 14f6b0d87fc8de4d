package kinematics

import (
	"math"

	"foldwright/solver/geom"
)

// Where there is no closed form, an interval is looked at in its two ends and its
// middle: the range is the hull of what is found, and as much more on either side as
// the coordinate would change, at sampleSafety times the fastest it moves in those
// places, on the way from the nearest one. That holds what moves smoothly; it is no
// proof. It is so for linkages, and where a fold's faces go through each other
// (hostFold.dihedral), which a design that can be made does not do.

const (
	sampled = 3
	// sampleSafety is how much faster than anything seen a coordinate may move
	// between.
	sampleSafety = 2
	// farthest from a sample is a quarter of the interval.
	farthest = 0.25
)

// probes are the poses and rates at the places looked at. The rates are those by the
// fraction of the interval gone.
type probes struct {
	taken bool
	hands [sampled][]float64
	along []float64 // how far each driver goes
	poses [sampled]*Pose
	rates [sampled]*Rate
}

func (a *Assembly) newProbes() probes {
	s := probes{along: make([]float64, len(a.Drivers))}
	for k := range s.poses {
		s.hands[k], s.poses[k], s.rates[k] = make([]float64, len(a.Drivers)), a.NewPose(), a.NewRate()
	}
	return s
}

func (s *probes) take(a *Assembly, from, to Drive) {
	s.taken = true
	for i := range s.along {
		s.along[i] = to.Hand[i] - from.Hand[i]
	}
	seed := Seed{opening: float64(to.Opening - from.Opening), driver: -1, hands: s.along, mechanism: Spread}
	for k, p := range s.poses {
		t := float64(k) / (sampled - 1)
		for i, by := range s.along {
			s.hands[k][i] = from.Hand[i] + t*by
		}
		a.PoseInto(p, Drive{Opening: from.Opening + geom.Angle(t*seed.opening), Hand: s.hands[k]})
		a.RateInto(s.rates[k], p, seed)
	}
}

// sampled fills in the ranges of a mechanism's joints from samples; false when it is
// not reached in one of them.
func (r *Ranges) sampled(s *step) bool {
	if !r.probes.taken {
		r.probes.take(r.a, r.from, r.to)
	}
	for _, p := range r.probes.poses {
		if p.Reach[s.mechanism] != Reached {
			return false
		}
	}
	for _, joints := range [2]foldRange{s.folds, s.others} {
		for i := joints.first; i < joints.end; i++ {
			j := &r.a.joints[i]
			lo, hi := r.probes.hull(j)
			r.lo[i], r.hi[i] = turn{j.zeroQuarters(), lo}, turn{j.zeroQuarters(), hi}
		}
	}
	return true
}

func (s *probes) hull(j *Joint) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	var last, fastest float64
	for k, p := range s.poses {
		q := s.coordinate(j, k)
		if k > 0 {
			q = last + math.Remainder(q-last, 2*math.Pi)
			fastest = max(fastest, math.Abs(q-last)*(sampled-1))
		}
		if s.rates[k].Exists[j.Mechanism] {
			fastest = max(fastest, math.Abs(s.rates[k].speed(j, p)))
		}
		lo, hi, last = min(lo, q), max(hi, q), q
	}
	more := min(sampleSafety*farthest*fastest, 2*math.Pi) // next to a lock rates have no bound
	if j.Kind == Balled {
		most := max(-lo, hi) + more
		return -most, most
	}
	return lo - more, hi + more
}

// coordinate is the joint's coordinate in a sample: of a ball, how far it is turned
// from the middle one.
func (s *probes) coordinate(j *Joint, k int) float64 {
	if j.Kind != Balled {
		return j.Coordinate(s.poses[k])
	}
	middle := s.poses[sampled/2]
	return turnBetween(j.relative(s.poses[k]), j.relative(middle))
}

// relative is the second panel's axes as the first one has them.
func (j *Joint) relative(p *Pose) [3]geom.Vec3 {
	first, second := &p.Panels[j.Faces[0].Panel], &p.Panels[j.Faces[1].Panel]
	n := first.Normal()
	in := func(d geom.Vec3) geom.Vec3 { return geom.Vec3{X: d.Dot(first.X), Y: d.Dot(first.Y), Z: d.Dot(n)} }
	return [3]geom.Vec3{in(second.X), in(second.Y), in(second.Normal())}
}

// turnBetween is the angle of the turn that takes one set of axes to the other: half
// of the turn's angle has the sine |e - f|/2 of each axis at right angles to it, so
// the squares of the three differences come to 8·sin² of it.
func turnBetween(e, f [3]geom.Vec3) float64 {
	sum := 0.0
	for i := range e {
		d := e[i].Sub(f[i])
		sum += d.Dot(d)
	}
	return 2 * math.Asin(min(1, math.Sqrt(sum/8)))
}

// speed is how fast a hinge turns, or the second panel of a ball on the first.
func (r *Rate) speed(j *Joint, p *Pose) float64 {
	if j.Kind == Hinged {
		return r.FoldAngle(j.Fold)
	}
	first, second := j.Faces[0].Panel, j.Faces[1].Panel
	return r.spin(second, p).Sub(r.spin(first, p)).Norm()
}

// spin is the panel's angular velocity, half the sum of e × e' over its axes.
func (r *Rate) spin(panel int, p *Pose) geom.Vec3 {
	f, rate := &p.Panels[panel], &r.Panels[panel]
	return f.X.Cross(rate.X).Add(f.Y.Cross(rate.Y)).Add(f.Normal().Cross(normalRate(f, rate))).Mul(0.5)
}

func (l *linkage) enclose(*Ranges) enclosure { return unknown }
