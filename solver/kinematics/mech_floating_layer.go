package kinematics

import (
	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// floatingLayer poses a floating layer: parallelograms on three equal supports.
//
// Frame. The cross-section plane (s, n) of the host fold's frame F, half
// dihedral (C, S). The left face runs along l = (-S, C), the right one along
// r = (S, C).
//
// Zero configuration. Shut, S = 0: supports and layer lie along n.
//
// Inputs. Height H > 0 of the supports, extents and support offsets x > 0 from
// the fold, all mm; from, to along h.
//
// Formula. A support of height H at offset x on the left stands from x·l to
// x·l + H·e, and the centre from 0 to H·e, with e a unit vector. Both are of
// length H and their heads are x apart along the layer as their feet are along
// the face, so they are opposite sides of a parallelogram and the layer is
// parallel to the face, whatever e is. Derived here.
//
// Convention. e is free: the parallelograms of both sides share the centre and
// nothing else, so the layer could swing as a whole. It is taken at e = n, the
// bisector of the faces, where the tabs of the centre hold it: the layer is the
// host moved by H·n, and its fold is the host fold moved, with the same frame.
//
// Positive sense. Dihedrals of the bases and tops are ψ/2 on their working
// sides, that of the layer's fold is ψ on the side away from the host.
//
// Singular. None: it follows every opening.
type floatingLayer struct {
	host           hostFold
	from, height   float64
	support        [2]float64
	layer, standUp [2]int // panels: halves of the layer, side supports
	center         int
	folds          foldRange
	layerFold      int
}

func compileFloatingLayer(c *compiler, i int, m *design.Mechanism, spec *design.FloatingLayer) poser {
	f := &floatingLayer{host: c.hostFold(m.On), from: spec.From, height: spec.Height}
	long, h := spec.To-spec.From, spec.Height
	f.support[0], f.support[1] = spec.Supports()
	leftExtent, rightExtent := spec.Extents()

	f.layer[0] = c.addPanel(i, m.ID+".layer_left", rectangle(long, leftExtent))
	f.layer[1] = c.addPanel(i, m.ID+".layer_right", rectangle(long, rightExtent))
	f.center = c.addPanel(i, m.ID+".center", rectangle(long, h))
	f.standUp[0] = c.addPanel(i, m.ID+".support_left", rectangle(long, h))
	f.standUp[1] = c.addPanel(i, m.ID+".support_right", rectangle(long, h))

	// continuing and standing are the panel that runs on through the fold and
	// the one that ends in it.
	add := func(name string, role Role, left, right Face, continuing, standing int) int {
		return c.addFold(Fold{
			ID: m.ID + "." + name, Mechanism: i, Role: role, Left: left, Right: right, Length: long,
			Panels: [2]int{continuing, standing},
		})
	}
	onLeft, onRight := f.host.left.moved(f.from, 0), f.host.right.moved(f.from, 0)
	f.folds.first = add("left_base", BaseFold, onLeft.moved(0, f.support[0]), foot(f.standUp[0]), onLeft.Panel, f.standUp[0])
	add("right_base", BaseFold, foot(f.standUp[1]), onRight.moved(0, f.support[1]), onRight.Panel, f.standUp[1])
	add("center_right_base", BaseFold, foot(f.center), onRight, onRight.Panel, f.center)
	add("center_left_base", BaseFold, onLeft, foot(f.center), onLeft.Panel, f.center)
	// A top is worked between the support and the layer towards the fold.
	add("left_top", TopFold, head(f.layer[0], f.support[0]), head(f.standUp[0], h), f.layer[0], f.standUp[0])
	add("right_top", TopFold, head(f.standUp[1], h), head(f.layer[1], f.support[1]), f.layer[1], f.standUp[1])
	add("center_left_top", TopFold, head(f.center, h), foot(f.layer[0]), f.layer[0], f.center)
	f.folds.end = 1 + add("center_right_top", TopFold, foot(f.layer[1]), head(f.center, h), f.layer[1], f.center)
	f.layerFold = add("layer_fold", GutterFold, foot(f.layer[0]), foot(f.layer[1]), f.layer[0], f.layer[1])
	return f
}

func (f *floatingLayer) pose(p *Pose) Reach {
	host := f.host.state(p)
	start_W := host.Origin.Add(host.H.Mul(f.from))
	top_W := start_W.Add(host.N.Mul(f.height))
	out_W := [2]geom.Vec3{
		geom.Combine(-host.Sin, host.S, host.Cos, host.N),
		geom.Combine(host.Sin, host.S, host.Cos, host.N),
	}
	p.Panels[f.center] = geom.Frame{Origin: start_W, X: host.H, Y: host.N}
	for side, out := range out_W {
		p.Panels[f.layer[side]] = geom.Frame{Origin: top_W, X: host.H, Y: out}
		p.Panels[f.standUp[side]] = geom.Frame{Origin: start_W.Add(out.Mul(f.support[side])), X: host.H, Y: host.N}
	}
	if p.a.hinged[f.layerFold] {
		layer := *host
		layer.Origin = top_W
		p.hinges[f.layerFold] = layer
	}
	p.poseHinges(f.folds)
	return Reached
}
