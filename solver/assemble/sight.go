package assemble

import (
	"math"
	"slices"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
)

const (
	// FingerWidth, FingerThick and FingerLength are what must get to a place
	// straight for it to be glued, mm: the tip of a finger, pressed. From memory.
	FingerWidth, FingerThick, FingerLength = 15.0, 8.0, 70.0
	// liftOff is how far above the host a finger starts, mm: clear of the
	// thickness of what lies there, and less than a slip of the finger.
	liftOff = 0.5
	// allSights bounds the work: lines of sight held against panels. They are
	// worth half a second or so.
	allSights = 20_000_000
)

// spot is a place that is glued, on a panel of the host.
type spot struct {
	panel int
	at    geom.Vec2
	side  float64 // +1: the glue is on the side u × v points to
}

// spotsOf are the places of a joint on its host.
func (b *build) spotsOf(j *pattern.Joint) []spot {
	host := &b.p.Parts[b.parts[j.Host]]
	var list []spot
	for i := range host.Glue {
		g := &host.Glue[i]
		if g.Joint != j.ID || g.Tab {
			continue
		}
		for k := range g.Path {
			box := g.Path[k : k+1].Bounds()
			if s, ok := b.spotAt(host, box.Center(), g.OnBack); ok {
				list = append(list, s)
			}
		}
	}
	return list
}

// spotAt finds a point of a part on one of its panels; ok is false for parts that
// are no panels, which lie open before they are built in.
func (b *build) spotAt(part *pattern.Part, at geom.Vec2, onBack bool) (spot, bool) {
	for _, placed := range part.Panels {
		local := placed.Place.Inverse().Apply(at)
		if !geom.PolygonContains(b.a.Panels[placed.Panel].Outline, local) {
			continue
		}
		side := 1.0
		if placed.Place.Mirror != onBack {
			side = -1
		}
		return spot{placed.Panel, local, side}, true
	}
	return spot{}, false
}

// sight looks along straight lines in poses of the design.
type sight struct {
	a     *kinematics.Assembly
	poses []*kinematics.Pose
	left  int // lines that may still be held against a panel
	stop  func() bool
}

// sightOpenings are the openings looked at, as parts of what the spread opens to.
var sightOpenings = []float64{1, 2. / 3, 1. / 3}

func newSight(a *kinematics.Assembly, stop func() bool) *sight {
	s := &sight{a: a, left: allSights, stop: stop}
	for _, part := range sightOpenings {
		p := a.NewPose()
		a.PoseInto(p, kinematics.Drive{Opening: a.Design.Spread.OpensTo * geom.Angle(part)})
		s.poses = append(s.poses, p)
	}
	return s
}

func (s *sight) over() bool { return s.left <= 0 }

// halted asks whether to give up, as is done before looking in each pose. Once told
// so there is nothing left to look with.
func (s *sight) halted() bool {
	if !s.over() && s.stop() {
		s.left = 0
	}
	return s.over()
}

// approaches are the directions a finger comes from, over a half sphere: x and y
// along the host and z off it.
var approaches = func() []geom.Vec3 {
	list := []geom.Vec3{{Z: 1}}
	for _, height := range []float64{60, 40, 25, 12} {
		sin, cos := geom.Degrees(height).Sincos()
		for k := range 24 {
			y, x := geom.Angle(2 * math.Pi * float64(k) / 24).Sincos()
			list = append(list, geom.Vec3{X: cos * x, Y: cos * y, Z: sin})
		}
	}
	return list
}()

// open tells whether a finger gets to the place past the panels.
func (s *sight) open(at spot, panels []int) bool {
	if len(panels) == 0 {
		return true
	}
	return slices.ContainsFunc(s.poses, func(p *kinematics.Pose) bool {
		if s.halted() || !p.Has(at.panel) {
			return false
		}
		frame := p.Panels[at.panel]
		n := frame.Normal().Mul(at.side)
		from := frame.At(at.at).Add(n.Mul(liftOff))
		top := from.Add(n.Mul(FingerThick - liftOff))
		if s.blocked(p, from, top.Sub(from), at.panel, panels) {
			return false
		}
		return slices.ContainsFunc(approaches, func(d geom.Vec3) bool {
			way := geom.Combine3(d.X, frame.X, d.Y, frame.Y, d.Z, n).Mul(FingerLength)
			across := n.Cross(way)
			if across.Norm() < FingerLength/2 {
				across = frame.X
			}
			across = across.Unit().Mul(FingerWidth / 2)
			for _, start := range [4]geom.Vec3{from, top, from.Add(across), from.Sub(across)} {
				if s.blocked(p, start, way, at.panel, panels) {
					return false
				}
			}
			return true
		})
	})
}

// blocked tells whether a line of sight, as long as way, meets one of the panels,
// other than the one it starts on.
func (s *sight) blocked(p *kinematics.Pose, from, way geom.Vec3, start int, panels []int) bool {
	s.left -= len(panels)
	if s.over() {
		return true
	}
	for _, i := range panels {
		if i == start || !p.Has(i) {
			continue
		}
		frame := &p.Panels[i]
		n := frame.Normal()
		off, closing := frame.Origin.Sub(from).Dot(n), way.Dot(n)
		if off*closing <= 0 || math.Abs(off) > math.Abs(closing) {
			continue
		}
		hit := frame.Local(from.Add(way.Mul(off / closing)))
		if geom.PolygonContains(s.a.Panels[i].Outline, geom.Vec2{X: hit.X, Y: hit.Y}) {
			return true
		}
	}
	return false
}
