package model

import (
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// lifts gives for every panel how many sheets of paper lie between the surface
// of the design it is in and its own paper: -1 for pages, whose paper is behind
// their surface, 0 for what stands on folds, and for what lies on a panel one
// more than that has, and than earlier things it overlaps there.
func lifts(a *kinematics.Assembly) []int {
	out := make([]int, len(a.Panels))
	p := a.NewPose()
	a.PoseInto(p, kinematics.Drive{Opening: a.Design.Spread.OpensTo})
	type laid struct {
		host, lift int
		box        geom.Box2
	}
	var all []laid
	for i := range a.Panels {
		m := a.Panels[i].Mechanism
		if m == kinematics.Spread {
			out[i] = -1
			continue
		}
		host := a.PanelIndex(a.Design.Mechanisms[m].On.Panel)
		if host < 0 {
			continue
		}
		own := laid{host: host, lift: out[host] + 1, box: geom.EmptyBox()}
		for _, v := range a.Panels[i].Outline {
			local := p.Panels[host].Local(p.Panels[i].At(v))
			own.box = own.box.Extend(geom.Vec2{X: local.X, Y: local.Y})
		}
		first := len(all)
		for k := range all {
			// Panels of one mechanism share folds; they lie side by side.
			if all[k].host == host && all[k].box.Overlaps(own.box) && (i == 0 || a.Panels[i-1].Mechanism != m) {
				own.lift = max(own.lift, all[k].lift+1)
			}
		}
		if i > 0 && a.Panels[i-1].Mechanism == m && first > 0 {
			own.lift = all[first-1].lift
		}
		out[i] = own.lift
		all = append(all, own)
	}
	return out
}
