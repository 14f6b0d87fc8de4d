package kinematics

import (
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// box poses a box: two side walls along the fold, end walls creased in the
// middle, and a lid creased over the fold.
//
// Frame. The host fold's frame F, axes (s, h, n), half dihedral (C, S). The
// left face runs along (-S, C) of the cross-section (s, n), the right one along
// (S, C).
//
// Zero configuration. Shut, S = 0: every panel lies in the plane (h, n).
//
// Inputs. Offsets a1, a2 of the side walls from the fold, height H, all > 0 in
// mm; from, to along h. Ends and lid fold in or out.
//
// Walls (derived here). The walls are glued at B1 = a1·(-S, C), B2 = a2·(S, C)
// and rise along unit vectors of the cross-section. Each half end wall is
// hinged to its wall and to the other half along lines parallel to that wall,
// so both walls and the crease share one direction w. Along w nothing in an end
// wall moves; B2 is therefore as far along w from B1 at every opening as shut,
// where w = n:
//
//	(B2-B1)·w = κ,  κ = a2 - a1
//
// With ā the mean of the offsets, g = √(a1·a2) and B2-B1 = (2ā·S, κ·C), whose
// square is L² = κ² + 4g²S²,
//
//	w = (2κS·(ā - g·C), κ²·C + 4āg·S²)/L²
//
// For a1 = a2 that is w = n. Otherwise w leans towards the farther wall, by
// asin(κ/2ā) when open flat, and the end walls are parallelograms whose base
// lines climb by κ/2 from the left wall to the crease.
//
// Ends. Across w, B1 and B2 are √(L²-κ²) = 2gS apart, along e = (w_n, -w_s).
// Shut, that is nothing, so the halves are equally wide; they are as wide as it
// takes to be flush when open flat, g each. The crease is then halfway and gC
// off the plane of the base lines along h: a half end wall runs from its side
// wall along S·e ± C·h.
//
// Lid. Its halves are hinged to the heads T = B + H·w of the walls and meet in
// a line, the ridge of a parallel fold on T1, T2 as far apart as the base
// lines. Widths that shut flat and are flush when open are a2, a1 for a lid
// that folds out, which then stays parallel to the faces across from it like a
// strap, with its crease at T1 + a2·(S, C); and a1, a2 for one that folds in,
// which is a floating copy of the faces with its crease at H·w.
//
// Mobility. Without end walls the side walls are free to lean, each on its
// base. With them w is decided by the equation above up to its mirror image in
// the line of the base lines, which lies below the faces. Shut with equal
// offsets L = 0 and any lean is possible: that is the one singular
// configuration, and w = n there by continuity.
//
// It follows every opening; nothing in the formulas cancels as S → 0 or C → 0.
type box struct {
	host        hostFold
	from, to    float64
	height      float64
	offset      [2]float64
	kappa       float64
	mean, g     float64
	lid         bool
	endWay      float64 // +1: ends fold in
	lidWay      float64 // +1: lid folds out, up
	wall        [2]int  // panels, left and right
	front, back [2]int
	lidPanel    [2]int
	folds       foldRange
	dihedrals   []boxAngle // of the folds
	turning     [1]float64 // dihedral of the host
}

func compileBox(c *compiler, i int, m *design.Mechanism, spec *design.Box) poser {
	b := &box{
		host: c.hostFold(m.On), from: spec.From, to: spec.To, height: spec.Height,
		lid: spec.Lid, endWay: 1, lidWay: 1,
	}
	b.offset[0], b.offset[1] = spec.Offsets()
	b.mean = (b.offset[0] + b.offset[1]) / 2
	b.kappa = zeroBelow(b.offset[1]-b.offset[0], b.mean*flatRounding)
	b.g = math.Sqrt(b.offset[0] * b.offset[1])
	if spec.Ends == design.FoldOut {
		b.endWay = -1
	}
	if spec.LidFold == design.FoldIn {
		b.lidWay = -1
	}
	b.addPanels(c, i, m)
	b.addFolds(c, i, m)
	b.dihedrals, b.turning[0] = b.angles(), b.turnsBack()
	return b
}

func (b *box) addPanels(c *compiler, i int, m *design.Mechanism) {
	long := b.to - b.from
	b.wall[0] = c.addPanel(i, m.ID+".wall_left", rectangle(long, b.height))
	b.wall[1] = c.addPanel(i, m.ID+".wall_right", rectangle(long, b.height))
	// A half end wall has its corner along u, from the host up.
	half := func(name string, climb float64) int {
		return c.addPanel(i, m.ID+"."+name, geom.PolylinePath([]geom.Vec2{
			{}, {X: b.height}, {X: b.height + climb, Y: b.g}, {X: climb, Y: b.g},
		}, true))
	}
	b.front = [2]int{half("front_left", b.kappa/2), half("front_right", -b.kappa/2)}
	b.back = [2]int{half("back_left", b.kappa/2), half("back_right", -b.kappa/2)}
	if b.lid {
		left, right := b.lidWidths()
		b.lidPanel[0] = c.addPanel(i, m.ID+".lid_left", rectangle(long, left))
		b.lidPanel[1] = c.addPanel(i, m.ID+".lid_right", rectangle(long, right))
	}
}

func (b *box) lidWidths() (left, right float64) {
	if b.lidWay > 0 {
		return b.offset[1], b.offset[0]
	}
	return b.offset[0], b.offset[1]
}

func (b *box) addFolds(c *compiler, i int, m *design.Mechanism) {
	long := b.to - b.from
	add := func(name string, role Role, left, right Face, length float64, panels [2]int) int {
		f := Fold{ID: m.ID + "." + name, Mechanism: i, Role: role, Left: left, Right: right, Length: length, Panels: panels}
		index := c.addFold(f)
		if role != BaseFold {
			c.markOutside(&f)
		}
		return index
	}
	// between adds a fold inside the box with its working side, where first and
	// second are the left and right face when it is worked from inside.
	between := func(name string, first, second Face, length float64, panels [2]int) {
		if m.WorkingSide(name) == design.Outer {
			add(name, ValleyFold, second, first, length, panels)
			return
		}
		add(name, RidgeFold, first, second, length, panels)
	}
	onLeft := b.host.left.moved(b.from, b.offset[0])
	onRight := b.host.right.moved(b.from, b.offset[1])
	b.folds.first = add("left_base", BaseFold, onLeft, foot(b.wall[0]), long, [2]int{onLeft.Panel, b.wall[0]})
	add("right_base", BaseFold, foot(b.wall[1]), onRight, long, [2]int{onRight.Panel, b.wall[1]})

	// Corners run up the walls. Seen from inside with the near end below, the
	// front left corner has the front on its left.
	atFront := func(side int) Face { return edge(b.wall[side], 0, 0, 0, 1, 1, 0) }
	atBack := func(side int) Face { return edge(b.wall[side], long, 0, 0, 1, -1, 0) }
	between("front_left_corner", foot(b.front[0]), atFront(0), b.height, [2]int{b.wall[0], b.front[0]})
	between("front_right_corner", atFront(1), foot(b.front[1]), b.height, [2]int{b.wall[1], b.front[1]})
	between("back_left_corner", atBack(0), foot(b.back[0]), b.height, [2]int{b.wall[0], b.back[0]})
	between("back_right_corner", foot(b.back[1]), atBack(1), b.height, [2]int{b.wall[1], b.back[1]})

	crease := func(panel int, climb float64) Face { return head(panel, b.g).moved(climb, 0) }
	left, right := b.kappa/2, -b.kappa/2
	between("front_crease", crease(b.front[1], right), crease(b.front[0], left), b.height, b.front)
	between("back_crease", crease(b.back[0], left), crease(b.back[1], right), b.height, b.back)

	if b.lid {
		wide := [2]float64{}
		wide[0], wide[1] = b.lidWidths()
		between("lid_left_edge", foot(b.lidPanel[0]), head(b.wall[0], b.height), long, [2]int{b.wall[0], b.lidPanel[0]})
		between("lid_right_edge", head(b.wall[1], b.height), foot(b.lidPanel[1]), long, [2]int{b.wall[1], b.lidPanel[1]})
		between("lid_crease", head(b.lidPanel[1], wide[1]), head(b.lidPanel[0], wide[0]), long, b.lidPanel)
	}
	b.folds.end = len(c.Folds)
}

func (b *box) pose(p *Pose) Reach {
	host := b.host.state(p)
	S, C := host.Sin, host.Cos
	w_F := geom.Vec2{Y: 1}
	if b.kappa != 0 {
		k, g := b.kappa, b.g
		ll := k*k + 4*g*g*S*S
		w_F = geom.Vec2{X: 2 * k * S * (b.mean - g*C) / ll, Y: (k*k*C + 4*b.mean*g*S*S) / ll}
	}
	w_W := geom.Combine(w_F.X, host.S, w_F.Y, host.N)
	e_W := geom.Combine(w_F.Y, host.S, -w_F.X, host.N)
	inward := b.endWay * C // of a half end wall along h, at the front
	lidUp := b.lidWay * C

	for side, sign := range [2]float64{-1, 1} {
		base_F := geom.Vec2{X: sign * S * b.offset[side], Y: C * b.offset[side]}
		base_W := host.Origin.Add(geom.Combine3(base_F.X, host.S, b.from, host.H, base_F.Y, host.N))
		end_W := base_W.Add(host.H.Mul(b.to - b.from))
		p.Panels[b.wall[side]] = geom.Frame{Origin: base_W, X: host.H, Y: w_W}
		p.Panels[b.front[side]] = geom.Frame{Origin: base_W, X: w_W, Y: geom.Combine(-sign*S, e_W, inward, host.H)}
		p.Panels[b.back[side]] = geom.Frame{Origin: end_W, X: w_W, Y: geom.Combine(-sign*S, e_W, -inward, host.H)}
		if b.lid {
			p.Panels[b.lidPanel[side]] = geom.Frame{
				Origin: base_W.Add(w_W.Mul(b.height)), X: host.H,
				Y: geom.Combine(-sign*S, host.S, lidUp, host.N),
			}
		}
	}
	p.poseHinges(b.folds)
	return Reached
}
