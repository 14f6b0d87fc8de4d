package kinematics

import (
	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// figure is rigid with its panel. Its own frame has its origin at the place
// given in the panel's (u, v) and is turned from u towards v.
type figure struct {
	host, panel int
	place       geom.Placement
}

func compileFigure(c *compiler, i int, m *design.Mechanism, spec *design.Figure) poser {
	f := &figure{
		host:  c.panels[m.On.Panel],
		panel: c.addPanel(i, m.ID+".figure", spec.Outline),
		place: spec.Place.Placement(),
	}
	c.Panels[f.panel].Printed = c.Panels[f.host].Printed
	return f
}

func (f *figure) pose(p *Pose) Reach {
	host, frame := &p.Panels[f.host], &p.Panels[f.panel]
	frame.Origin = host.At(f.place.T)
	frame.X = host.Dir(geom.Vec2{X: f.place.C, Y: f.place.S})
	frame.Y = host.Dir(geom.Vec2{X: -f.place.S, Y: f.place.C})
	return Reached
}
