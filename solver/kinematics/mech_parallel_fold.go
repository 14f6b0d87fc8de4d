package kinematics

import (
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// parallelFold poses a parallel fold: a planar four-bar in the cross-section of
// the host fold.
//
// Frame. The cross-section plane (s, n) of the host fold's frame F, half
// dihedral (C, S). The base lines meet it in
//
//	B1 = a1·(-S, C)    B2 = a2·(S, C)
//
// with a1, a2 the base offsets, mm. The ridge P is the point at p1 from B1 and
// p2 from B2, p the panel widths, mm.
//
// Solution (derived here; the same four-bar as Freudenstein's with the ground
// link between the base lines). With ā, δ half the sum and difference of a2 and
// a1, and p̄, ε those of p2 and p1, half the sum and difference of the base
// points are
//
//	M = (S·δ, C·ā)    D = (S·ā, C·δ)
//
// and P = M - p̄·ε/|D|²·D + √(open·shut)/|D|²·D⟂ with D⟂ a quarter turn from D
// and
//
//	open = p̄² - |D|² = C²·a1·a2 + (p̄-ā)·(p̄+ā)
//	shut = |D|² - ε² = S²·a1·a2 + (δ-ε)·(δ+ε)
//
// The last product vanishes when a1+p1 = a2+p2, the shut-flat condition; the
// one above it when a1+a2 = p1+p2, flush when open. Written so, nothing cancels
// as S → 0 or C → 0.
//
// Sign. + puts the ridge away from the fold, on the side of n.
//
// Singular. open = 0: panels stretched tight, flush when it happens at 180.
type parallelFold struct {
	twoPanel
	from         float64
	offset       [2]float64
	width        [2]float64
	meanA, delta float64
	pairA        float64 // a1·a2
	flat         float64 // (δ-ε)·(δ+ε), zero when it shuts flat
	flush        float64 // (p̄-ā)·(p̄+ā), zero when it opens flush
	alongD       float64 // -p̄·ε
	rounding     float64
}

func compileParallelFold(c *compiler, i int, m *design.Mechanism, spec *design.ParallelFold) poser {
	left, right := spec.Sides()
	return newParallelFold(c, i, m, spec.From, spec.To, left, right)
}

func newParallelFold(c *compiler, i int, m *design.Mechanism, from, to float64, left, right design.ParallelSide) poser {
	f := &parallelFold{
		twoPanel: twoPanel{host: c.hostFold(m.On)},
		from:     from,
		offset:   [2]float64{left.BaseOffset, right.BaseOffset},
		width:    [2]float64{left.PanelWidth, right.PanelWidth},
		meanA:    (left.BaseOffset + right.BaseOffset) / 2,
		pairA:    left.BaseOffset * right.BaseOffset,
	}
	meanP := (left.PanelWidth + right.PanelWidth) / 2
	longest := f.meanA + meanP
	rounding := longest * flatRounding
	delta, eps := matched((right.BaseOffset-left.BaseOffset)/2, (right.PanelWidth-left.PanelWidth)/2, rounding)
	f.delta = delta
	f.flat = (delta - eps) * (delta + eps)
	f.flush = zeroBelow(meanP-f.meanA, rounding) * (meanP + f.meanA)
	f.alongD = -meanP * eps
	f.rounding = reachRounding * longest * longest
	f.bar = dyad{
		pair: f.pairA, flush: f.flush, flat: f.flat, rounding: f.rounding, mean2: 1,
		sumA: [2]float64{1, 1}, diffA: [2]float64{delta, f.meanA},
		sumP: [2]float64{1, 1}, diffP: [2]float64{eps, meanP},
	}
	f.bar.findTurning(f.offset, f.width, rounding, func(x float64) float64 { return x })

	long := to - from
	f.left = c.addPanel(i, m.ID+".left", parallelPanelShape(left, long))
	f.right = c.addPanel(i, m.ID+".right", parallelPanelShape(right, long))
	base := [2]baseLine{
		f.baseLine(f.host.left, f.left, 0, long),
		f.baseLine(f.host.right, f.right, 1, long),
	}
	ridge := [2]Face{ridgeAcross(f.left, left.PanelWidth), ridgeAcross(f.right, right.PanelWidth)}
	// Seen along the ridge from underneath, the right panel is on the left.
	f.addFolds(c, i, m, base, ridge, 1, 0, long)
	return f
}

// matched takes the rounding out of δ and ε, the halves of what the two sides
// differ by: where they agree but for rounding they are made to agree exactly.
// Next to shut |D| is no larger than δ, and the position along D is the ratio
// ε/|D|, so a last bit there would count in full.
func matched(delta, eps, rounding float64) (float64, float64) {
	delta = zeroBelow(delta, rounding)
	switch {
	case math.Abs(delta-eps) < rounding:
		eps = delta
	case math.Abs(delta+eps) < rounding:
		eps = -delta
	}
	return delta, eps
}

func zeroBelow(v, rounding float64) float64 {
	if math.Abs(v) < rounding {
		return 0
	}
	return v
}

// parallelPanelShape is a rectangle with its free edges shaped.
func parallelPanelShape(s design.ParallelSide, long float64) geom.Path {
	baseEnd, ridgeEnd := geom.Vec2{X: long}, geom.Vec2{X: long, Y: s.PanelWidth}
	ridgeStart := geom.Vec2{Y: s.PanelWidth}
	outline := geom.Contour{Closed: true}
	outline.Segments = append(append(outline.Segments, line(baseEnd)), freeEdge(s.Profile, baseEnd, ridgeEnd)...)
	outline.Segments = append(outline.Segments, line(ridgeStart))
	if s.ProfileFrom != nil {
		// Drawn from the base line to the ridge, against the direction of
		// the outline: turn it round and over.
		flipped := s.ProfileFrom.Transform(geom.Placement{C: -1, Mirror: true, T: geom.Vec2{X: 1}}).Reverse()
		outline.Segments = append(outline.Segments, freeEdge(flipped, ridgeStart, geom.Vec2{})...)
	}
	return geom.Path{outline}
}

func ridgeAcross(panel int, width float64) Face {
	return Face{Panel: panel, Origin: geom.Vec2{Y: width}, Along: geom.Vec2{X: 1}, Away: geom.Vec2{Y: -1}}
}

// baseLine places a base line on the host's face; outside is away from the fold.
func (f *parallelFold) baseLine(host Face, panel, side int, long float64) baseLine {
	return baseLine{
		host:     Face{Panel: host.Panel, Origin: host.at(f.from, f.offset[side]), Along: host.Along, Away: host.Away},
		panel:    Face{Panel: panel, Along: geom.Vec2{X: 1}, Away: geom.Vec2{Y: 1}},
		length:   long,
		hostLeft: side == 0,
	}
}

func (f *parallelFold) pose(p *Pose) Reach {
	host := f.host.state(p)
	S, C := host.Sin, host.Cos
	m := geom.Vec2{X: S * f.delta, Y: C * f.meanA}
	d := geom.Vec2{X: S * f.meanA, Y: C * f.delta}
	dd := d.Dot(d)

	open := C*C*f.pairA + f.flush
	shut := S*S*f.pairA + f.flat
	switch {
	case open < -f.rounding:
		return LockedOpen
	case shut < -f.rounding:
		return LockedShut
	}
	open, shut = max(open, 0), max(shut, 0)
	if dd == 0 { // symmetric and shut: the limit of D/|D| is s, of shut/|D|² is 1
		d, dd, shut = geom.Vec2{X: 1}, 1, 1
	}
	ridge_F := m.Add(d.Mul(f.alongD / dd)).Add(d.Perp().Mul(math.Sqrt(open*shut) / dd))

	start_W := host.Origin.Add(host.H.Mul(f.from))
	f.posePanel(p, host, 0, f.left, geom.Vec2{X: -S * f.offset[0], Y: C * f.offset[0]}, ridge_F, start_W)
	f.posePanel(p, host, 1, f.right, geom.Vec2{X: S * f.offset[1], Y: C * f.offset[1]}, ridge_F, start_W)
	f.poseFolds(p, host)
	return Reached
}

// posePanel puts a panel's u along the fold and v from its base line to the
// ridge.
func (f *parallelFold) posePanel(p *Pose, host *Hinge, side, panel int, base_F, ridge_F geom.Vec2, start_W geom.Vec3) {
	up_F := ridge_F.Sub(base_F).Mul(1 / f.width[side])
	frame := &p.Panels[panel]
	frame.Origin = start_W.Add(geom.Combine(base_F.X, host.S, base_F.Y, host.N))
	frame.X = host.H
	frame.Y = geom.Combine(up_F.X, host.S, up_F.Y, host.N)
}

// poseFolds fills in the folds that something stands on.
func (f *parallelFold) poseFolds(p *Pose, host *Hinge) {
	left, right := &p.Panels[f.left], &p.Panels[f.right]
	if p.a.hinged[f.leftBase] {
		out := geom.Combine(-host.Sin, host.S, host.Cos, host.N)
		p.hinges[f.leftBase] = makeHinge(left.Origin, host.H, out, left.Y)
	}
	if p.a.hinged[f.rightBase()] {
		out := geom.Combine(host.Sin, host.S, host.Cos, host.N)
		p.hinges[f.rightBase()] = makeHinge(right.Origin, host.H, right.Y, out)
	}
	if p.a.hinged[f.ridge()] {
		top := left.At(geom.Vec2{Y: f.width[0]})
		p.hinges[f.ridge()] = makeHinge(top, host.H, right.Y.Neg(), left.Y.Neg())
	}
}
