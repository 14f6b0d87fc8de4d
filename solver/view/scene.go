package view

import (
	"math"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

const (
	// planeTolerance is the fraction of the model within which a point counts
	// as in a plane: 2 µm on a page of 200 mm, a hundredth of the thickness of
	// paper and a thousand times the error of a chain of generations.
	planeTolerance = 1e-5
	// flatPixels is how far a flattened curve may stray from the true one, px:
	// below what anti-aliasing shows.
	flatPixels = 0.15
)

// edge is what the side of a ring from one corner to the next is.
type edge uint8

const (
	paperEdge edge = iota // an edge of the paper, or a fold seen as one
	crease
	cut // the side of a split, no edge of the paper
)

// corner is a vertex of a ring with the side that leaves it.
type corner struct {
	at   geom.Vec2 // (u, v), mm
	side edge
}

// face is one posed panel. What is cut from it stays in its coordinates.
type face struct {
	panel   int
	frame   geom.Frame
	normal  geom.Vec3 // u×v
	printed float64   // +1 when the printed side is where normal points, else -1
	whole   *fragment
}

// scene is all the faces of a pose before an eye.
type scene struct {
	a          *kinematics.Assembly
	p          *kinematics.Pose
	eye        eye
	size       float64
	tolerance  float64 // planeTolerance in mm
	faces      []face  // pages first
	generation []int
	nudged     *kinematics.Pose // made when layers must be told apart
}

func newScene(a *kinematics.Assembly, p *kinematics.Pose, e eye, width int) *scene {
	s := &scene{
		a: a, p: p, eye: e,
		size:       a.Design.Size(),
		generation: generations(a),
	}
	s.tolerance = planeTolerance * s.size
	flat := max(flatPixels*2*a.Design.Spread.PageWidth/float64(width), kinematics.OutlineTolerance)

	creases := s.creasesByPanel()
	s.faces = make([]face, 0, len(a.Panels))
	for i := range a.Panels {
		if !p.Has(i) {
			continue
		}
		f := face{panel: i, frame: p.Panels[i], printed: a.Panels[i].Printed}
		f.normal = f.frame.Normal()
		var rings [][]corner
		for _, ring := range a.Panels[i].Shape.Flatten(flat) {
			if len(ring) > 2 {
				rings = append(rings, s.corners(ring, creases[i]))
			}
		}
		s.faces = append(s.faces, f)
		last := &s.faces[len(s.faces)-1]
		last.whole = &fragment{face: last, rings: rings}
	}
	return s
}

// creasesByPanel lists the folds drawn as creases on every panel. A fold
// between two panels that are both seen on the same side of it is an outline
// of the picture, and drawn as an edge.
func (s *scene) creasesByPanel() [][]foldLine {
	out := make([][]foldLine, len(s.a.Panels))
	for i := range s.a.Folds {
		f := &s.a.Folds[i]
		if !s.p.HasFold(i) || f.Role != kinematics.BaseFold && s.silhouette(f) {
			continue
		}
		for _, side := range [2]*kinematics.Face{&f.Left, &f.Right} {
			out[side.Panel] = append(out[side.Panel], foldLine{side, f.Length})
		}
	}
	return out
}

func (s *scene) silhouette(f *kinematics.Fold) bool {
	side := func(face *kinematics.Face) float64 {
		frame := &s.p.Panels[face.Panel]
		start := s.eye.project(frame.At(face.Origin))
		along := s.eye.project(frame.At(face.Origin.Add(face.Along.Mul(f.Length)))).Sub(start)
		middle := face.Origin.Add(face.Along.Mul(f.Length / 2)).Add(face.Away)
		return along.Cross(s.eye.project(frame.At(middle)).Sub(start))
	}
	return side(&f.Left)*side(&f.Right) > 0
}

// foldLine is a fold as it lies in a panel.
type foldLine struct {
	*kinematics.Face
	length float64
}

// holds tells whether p is on the fold.
func (f *foldLine) holds(p geom.Vec2, tolerance float64) bool {
	d := p.Sub(f.Origin)
	u := d.Dot(f.Along)
	return math.Abs(d.Cross(f.Along)) <= tolerance && u >= -tolerance && u <= f.length+tolerance
}

func (s *scene) corners(ring []geom.Vec2, creases []foldLine) []corner {
	out := make([]corner, len(ring))
	for i, at := range ring {
		next := ring[(i+1)%len(ring)]
		out[i].at = at
		for j := range creases {
			if creases[j].holds(at, s.tolerance) && creases[j].holds(next, s.tolerance) {
				out[i].side = crease
			}
		}
	}
	return out
}

// isPage tells whether the face is one of the pages.
func (s *scene) isPage(f *face) bool { return s.a.Panels[f.panel].Mechanism == kinematics.Spread }
