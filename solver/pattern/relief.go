package pattern

import (
	"foldwright/solver/design"
	"foldwright/solver/geom"
)

const (
	// leastRelief is the least reach of a relief, mm, and reliefCalipers its reach
	// in thicknesses of the paper: room for the bead of the crease. Common
	// practice.
	leastRelief    = 0.5
	reliefCalipers = 2.0
)

// relief is what is cut from a part at the end of a crease.
type relief struct {
	part int
	cut  geom.Path
}

// relieve plans the cuts at both ends of a tab's crease and tells how far they
// reach along it: round ones, or notches with two sides at right angles. They
// are cut when all tabs are joined, along whole edges. A tab too short for them
// has none.
func (m *maker) relieve(part, panel int, t *tab, f *tabFrame, kind design.Relief) (reach float64) {
	r := max(leastRelief, reliefCalipers*m.a.Design.Paper.Caliper)
	if kind != design.RoundRelief && kind != design.NotchRelief || t.length() < 4*r {
		return 0
	}
	for _, x := range [2]float64{t.from, t.to} {
		cut := geom.Circle(geom.Vec2{X: x}, r)
		if kind == design.NotchRelief {
			cut = geom.PolylinePath([]geom.Vec2{{X: x - r}, {X: x, Y: -r}, {X: x + r}, {X: x, Y: r}}, true)
		}
		toPanel := geom.Placement{C: f.along.X, S: f.along.Y, T: f.origin}
		m.reliefs = append(m.reliefs, relief{part, cut.Transform(toPanel).Transform(m.place[panel])})
	}
	return r
}

// cutReliefs takes the reliefs from the outlines and the tabs of their parts. One
// that would cut a part in two is left out.
func (m *maker) cutReliefs() {
	for i := range m.reliefs {
		r := &m.reliefs[i]
		p := &m.Parts[r.part]
		rest, err := geom.Difference(p.Outline, r.cut)
		if err != nil || len(rest) != 1 {
			continue
		}
		p.Outline = geom.Path{anticlockwise(rest)}
		for k := range p.Glue {
			if g := &p.Glue[k]; g.Tab && g.Path.Bounds().Overlaps(r.cut.Bounds()) {
				if left, err := geom.Difference(g.Path, r.cut); err == nil && len(left) == 1 {
					g.Path = geom.Path{anticlockwise(left)}
				}
			}
		}
	}
}
