package view

import (
	"math"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/paper"
)

// planeTolerance is the fraction of the model within which a point counts as in
// a plane: 2 µm on a page of 200 mm, a hundredth of the thickness of paper and a
// thousand times the error of a chain of generations.
const planeTolerance = 1e-5

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

// noPanel stands for the panel of a face that is part of a strip.
const noPanel = -1

// face is one posed panel, or one straight part of a strip. What is cut from it
// stays in its coordinates.
type face struct {
	panel   int // or noPanel
	strip   int // where it is no panel
	segment int // of the path of the strip
	frame   geom.Frame
	normal  geom.Vec3 // u×v
	look    Look
	printed float64 // +1 when the printed side is where normal points, else -1
	whole   *fragment
}

// scene is all the faces of a pose before an eye.
type scene struct {
	a          *kinematics.Assembly
	watch      *watch
	p          *kinematics.Pose
	eye        eye
	size       float64
	tolerance  float64 // planeTolerance in mm
	faces      []face  // pages first
	generation []int
	nudged     *kinematics.Pose // made when layers must be told apart
}

func newScene(a *kinematics.Assembly, p *kinematics.Pose, e eye, width int) *scene {
	return newSceneOf(newCutOut(a, width, &Options{}), p, e)
}

func newSceneOf(cut *cutOut, p *kinematics.Pose, e eye) *scene {
	a := cut.a
	s := &scene{
		a: a, p: p, eye: e, watch: cut.watch,
		size:       a.Design.Size(),
		generation: generations(a),
	}
	s.tolerance = planeTolerance * s.size

	creases := s.creasesByPanel()
	s.faces = make([]face, 0, len(a.Panels)+countBands(a, p))
	for i := range a.Panels {
		look := cut.lookOf(a.Panels[i].ID)
		if !p.Has(i) || look == Hidden {
			continue
		}
		rings := make([][]corner, len(cut.rings[i]))
		for k, ring := range cut.rings[i] {
			rings[k] = s.corners(ring, creases[i])
		}
		s.add(face{panel: i, look: look, frame: p.Panels[i], printed: a.Panels[i].Printed}, rings)
	}
	s.addStrips(cut)
	return s
}

// add adds a face; there must be room for it, since fragments point to it.
func (s *scene) add(f face, rings [][]corner) {
	f.normal = f.frame.Normal()
	s.faces = append(s.faces, f)
	last := &s.faces[len(s.faces)-1]
	last.whole = &fragment{face: last, rings: rings}
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
func (s *scene) isPage(f *face) bool { return s.mechanism(f) == kinematics.Spread }

// mechanism is the number of the mechanism the face is part of.
func (s *scene) mechanism(f *face) int {
	if f.panel == noPanel {
		return s.a.Strips[f.strip].Mechanism
	}
	return s.a.Panels[f.panel].Mechanism
}

// sheet names what the face is part of.
func (s *scene) sheet(f *face) (sort, id string) {
	if f.panel == noPanel {
		return "strip", s.a.Strips[f.strip].ID
	}
	return "panel", s.a.Panels[f.panel].ID
}

// frameIn is where the face is in another pose, if it is there.
func (s *scene) frameIn(p *kinematics.Pose, f *face) (geom.Frame, bool) {
	if f.panel == noPanel {
		band, ok := paper.BandAt(s.a, p, f.strip, f.segment)
		return band.Frame, ok
	}
	return p.Panels[f.panel], p.Has(f.panel)
}
