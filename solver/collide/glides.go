package collide

import (
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// glider is a panel that the hand slides or turns on the face of another.
type glider struct {
	panel, host int
	lines       []baseLine
	ring        []geom.Vec2 // where it is on its host
}

// baseLine is where something stands on the host, on the face the glider lies on.
type baseLine struct {
	panel    int // the one that stands there
	from, to geom.Vec2
	contact  int  // None before it is met
	passed   bool // and left again
}

// glide finds base lines that what the hand moves glides over. Nothing passes
// through the face of a glider there, the edge of what stands is on it; but it
// stands there at every value, and paper glued along a line lets nothing by.
func (s *sweeper) glide() {
	list := s.gliders()
	if len(list) == 0 {
		return
	}
	var found []Contact
	for k := 0; k <= followSteps && !s.stopped(); k++ {
		t := s.first + (s.last-s.first)*float64(k)/followSteps
		s.poseAt(t)
		for g := range list {
			s.place(&list[g])
			for l := range list[g].lines {
				found = s.glideOver(&list[g], &list[g].lines[l], t, found)
			}
		}
	}
	for g := range list {
		for l := range list[g].lines {
			if k := list[g].lines[l].contact; k != None {
				s.addGlide(&list[g], &list[g].lines[l], &found[k])
			}
		}
	}
}

// addGlide narrows down where a contact of a glider begins and ends, and adds it.
func (s *sweeper) addGlide(g *glider, l *baseLine, c *Contact) {
	p := s.pairOf(c)
	if s.contact.has(p.i, p.j) {
		return
	}
	over := func(t float64) bool {
		s.poseAt(t)
		s.place(g)
		at, depth := reachAcross(g.ring, l.from, l.to, s.noise)
		if depth <= s.noise {
			return false
		}
		if t < c.From {
			c.From, c.Point = t, s.pose.Panels[g.host].At(at)
		}
		return true
	}
	step := (s.last - s.first) / followSteps
	narrow(c.From, max(c.From-step, s.first), over)
	c.To = narrow(c.To, min(c.To+step, s.last), over)
	if r := s.records[p]; !s.known.has(p.i, p.j) && (r == nil || len(r.spans) == 0) {
		s.r.Proved--
	}
	s.r.Contacts = append(s.r.Contacts, *c)
}

// glideOver notes whether the glider, as it is placed at t, lies over a base line.
func (s *sweeper) glideOver(g *glider, l *baseLine, t float64, found []Contact) []Contact {
	at, depth := reachAcross(g.ring, l.from, l.to, s.noise)
	switch {
	case l.passed:
	case depth <= s.noise:
		l.passed = l.contact != None
	case l.contact == None:
		l.contact = len(found)
		one, other := min(g.panel, l.panel), max(g.panel, l.panel)
		found = append(found, Contact{
			Pieces: [2]Piece{{one, None}, {other, None}}, Fold: None, Driver: s.driver, Opening: s.opening,
			From: t, To: t, Point: s.pose.Panels[g.host].At(at), Depth: depth, Deepest: t,
		})
	default:
		c := &found[l.contact]
		if c.To = t; depth > c.Depth {
			c.Depth, c.Deepest = depth, t
		}
	}
	return found
}

// reachAcross is how far an area would have to be moved to come clear of a line
// that runs through it, and a point where it does; zero where none does.
func reachAcross(ring []geom.Vec2, a, b geom.Vec2, noise float64) (geom.Vec2, float64) {
	along := b.Sub(a).Unit()
	n := along.Perp()
	beside := geom.ClipPolygon(geom.ClipPolygon(ring, a, along), b, along.Mul(-1))
	// An area with paper on both sides may have none on the line itself.
	on := geom.ClipPolygon(geom.ClipPolygon(beside, a.Sub(n.Mul(noise)), n), a.Add(n.Mul(noise)), n.Mul(-1))
	if geom.PolygonArea(on) == 0 {
		return geom.Vec2{}, 0
	}
	var left, right, onward, back float64
	for _, p := range beside {
		d := p.Sub(a).Dot(n)
		left, right = max(left, d), max(right, -d)
	}
	for _, p := range ring {
		onward, back = max(onward, p.Sub(a).Dot(along)), max(back, b.Sub(p).Dot(along))
	}
	at := on[0]
	return at.Add(n.Mul(a.Sub(at).Dot(n))), min(left, right, onward, back)
}

// gliders lists what the driver moves, where something stands on the same face.
func (s *sweeper) gliders() []glider {
	var list []glider
	for k := range s.joints {
		j := &s.joints[k]
		glides := j.Kind == kinematics.Sliding || j.Kind == kinematics.Pivoted
		if !glides || j.Mechanism != s.a.Drivers[s.driver].Mechanism {
			continue
		}
		g := glider{panel: j.Faces[1].Panel, host: j.Faces[0].Panel}
		s.a.PoseInto(s.other, kinematics.Drive{Opening: s.opening / 2}) // what lies flush when open stands here
		for f := range s.a.Folds {
			fold := &s.a.Folds[f]
			if fold.Role == kinematics.BaseFold && fold.Panels[0] == g.host && fold.Mechanism != j.Mechanism && s.stands(fold.Panels[1], &g) {
				at := fold.Left
				if at.Panel != g.host {
					at = fold.Right
				}
				g.lines = append(g.lines, baseLine{
					panel: fold.Panels[1], contact: None,
					from: at.Origin.Add(at.Along.Mul(fold.Start)), to: at.Origin.Add(at.Along.Mul(fold.Length)),
				})
			}
		}
		if len(g.lines) > 0 {
			list = append(list, g)
		}
	}
	return list
}

// stands tells whether a panel stands on the face of the host that the glider lies
// on: the printed one, or the other when it lies behind.
func (s *sweeper) stands(panel int, g *glider) bool {
	if !s.other.Has(panel) || !s.other.Has(g.host) {
		return false
	}
	height := 0.0
	for _, p := range s.a.Panels[panel].Outline {
		height += s.other.Panels[g.host].Local(s.other.Panels[panel].At(p)).Z
	}
	return (height*s.a.Panels[g.host].Printed > 0) != s.a.Panels[g.panel].Behind
}

// place finds where the glider is on its host.
func (s *sweeper) place(g *glider) {
	g.ring = g.ring[:0]
	if !s.pose.Has(g.panel) || !s.pose.Has(g.host) {
		return
	}
	for _, p := range s.a.Panels[g.panel].Outline {
		at := s.pose.Panels[g.host].Local(s.pose.Panels[g.panel].At(p))
		g.ring = append(g.ring, geom.Vec2{X: at.X, Y: at.Y})
	}
}
