package measure

import (
	"slices"

	"foldwright/solver/kinematics"
)

// CornerInsets appends, for each edge of the shut page, the corners of a panel
// that come nearest to it, at most per of them, each taken as the inset of that
// corner from that edge. m is the inset of the panel. Together they tell how the
// inset changes where one corner or edge takes over from another.
func (g *Gauge) CornerInsets(dst []Taken, m *Measure, p *kinematics.Pose, per int) []Taken {
	panel := m.thing.panel
	for e := range Edges {
		if e == spine {
			continue
		}
		first := len(dst)
		for k, v := range g.a.Panels[panel].Outline {
			value, slope := g.EdgeInset(e, p.Panels[panel].At(v))
			if slope == (Taken{}).slope {
				continue
			}
			t := Taken{Value: value, m: m, panel: panel, corner: k, slope: slope}
			at, _ := slices.BinarySearchFunc(dst[first:], t, func(a, b Taken) int {
				if a.Value <= b.Value {
					return -1
				}
				return 1
			})
			dst = slices.Insert(dst, first+at, t)
			if len(dst) > first+per {
				dst = dst[:first+per]
			}
		}
	}
	return dst
}
