package kinematics

import (
	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// Rate is how fast a pose changes with one thing that decides it: the opening, a
// hand driver or a measurement of the design. It is the workspace of RateInto
// and can be used again and again.
//
// Rates are found forward, from host to guest, by differentiating what each
// poser solves; the header of each says how. Nothing is differenced, so a rate
// has as many digits as the pose, but for the loss next to a lock that no
// formula can avoid: there a pose moves as the square root of the distance to
// the lock, and its rate grows without bound.
type Rate struct {
	// Panels are the rates of the frames' origins, in mm, and of their axes,
	// per radian or mm of what is varied.
	Panels []geom.Frame
	// Exists is, by mechanism, whether the pose has a derivative: not at a lock;
	// not where what the mechanism stands on has none; and not when shut, for a
	// measurement whose change would stop it from shutting flat. The rates of
	// the others are meaningless. Where a motion ends, shut or flush when flat,
	// it is the derivative into the motion.
	Exists   []bool
	AllExist bool

	a      *Assembly
	pose   *Pose
	seed   Seed
	hinges []Hinge
	side   Hinge
	travel []float64
	folds  []foldRange // by mechanism
}

// NewRate makes room for a rate of the assembly.
func (a *Assembly) NewRate() *Rate {
	r := &Rate{
		Panels: make([]geom.Frame, len(a.Panels)),
		Exists: make([]bool, len(a.Design.Mechanisms)),
		a:      a,
		hinges: make([]Hinge, len(a.Folds)),
		travel: make([]float64, len(a.Strips)),
		folds:  make([]foldRange, len(a.Design.Mechanisms)),
	}
	for i := range a.steps {
		r.folds[a.steps[i].mechanism] = a.steps[i].folds
	}
	return r
}

// rater is what a poser tells of how its pose changes.
type rater interface {
	// vary takes the rates of the mechanism's measurements to those of what the
	// poser was compiled to: its outlines and folds, in s, and its constants,
	// given back to be handed to rate.
	vary(rates design.Spec, s *shapeRate) any
	// rate fills in the rates of the mechanism's panels and strips, given those
	// of its host. own is what vary gave, nil when it is no measurement of this
	// mechanism that changes. It tells whether there is a derivative.
	rate(p *Pose, r *Rate, own any) bool
}

// RateInto works out how the pose p, which PoseInto has filled in, changes with
// the seed. It does not allocate. The rate reads from the pose when asked for
// vertices, angles and heights, so the pose must stay as it is until then.
func (a *Assembly) RateInto(r *Rate, p *Pose, w Seed) {
	r.pose, r.seed = p, w
	r.AllExist = true
	r.ratePages()
	for i := range a.steps {
		s := &a.steps[i]
		m := s.mechanism
		r.Exists[m] = p.Reach[m] == Reached && r.exist(s.hosts) && r.rateStep(s)
		r.AllExist = r.AllExist && r.Exists[m]
	}
}

func (r *Rate) rateStep(s *step) bool {
	var own any
	if s.mechanism == r.seed.mechanism {
		own = r.seed.own
	}
	if !s.poser.rate(r.pose, r, own) {
		return false
	}
	for i := r.folds[s.mechanism].first; i < r.folds[s.mechanism].end; i++ {
		if r.a.hinged[i] {
			r.rateHinge(i)
		}
	}
	return true
}

// ratePages turns the pages: with φ half the opening they run along
// (∓sin φ, 0, cos φ).
func (r *Rate) ratePages() {
	half := r.seed.opening / 2
	g := &r.pose.hinges[gutterFold]
	sin, cos := half*g.Cos, -half*g.Sin
	r.hinges[gutterFold] = Hinge{Sin: sin, Cos: cos}
	r.Panels[pageLeft] = geom.Frame{Y: geom.Vec3{X: -sin, Z: cos}}
	r.Panels[pageRight] = geom.Frame{Y: geom.Vec3{X: sin, Z: cos}}
}

func (r *Rate) exist(mechanisms []int) bool {
	for _, m := range mechanisms {
		if !r.Exists[m] {
			return false
		}
	}
	return true
}

// Has tells whether the panel has a rate.
func (r *Rate) Has(panel int) bool {
	m := r.a.Panels[panel].Mechanism
	return m == Spread || r.Exists[m]
}

// FlatRate is the rate of a vertex of the panel's outline in the panel's own
// plane. Vertices of a shaped edge keep their place along it.
func (r *Rate) FlatRate(panel, vertex int) geom.Vec2 {
	if r.seed.outlines == nil || r.seed.outlines[panel] == nil {
		return geom.Vec2{}
	}
	return r.seed.outlines[panel][vertex]
}

// VertexRate is the rate of a vertex of the panel's outline in the world.
func (r *Rate) VertexRate(panel, vertex int) geom.Vec3 {
	carried := r.Panels[panel].At(r.a.Panels[panel].Outline[vertex])
	return carried.Add(r.pose.Panels[panel].Dir(r.FlatRate(panel, vertex)))
}

// FoldAngle is the rate of the fold's dihedral on its working side.
func (r *Rate) FoldAngle(fold int) float64 {
	f := &r.a.Folds[fold]
	h := r.pose.Panels[f.Left.Panel].Dir(f.Left.Along)
	return r.turning(f.Right.Panel, h) - r.turning(f.Left.Panel, h)
}

// FoldEnds are the rates of the fold's two ends, its start first.
func (r *Rate) FoldEnds(fold int) [2]geom.Vec3 {
	own, e := r.a.ownFace(fold), r.seed.edge(fold)
	frame, rate := &r.pose.Panels[own.Panel], &r.Panels[own.Panel]
	f := &r.a.Folds[fold]
	end := func(u, du float64) geom.Vec3 {
		flat := e.origin.Add(e.along.Mul(u)).Add(own.Along.Mul(du))
		return rate.At(own.at(u, 0)).Add(frame.Dir(flat))
	}
	return [2]geom.Vec3{end(f.Start, e.start), end(f.Length, e.length)}
}

// Travel is the rate of what a strip has drawn, in mm.
func (r *Rate) Travel(strip int) float64 { return r.travel[strip] }

// Height is the rate of the pose's height: that of its highest vertex, the
// first of them where several are. It is 0 where nothing rises above the
// gutter. Where another vertex overtakes the highest one the height has a
// corner, and this is the slope on one side of it.
func (r *Rate) Height() float64 {
	height, rate := 0.0, 0.0
	for i := range r.Panels {
		if r.a.Panels[i].Mechanism == Spread || !r.Has(i) {
			continue
		}
		f := &r.pose.Panels[i]
		for j, v := range r.a.Panels[i].Outline {
			if z := f.Origin.Z + v.X*f.X.Z + v.Y*f.Y.Z; z > height {
				height, rate = z, r.VertexRate(i, j).Z
			}
		}
	}
	return rate
}
