package collide

import (
	"math"

	"foldwright/solver/kinematics"
)

// turnThrough looks for folds whose panels turn through each other in an interval
// that was entered: their dihedral falls below 0 or grows beyond a full turn. What a
// base fold does beyond its host's plane is judged with its mechanism, not here.
func (s *sweeper) turnThrough(from, to float64) {
	s.suspects = s.suspects[:0]
	for k := range s.joints {
		if s.joints[k].Kind == kinematics.Hinged && s.matters(s.joints[k].Mechanism) && !s.turned[k] && !s.turnHolds(k) {
			s.suspects = append(s.suspects, k)
		}
	}
	for _, k := range s.suspects {
		leaves := 0
		s.divideTurn(k, from, to, &leaves)
	}
	if len(s.suspects) > 0 && !s.stopped() {
		s.enter(from, to, nil)
	}
}

// turnHolds tells whether the dihedral of a hinge stays within a turn. What is not
// posed throughout is left to shorter intervals.
func (s *sweeper) turnHolds(k int) bool {
	j := &s.joints[k]
	if j.Mechanism == kinematics.Spread || !s.ranges.Reached[j.Mechanism] {
		return true
	}
	lo, hi := float64(j.Zero)+s.ranges.Lo[k], float64(j.Zero)+s.ranges.Hi[k]
	turns := 2 * math.Pi * math.Round((float64(s.pose.FoldAngle(j.Fold))-(lo+hi)/2)/(2*math.Pi))
	return lo+turns >= -Rounding && hi+turns <= 2*math.Pi+Rounding
}

// divideTurn narrows down where a hinge turns through; false where it does not.
func (s *sweeper) divideTurn(k int, from, to float64, leaves *int) bool {
	if *leaves > patience || s.stopped() {
		return false
	}
	if s.enter(from, to, nil); s.turnHolds(k) {
		return false
	}
	if to-from <= s.resolution {
		*leaves++
		if !leaps(s.dihedral(k, from), s.dihedral(k, to)) {
			return false
		}
		s.addTurn(k, to)
		return true
	}
	middle := (from + to) / 2
	return s.divideTurn(k, from, middle, leaves) || s.divideTurn(k, middle, to, leaves)
}

// leaps tells whether a dihedral has gone from one end of the turn to the other: by
// the short way, through the panels.
func leaps(before, after float64) bool { return math.Abs(after-before) > math.Pi }

// dihedral is that of a hinge at one value, NaN where it is not posed.
func (s *sweeper) dihedral(k int, t float64) float64 {
	s.poseAt(t)
	if !s.pose.HasFold(s.joints[k].Fold) {
		return math.NaN()
	}
	return float64(s.pose.FoldAngle(s.joints[k].Fold))
}

// addTurn notes a hinge that has turned through by a value, until it turns back.
func (s *sweeper) addTurn(k int, from float64) {
	s.turned[k] = true
	j := &s.joints[k]
	one, other := j.Faces[0].Panel, j.Faces[1].Panel
	last := s.dihedral(k, from)
	ends := s.pose.FoldEnds(j.Fold)
	c := Contact{
		Pieces: [2]Piece{{min(one, other), None}, {max(one, other), None}}, Fold: j.Fold,
		Driver: s.driver, Opening: s.opening, From: from, To: from, Point: ends[0].Lerp(ends[1], 0.5),
	}
	reach := min(s.reachFrom(&j.Faces[0]), s.reachFrom(&j.Faces[1]))
	step := (s.last - s.first) / followSteps
	for t := from; ; t = min(t+step, s.last) {
		angle := s.dihedral(k, t)
		if math.IsNaN(angle) || leaps(last, angle) {
			break
		}
		last, c.To = angle, t
		past := min(angle, 2*math.Pi-angle)
		if depth := reach * math.Sin(min(past, math.Pi/2)); depth > c.Depth {
			c.Depth, c.Deepest = depth, t
		}
		if t >= s.last {
			break
		}
	}
	s.turns = append(s.turns, c)
}

// reachFrom is how far a panel reaches from a fold on its side of it.
func (s *sweeper) reachFrom(f *kinematics.Face) float64 {
	most := 0.0
	for _, v := range s.a.Panels[f.Panel].Outline {
		most = max(most, v.Sub(f.Origin).Dot(f.Away))
	}
	return most
}
