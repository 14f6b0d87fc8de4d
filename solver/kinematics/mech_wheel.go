package kinematics

import (
	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// wheel poses a disc that turns about its pivot in the plane of its panel. The
// disc's frame has its origin at the pivot; at driver turn 0 its u is the
// panel's u turned by the place, and a positive turn goes from u towards v. No
// singular configuration.
type wheel struct {
	host, panel, driver int
	place               geom.Placement
}

func compileWheel(c *compiler, i int, m *design.Mechanism, spec *design.Wheel) poser {
	host := c.panels[m.On.Panel]
	w := &wheel{host: host, driver: c.driver(m, "turn"), place: spec.Place.Placement()}
	w.panel = c.addPanel(i, m.ID+".disc", geom.Circle(geom.Vec2{}, spec.Radius))
	c.Panels[w.panel].Printed = c.Panels[host].Printed
	return w
}

func (w *wheel) pose(p *Pose) Reach {
	turn := geom.Turn(geom.Angle(p.Drive.Hand[w.driver]))
	p.Panels[w.panel] = p.Panels[w.host].Placed(turn.Then(w.place))
	return Reached
}
