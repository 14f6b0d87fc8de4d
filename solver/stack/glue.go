package stack

import (
	"math"
	"slices"

	"foldwright/solver/geom"
	"foldwright/solver/pattern"
)

// glued is one area where a part is glued to a panel.
type glued struct {
	joint  *pattern.Joint
	figure bool // a figure glued on, with no tab
	panel  int
	facing float64 // which way along x the glued side of the panel looks
	rings  [][]geom.Vec2
	parts  [][]geom.Vec2
	box    geom.Box2
}

// addGlue finds the glued areas, and adds the tabs that lie on them. Parts that
// are no panels, such as guides and hubs, are taken to cover all between the
// places where they are glued.
func (s *stack) addGlue() {
	joints := make(map[string]*pattern.Joint, len(s.pattern.Joints))
	for i := range s.pattern.Joints {
		joints[s.pattern.Joints[i].ID] = &s.pattern.Joints[i]
	}
	loose := map[string]bool{}
	for i := range s.pattern.Parts {
		loose[s.pattern.Parts[i].ID] = len(s.pattern.Parts[i].Panels) == 0
	}
	for i := range s.pattern.Parts {
		part := &s.pattern.Parts[i]
		for k := range part.Glue {
			area := &part.Glue[k]
			joint := joints[area.Joint]
			if s.halted() || area.Tab || joint == nil || !s.isFlat(joint.Mechanism) {
				continue
			}
			on, ok := s.panelUnder(part, area)
			if !ok || s.pieceOf[on.Panel] < 0 {
				continue
			}
			s.addGluedArea(joint, on, area, loose[joint.Part])
		}
	}
}

func (s *stack) addGluedArea(joint *pattern.Joint, on pattern.PanelPlacement, area *pattern.GlueArea, loose bool) {
	facing := s.across(on.Panel)
	if on.Place.Mirror != area.OnBack {
		facing = -facing
	}
	g := glued{joint: joint, figure: joint.Length == 0, panel: on.Panel, facing: facing}
	g.rings = s.inPage(on.Panel, anticlockwise(area.Path.Transform(on.Place.Inverse()).Flatten(OutlineTolerance)))
	g.parts, g.box = geom.ConvexParts(g.rings), boxOf(g.rings)
	s.glue = append(s.glue, g)
	if g.figure {
		return
	}
	p := piece{Piece: Piece{Sort: Tab, ID: joint.ID, Mechanism: joint.Mechanism, Panel: on.Panel}, rings: g.rings}
	if loose && len(g.rings) > 1 {
		p.rings = [][]geom.Vec2{hull(slices.Concat(g.rings...))}
	}
	s.tiltPanel(&p, on.Panel)
	p.lie = lie{on: s.pieceOf[on.Panel], side: facing, rank: rank{glued: 2, order: s.order[joint.Mechanism]}}
	s.tabs[joint.ID] = append(s.tabs[joint.ID], s.add(p))
}

// panelUnder is the panel of a part that a glued area lies on: the host of its
// fold, or the one that holds the middle of it.
func (s *stack) panelUnder(part *pattern.Part, area *pattern.GlueArea) (pattern.PanelPlacement, bool) {
	wanted := -1
	if fold := s.a.FoldIndex(area.Joint); fold >= 0 {
		wanted = s.a.Folds[fold].Panels[0]
	}
	at := middle(area.Path.Flatten(OutlineTolerance)[0])
	best, nearest := pattern.PanelPlacement{}, math.Inf(1)
	for _, p := range part.Panels {
		outline := s.a.Panels[p.Panel].Outline
		q := p.Place.Inverse().Apply(at)
		away := geom.PolygonDistance(outline, q)
		switch {
		case p.Panel == wanted:
			away = math.Inf(-1)
		case geom.PolygonContains(outline, q):
			away = -away
		}
		if away < nearest {
			best, nearest = p, away
		}
	}
	return best, len(part.Panels) > 0
}

// anticlockwise turns each of some separate areas anticlockwise. A glued area
// of a figure may have holes, which are kept as they are.
func anticlockwise(rings [][]geom.Vec2) [][]geom.Vec2 {
	sum := 0.0
	for _, ring := range rings {
		sum += geom.PolygonArea(ring)
	}
	if sum < 0 {
		for _, ring := range rings {
			slices.Reverse(ring)
		}
	}
	return rings
}

// across is which way along x the side u × v of a panel looks when shut.
func (s *stack) across(panel int) float64 {
	n := s.shut.Panels[panel].Normal()
	return math.Copysign(1, n.X)
}

// findGluedTwice looks for places where two mechanisms are glued to one side of
// one panel. A figure may be glued over another, made before it.
func (s *stack) findGluedTwice() {
	for i := range s.glue {
		for j := range i {
			if s.halted() {
				return
			}
			a, b := &s.glue[j], &s.glue[i]
			if a.panel != b.panel || a.facing != b.facing || a.joint.Mechanism == b.joint.Mechanism ||
				a.figure && b.figure || !a.box.Overlaps(b.box) {
				continue
			}
			cells := s.common(a.parts, b.parts)
			if len(cells) == 0 {
				continue
			}
			area, at := 0.0, geom.Vec2{}
			for _, cell := range cells {
				part := geom.PolygonArea(cell)
				area, at = area+part, at.Add(middle(cell).Mul(part))
			}
			s.faults = append(s.faults, Fault{
				Kind: GluedTwice, Mechanisms: []int{a.joint.Mechanism, b.joint.Mechanism},
				IDs:   []string{a.joint.ID, b.joint.ID},
				Panel: s.a.Panels[a.panel].ID,
				Grave: !a.figure && !b.figure, Area: area, Point: world(at.Mul(1 / area)),
			})
		}
	}
}

func world(p geom.Vec2) geom.Vec3 { return geom.Vec3{Y: p.Y, Z: p.X} }
