package paper

import (
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// Band is a straight part of a strip: a rectangle of Length along X of its
// frame and Width along Y, from the origin.
type Band struct {
	Frame         geom.Frame
	Length, Width float64 // mm
	// Before and After tell whether the strip is folded and goes on at the ends.
	Before, After bool
}

// leastBand is the length below which a part of a strip is none, a fraction of
// the longer side of a page: its direction would be rounding noise.
const leastBand = 1e-5

// Bands is how many straight parts a strip has in a pose, some of which may
// have no length; 0 when the strip is not posed.
func Bands(a *kinematics.Assembly, p *kinematics.Pose, strip int) int {
	if p.Reach[a.Strips[strip].Mechanism] != kinematics.Reached {
		return 0
	}
	return max(len(p.Strips[strip].Path())-1, 0)
}

// BandAt is part i of a strip. The path of a strip bends only about lines
// across it, so all its parts have one Y; where it lies on its panel, X × Y is
// on the printed side. What lies behind a panel does not bend: its parts turn on
// each other there. None when the part has no length.
func BandAt(a *kinematics.Assembly, p *kinematics.Pose, strip, i int) (Band, bool) {
	if i < 0 || i >= Bands(a, p, strip) {
		return Band{}, false
	}
	path := p.Strips[strip].Path()
	least := leastBand * a.Design.Size()
	along := path[i+1].Sub(path[i])
	host := a.PanelIndex(a.Design.Mechanisms[a.Strips[strip].Mechanism].On.Panel)
	if along.Norm() <= least || host < 0 {
		return Band{}, false
	}
	up := p.Panels[host].Normal().Mul(a.Panels[host].Printed)
	width := a.Strips[strip].Width
	if a.Strips[strip].Behind {
		across := up.Cross(along).Unit()
		frame := geom.Frame{Origin: path[i].Sub(across.Mul(width / 2)), X: along.Unit(), Y: across}
		return Band{Frame: frame, Length: along.Norm(), Width: width}, true
	}
	for k := 1; k < len(path); k++ {
		first := path[k].Sub(path[k-1])
		if first.Norm() <= least {
			continue
		}
		across := up.Cross(first).Unit()
		return Band{
			Frame:  geom.Frame{Origin: path[i].Sub(across.Mul(width / 2)), X: along.Unit(), Y: across},
			Length: along.Norm(), Width: width,
			Before: i > 0, After: i+2 < len(path),
		}, true
	}
	return Band{}, false
}
