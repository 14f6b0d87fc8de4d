package collide

import (
	"foldwright/solver/kinematics"
)

// At visits the pairs of pieces that pass through each other in a pose. It does
// not allocate.
func (b *Bodies) At(p *kinematics.Pose, visit func(x, y Piece, c Crossing)) {
	b.place(p)
	for i := range b.bodies {
		if x := &b.bodies[i]; x.here {
			b.broad.low[i], b.broad.high[i] = x.face.low, x.face.high
		} else {
			b.broad.leave(i)
		}
	}
	for _, pair := range b.broad.meet(&b.known) {
		x, y := &b.bodies[pair.i], &b.bodies[pair.j]
		if c, ok := Cross(x.face, y.face); ok {
			visit(x.Piece, y.Piece, c)
		}
	}
}
