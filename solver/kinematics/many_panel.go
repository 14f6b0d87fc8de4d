package kinematics

import "foldwright/solver/geom"

// foldRange is the folds from first up to, not including, end.
type foldRange struct{ first, end int }

// poseHinges fills in the states of those folds that something stands on, from
// the frames of the panels beside them.
func (p *Pose) poseHinges(folds foldRange) {
	for i := folds.first; i < folds.end; i++ {
		if !p.a.hinged[i] {
			continue
		}
		f := &p.a.Folds[i]
		left, right := &p.Panels[f.Left.Panel], &p.Panels[f.Right.Panel]
		p.hinges[i] = makeHinge(left.At(f.Left.Origin), left.Dir(f.Left.Along), left.Dir(f.Left.Away), right.Dir(f.Right.Away))
	}
}

// edge is a line of a panel as a face: u along the fold, away from it v.
func edge(panel int, u, v, alongU, alongV, awayU, awayV float64) Face {
	return Face{
		Panel: panel, Origin: geom.Vec2{X: u, Y: v},
		Along: geom.Vec2{X: alongU, Y: alongV}, Away: geom.Vec2{X: awayU, Y: awayV},
	}
}

// foot and head are the edges of a panel that stands on v = 0, as faces that run
// along u.
func foot(panel int) Face              { return edge(panel, 0, 0, 1, 0, 0, 1) }
func head(panel int, w float64) Face   { return edge(panel, 0, w, 1, 0, 0, -1) }
func (f Face) moved(u, w float64) Face { f.Origin = f.at(u, w); return f }

// markOutside notes the printed face of panels that stand on no host, by a fold
// they share with a panel of the same mechanism: it is the side away from the
// inside of the mechanism.
func (c *compiler) markOutside(f *Fold) {
	for _, face := range [2]*Face{&f.Left, &f.Right} {
		panel := &c.Panels[face.Panel]
		if panel.Printed != 0 {
			continue
		}
		panel.Printed = WorkingSide(face, face == &f.Left)
		if f.Role == RidgeFold {
			panel.Printed = -panel.Printed
		}
	}
}
