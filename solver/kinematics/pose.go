package kinematics

import (
	"math"

	"foldwright/solver/geom"
)

// Reach tells whether a mechanism can be where the drivers ask.
type Reach uint8

const (
	Reached Reach = iota
	// LockedShut: the panels differ by more than their base lines do, and
	// hold the host open.
	LockedShut
	// LockedOpen: the panels are stretched tight and hold the host back.
	LockedOpen
	// Singular: the host is stretched out with the base lines in one line,
	// and nothing decides where the panels are.
	Singular
	// HostLocked: what the mechanism stands on is not reached.
	HostLocked
)

// Pose is where everything is at one set of driver values. It is the workspace
// of PoseInto and can be used again and again.
type Pose struct {
	Drive  Drive
	Panels []geom.Frame // by panel; meaningless where the mechanism is not reached
	Reach  []Reach      // by mechanism
	Strips []StripState // by strip; meaningless where the mechanism is not reached
	// AllReached is whether every mechanism is reached.
	AllReached bool

	a      *Assembly
	hinges []Hinge
	side   Hinge // the host fold being stood on, seen from its other side

	linkages []linkWork
}

// NewPose makes room for a pose of the assembly.
func (a *Assembly) NewPose() *Pose {
	p := &Pose{
		Panels: make([]geom.Frame, len(a.Panels)),
		Reach:  make([]Reach, len(a.Design.Mechanisms)),
		Strips: make([]StripState, len(a.Strips)),
		a:      a,
		hinges: make([]Hinge, len(a.Folds)),

		linkages: a.newLinkWorks(),
	}
	p.hinges[gutterFold] = gutterHinge
	return p
}

// PoseInto works out the pose at the given driver values. It does not allocate.
func (a *Assembly) PoseInto(p *Pose, drive Drive) { a.PosePart(p, drive, nil) }

// PosePart is PoseInto for the mechanisms for which include is true, which must take
// in the hosts of each; nil includes all. The others stay as they were.
func (a *Assembly) PosePart(p *Pose, drive Drive, include []bool) {
	if drive.Hand == nil {
		drive.Hand = a.rest
	}
	p.Drive = drive
	p.AllReached = true
	p.openPages()
	for i := range a.steps {
		s := &a.steps[i]
		if include != nil && !include[s.mechanism] {
			continue
		}
		reach := HostLocked
		if p.reached(s.hosts) {
			reach = s.poser.pose(p)
		}
		p.Reach[s.mechanism] = reach
		p.AllReached = p.AllReached && reach == Reached
	}
}

// openPages poses the gutter and the pages. Frames are written field by field
// here and in the posers: a struct built first and copied stalls on its own
// stores, which cost more than the arithmetic.
func (p *Pose) openPages() {
	g := &p.hinges[gutterFold]
	g.open(p.Drive.Opening)
	left, right := &p.Panels[pageLeft], &p.Panels[pageRight]
	left.Origin, right.Origin = geom.Vec3{}, geom.Vec3{}
	left.X, right.X = g.H, g.H
	left.Y = geom.Vec3{X: -g.Sin, Z: g.Cos}
	right.Y = geom.Vec3{X: g.Sin, Z: g.Cos}
}

// PoseEach poses the assembly at each of the openings in turn, with every hand
// driver at rest. The pose is the same workspace each time: visit must not keep
// it.
func (a *Assembly) PoseEach(openings []geom.Angle, visit func(i int, p *Pose)) {
	p := a.NewPose()
	for i, opening := range openings {
		a.PoseInto(p, Drive{Opening: opening})
		visit(i, p)
	}
}

func (p *Pose) reached(mechanisms []int) bool {
	for _, m := range mechanisms {
		if p.Reach[m] != Reached {
			return false
		}
	}
	return true
}

// Has tells whether the panel is posed.
func (p *Pose) Has(panel int) bool {
	m := p.a.Panels[panel].Mechanism
	return m == Spread || p.Reach[m] == Reached
}

// HasFold tells whether the fold is posed.
func (p *Pose) HasFold(fold int) bool {
	m := p.a.Folds[fold].Mechanism
	return m == Spread || p.Reach[m] == Reached
}

// AppendVertices appends the world positions of the panel's outline.
func (p *Pose) AppendVertices(dst []geom.Vec3, panel int) []geom.Vec3 {
	f := &p.Panels[panel]
	o, x, y := f.Origin, f.X, f.Y
	for _, v := range p.a.Panels[panel].Outline {
		dst = append(dst, geom.Vec3{
			X: o.X + v.X*x.X + v.Y*y.X,
			Y: o.Y + v.X*x.Y + v.Y*y.Y,
			Z: o.Z + v.X*x.Z + v.Y*y.Z,
		})
	}
	return dst
}

// FoldAngle is the fold's dihedral on its working side, from 0 shut through π
// flat to 2π folded round.
func (p *Pose) FoldAngle(fold int) geom.Angle {
	f := &p.a.Folds[fold]
	left := p.Panels[f.Left.Panel].Dir(f.Left.Away)
	right := p.Panels[f.Right.Panel].Dir(f.Right.Away)
	h := p.Panels[f.Left.Panel].Dir(f.Left.Along)
	hinge := makeHinge(geom.Vec3{}, h, left, right)
	return geom.Angle(2 * math.Atan2(hinge.Sin, hinge.Cos))
}

// FoldEnds are the fold's two ends, its start first.
func (p *Pose) FoldEnds(fold int) [2]geom.Vec3 {
	f := &p.a.Folds[fold]
	frame := &p.Panels[f.Left.Panel]
	return [2]geom.Vec3{frame.At(f.Left.at(f.Start, 0)), frame.At(f.Left.at(f.Length, 0))}
}

// Height is how far the mechanisms reach from the gutter along the bisector of
// the pages, in mm; 0 for a bare spread.
func (p *Pose) Height() float64 {
	height := 0.0
	for i := range p.Panels {
		if p.a.Panels[i].Mechanism == Spread || !p.Has(i) {
			continue
		}
		f := &p.Panels[i]
		for _, v := range p.a.Panels[i].Outline {
			height = max(height, f.Origin.Z+v.X*f.X.Z+v.Y*f.Y.Z)
		}
	}
	return height
}
