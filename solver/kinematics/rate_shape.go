package kinematics

import (
	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// shapeRate gathers how the outlines and folds of one mechanism change with its
// measurements.
type shapeRate struct {
	a        *Assembly
	spec     design.Spec // the measurements themselves
	outlines [][]geom.Vec2
	edges    []edgeRate
}

// edgeRate is how a fold changes in the plane of the panel that ownFace names.
type edgeRate struct {
	origin, along geom.Vec2
	start, length float64
}

// corner is a vertex of an outline that measurements place, and its rate.
type corner struct{ at, rate geom.Vec2 }

func at2(u, v, du, dv float64) corner { return corner{geom.Vec2{X: u, Y: v}, geom.Vec2{X: du, Y: dv}} }

func (a *Assembly) shapeRate(spec design.Spec) *shapeRate {
	return &shapeRate{a, spec, make([][]geom.Vec2, len(a.Panels)), make([]edgeRate, len(a.Folds))}
}

// sameCorner is how near, in mm, a vertex must be to a corner to be that corner:
// far above rounding, far below anything that can be cut.
const sameCorner = 1e-9

// outline gives every vertex of a panel's outline its rate from those of its
// corners, which are listed as they come, the first being the first vertex. What
// lies between two corners is fitted between them by turning and scaling, so it
// moves with them by the similarity that keeps both: with complex numbers,
//
//	q' = p' + (q - p)·(r' - p')/(r - p)
//
// for a vertex q between the corners p and r.
func (s *shapeRate) outline(panel int, corners ...corner) {
	ring := s.a.Panels[panel].Outline
	rates := make([]geom.Vec2, len(ring))
	last := 0 // corner passed
	for i, q := range ring {
		for last+1 < len(corners) && q.Sub(corners[last+1].at).Norm() < sameCorner {
			last++
		}
		p, r := corners[last], corners[(last+1)%len(corners)]
		rates[i] = p.rate.Add(similar(q.Sub(p.at), r.rate.Sub(p.rate), r.at.Sub(p.at)))
	}
	s.outlines[panel] = rates
}

// similar is z·d/e of complex numbers; zero where e is.
func similar(z, d, e geom.Vec2) geom.Vec2 {
	ee := e.Dot(e)
	if ee == 0 {
		return geom.Vec2{}
	}
	x, y := d.Dot(e)/ee, e.Cross(d)/ee
	return geom.Vec2{X: z.X*x - z.Y*y, Y: z.X*y + z.Y*x}
}

// rectangle is the outline of a panel whose free edges may be shaped.
func (s *shapeRate) rectangle(panel int, long, wide, longer, wider float64) {
	s.outline(panel, at2(0, 0, 0, 0), at2(long, 0, longer, 0), at2(long, wide, longer, wider), at2(0, wide, 0, wider))
}
