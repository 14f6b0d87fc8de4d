package view

import (
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// maxSegments is the most straight parts of a strip.
const maxSegments = 5

// addStrips adds a face for every straight part of every strip.
func (s *scene) addStrips() {
	for i := range s.a.Strips {
		strip := &s.a.Strips[i]
		if s.p.Reach[strip.Mechanism] != kinematics.Reached {
			continue
		}
		path := s.p.Strips[i].Path()
		for k := range min(len(path)-1, maxSegments) {
			frame, ok := s.band(s.p, i, k)
			if !ok {
				continue
			}
			long := path[k+1].Sub(path[k]).Norm()
			ring := []corner{
				{geom.Vec2{}, paperEdge}, {geom.Vec2{X: long}, paperEdge},
				{geom.Vec2{X: long, Y: strip.Width}, paperEdge}, {geom.Vec2{Y: strip.Width}, paperEdge},
			}
			if k+2 < len(path) {
				ring[1].side = crease
			}
			if k > 0 {
				ring[3].side = crease
			}
			s.add(face{panel: noPanel, strip: i, segment: k, frame: frame, printed: 1}, [][]corner{ring})
		}
	}
}

// band is the frame of a straight part of a strip: X along its path and Y
// across it, from a corner. The path of a strip bends only about lines across
// it, so all its parts have one Y; where it lies on its panel, X × Y is on the
// printed side. None when the part has no length.
func (s *scene) band(p *kinematics.Pose, strip, segment int) (geom.Frame, bool) {
	m := s.a.Strips[strip].Mechanism
	path := p.Strips[strip].Path()
	if p.Reach[m] != kinematics.Reached || segment+1 >= len(path) {
		return geom.Frame{}, false
	}
	along := path[segment+1].Sub(path[segment])
	if along.Norm() <= s.tolerance {
		return geom.Frame{}, false
	}
	host := s.a.PanelIndex(s.a.Design.Mechanisms[m].On.Panel)
	if host < 0 {
		return geom.Frame{}, false
	}
	up := p.Panels[host].Normal().Mul(s.a.Panels[host].Printed)
	for k := 1; k < len(path); k++ {
		if first := path[k].Sub(path[k-1]); first.Norm() > s.tolerance {
			across := up.Cross(first).Unit()
			half := s.a.Strips[strip].Width / 2
			return geom.Frame{Origin: path[segment].Sub(across.Mul(half)), X: along.Unit(), Y: across}, true
		}
	}
	return geom.Frame{}, false
}
