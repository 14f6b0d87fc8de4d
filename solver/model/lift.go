package model

import (
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/paper"
)

// heights gives for every panel and strip how many sheets of paper lie between
// the surface of the design it is in and its own paper, towards its printed
// side.
type heights struct {
	panels []int
	strips [][]int // by strip and part
}

// laid is a piece that lies on a panel, or behind one.
type laid struct {
	mechanism, host, lift int
	behind                bool
	box                   geom.Box2 // in the host
}

// stack puts pieces on one another.
type stack struct {
	a    *kinematics.Assembly
	pose *kinematics.Pose
	out  heights
	all  []laid
	// front and back are how many pieces lie on each panel and behind it: the
	// room to leave where the panel itself lies behind or on another.
	front, back []int
}

// lifts works out the heights: -1 for pages, whose paper is behind their
// surface, 0 for what stands on folds, for what lies on a panel one more than
// that has, and than earlier things it overlaps there, and for what lies behind
// one likewise less.
func lifts(a *kinematics.Assembly) heights {
	s := &stack{
		a: a, pose: a.NewPose(),
		out:   heights{panels: make([]int, len(a.Panels)), strips: make([][]int, len(a.Strips))},
		front: make([]int, len(a.Panels)), back: make([]int, len(a.Panels)),
	}
	a.PoseInto(s.pose, kinematics.Drive{Opening: a.Design.Spread.OpensTo})
	s.count()
	for i := range a.Panels {
		m := a.Panels[i].Mechanism
		if m == kinematics.Spread {
			s.out.panels[i] = -1
			continue
		}
		host := s.host(m)
		if host < 0 {
			continue
		}
		box := geom.EmptyBox()
		for _, v := range a.Panels[i].Outline {
			box = extend(box, &s.pose.Panels[host], s.pose.Panels[i].At(v))
		}
		room := s.back[i]
		if a.Panels[i].Behind {
			room = s.front[i]
		}
		s.out.panels[i] = s.put(m, host, a.Panels[i].Behind, room, box)
	}
	for i := range a.Strips {
		s.putStrip(i)
	}
	return s.out
}

func (s *stack) host(mechanism int) int {
	return s.a.PanelIndex(s.a.Design.Mechanisms[mechanism].On.Panel)
}

// count fills in front and back. What is built on a panel comes after it.
func (s *stack) count() {
	for i := len(s.a.Panels) - 1; i >= 0; i-- {
		p := &s.a.Panels[i]
		if p.Mechanism == kinematics.Spread {
			continue
		}
		switch host := s.host(p.Mechanism); {
		case host < 0:
		case p.Behind:
			s.back[host] += 1 + s.front[i]
		default:
			s.front[host] += 1 + s.back[i]
		}
	}
	for i := range s.a.Strips {
		if host := s.host(s.a.Strips[i].Mechanism); s.a.Strips[i].Behind {
			s.back[host] += s.parts(i)
		}
	}
}

func (s *stack) parts(strip int) int { return paper.Bands(s.a, s.pose, strip) }

// put finds the height of a piece that leaves some room to its host.
func (s *stack) put(mechanism, host int, behind bool, room int, box geom.Box2) int {
	side := 1
	if behind {
		side = -1
	}
	lift := s.out.panels[host] + side*(1+room)
	own := laid{mechanism: mechanism, host: host, behind: behind, box: box}
	for k := range s.all {
		other := &s.all[k]
		if other.host != host || other.behind != behind {
			continue
		}
		switch {
		case other.mechanism == mechanism && !behind:
			// Panels of one mechanism share folds; they lie side by side.
			own.lift = other.lift
			s.all = append(s.all, own)
			return own.lift
		case other.box.Overlaps(box):
			lift = side * max(side*lift, side*other.lift+1+room)
		}
	}
	own.lift = lift
	s.all = append(s.all, own)
	return lift
}

// putStrip finds the heights of the parts of a strip, the last one, which is
// held to the panel, first. A strip in front lies on its panel's surface.
func (s *stack) putStrip(strip int) {
	m := s.a.Strips[strip].Mechanism
	n := s.parts(strip)
	s.out.strips[strip] = make([]int, n)
	if !s.a.Strips[strip].Behind {
		return
	}
	host := s.host(m)
	if n == 0 { // there at other openings only: clear of the panel, link under strip
		s.out.strips[strip] = []int{s.out.panels[host] - 2, s.out.panels[host] - 1}
		return
	}
	path := s.pose.Strips[strip].Path()
	for k := n - 1; k >= 0; k-- {
		box := extend(extend(geom.EmptyBox(), &s.pose.Panels[host], path[k]), &s.pose.Panels[host], path[k+1])
		s.out.strips[strip][k] = s.put(m, host, true, 0, box.Grow(s.a.Strips[strip].Width/2))
	}
}

// strip is the height of a part of a strip; one that is there only at other
// openings lies on the surface.
func (h *heights) strip(strip, part int) int {
	if part < len(h.strips[strip]) {
		return h.strips[strip][part]
	}
	return 0
}

func extend(box geom.Box2, host *geom.Frame, at geom.Vec3) geom.Box2 {
	local := host.Local(at)
	return box.Extend(geom.Vec2{X: local.X, Y: local.Y})
}
