package view

import (
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/paper"
)

// countBands is how many faces strips can have in a pose.
func countBands(a *kinematics.Assembly, p *kinematics.Pose) int {
	n := 0
	for i := range a.Strips {
		n += paper.Bands(a, p, i)
	}
	return n
}

// addStrips adds a face for every straight part of every strip.
func (s *scene) addStrips(cut *cutOut) {
	for i := range s.a.Strips {
		look := cut.lookOf(s.a.Strips[i].ID)
		if look == Hidden {
			continue
		}
		for k := range paper.Bands(s.a, s.p, i) {
			band, ok := paper.BandAt(s.a, s.p, i, k)
			if !ok {
				continue
			}
			ring := []corner{
				{geom.Vec2{}, paperEdge}, {geom.Vec2{X: band.Length}, paperEdge},
				{geom.Vec2{X: band.Length, Y: band.Width}, paperEdge}, {geom.Vec2{Y: band.Width}, paperEdge},
			}
			if band.After {
				ring[1].side = crease
			}
			if band.Before {
				ring[3].side = crease
			}
			s.add(face{panel: noPanel, strip: i, look: look, segment: k, frame: band.Frame, printed: 1}, [][]corner{ring})
		}
	}
}
