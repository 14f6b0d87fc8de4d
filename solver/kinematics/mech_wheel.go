package kinematics

import (
	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// wheel poses a disc that turns about its pivot in the plane of its panel. The
// disc's frame has its origin at the pivot; at driver turn 0 its u is the
// panel's u turned by the place, and a positive turn goes from u towards v. No
// singular configuration. The disc lies behind its panel, which is open at the
// window.
type wheel struct {
	host, panel, driver int
	place               geom.Placement
}

func compileWheel(c *compiler, i int, m *design.Mechanism, spec *design.Wheel) poser {
	host := c.panels[m.On.Panel]
	w := &wheel{host: host, driver: c.driver(m, "turn"), place: spec.Place.Placement()}
	w.panel = c.addPanel(i, m.ID+".disc", geom.Circle(geom.Vec2{}, spec.Radius))
	c.Panels[w.panel].Printed = c.Panels[host].Printed
	c.Panels[w.panel].Behind = true
	c.open(host, i, windowOf(spec).Transform(w.place))
	return w
}

// windowOf is what the window takes out of the panel: a piece inside it hangs
// on nothing and falls out too.
func windowOf(spec *design.Wheel) geom.Path {
	whole, err := geom.Union(spec.Window)
	if err != nil {
		return spec.Window // too tangled: as it is filled
	}
	var out geom.Path
	for i := range whole {
		if whole[i].Area() > 0 {
			out = append(out, whole[i])
		}
	}
	return out
}

func (w *wheel) pose(p *Pose) Reach {
	turn := geom.Turn(geom.Angle(p.Drive.Hand[w.driver]))
	p.Panels[w.panel] = p.Panels[w.host].Placed(turn.Then(w.place))
	return Reached
}
