package kinematics

import (
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// vFold poses a V-fold: a spherical four-bar about the apex.
//
// Frame. The frame F of the host fold, axes (s, h, n), half dihedral (C, S).
// The base lines leave the apex along
//
//	g1 = (-S·sin a1, cos a1, C·sin a1)
//	g2 = (+S·sin a2, cos a2, C·sin a2)
//
// with a1, a2 the base angles, 0.5 to 179.5 degrees, from +h. The ridge c is
// the unit vector with c·g1 = cos b1 and c·g2 = cos b2, b the panel angles
// (the symmetric case is cos p = cos a·cos ω + sin a·sin ω·cos φ/2 with ω from c
// to h and φ the dihedral).
//
// Solution (derived here). With ā, δ half the sum and difference of a2 and a1,
// and b̄, ε those of b2 and b1, half the sum and difference of the base lines
// are
//
//	M = (g1+g2)/2 = (S·cos ā·sin δ,  cos ā·cos δ, C·sin ā·cos δ)
//	D = (g2-g1)/2 = (S·sin ā·cos δ, -sin ā·sin δ, C·cos ā·sin δ)
//
// with M ⟂ D, |M|² + |D|² = 1 and
//
//	|M|² = cos²ā + C²·sin a1·sin a2    |D|² = sin²δ + S²·sin a1·sin a2
//	D × M = (-C·sin δ·cos δ, -S·C·sin a1·sin a2, S·sin ā·cos ā)
//
// From c·M = cos b̄·cos ε and c·D = -sin b̄·sin ε,
//
//	c = cos b̄·cos ε/|M|²·M - sin b̄·sin ε/|D|²·D ± √(open·shut)/(|M|²|D|²)·(D × M)
//	open = |M|² - cos²b̄ = C²·sin a1·sin a2 + sin(b̄-ā)·sin(b̄+ā)
//	shut = |D|² - sin²ε = S²·sin a1·sin a2 + sin(δ-ε)·sin(δ+ε)
//
// The last product vanishes when a1+b1 = a2+b2 or a1-b1 = a2-b2, the shut-flat
// conditions; the one above it when a1+a2 = b1+b2, flush when open. Written so,
// nothing cancels as S → 0 or C → 0, and the symmetric case needs no branch: D
// keeps its direction, s, however small S is, and leastSine stands for none.
//
// Sign. D × M points to the side the ridge falls to when it leans away from h,
// so + is lean away and - lean toward.
//
// Singular. open = 0: panels stretched tight. shut = 0 with S > 0: a change
// point, where the mechanism could fold the other way. |M| = 0: the base lines
// in one line.
type vFold struct {
	twoPanel
	at float64

	sinA, cosA [2]float64
	sinB, cosB [2]float64
	cscB, cotB [2]float64

	m, d, dm  [3]float64 // M, D and D × M, before S and C are put in
	sinA1A2   float64
	cosMA2    float64 // cos²ā
	sinDelta2 float64 // sin²δ
	flush     float64 // sin(b̄-ā)·sin(b̄+ā), zero when it opens flush
	flat      float64 // sin(δ-ε)·sin(δ+ε), zero when it shuts flat
	alongM    float64 // cos b̄·cos ε
	alongD    float64 // -sin b̄·sin ε
	lean      float64 // +1 away, -1 toward
}

// flatRounding is the rounding, in radians, of the sum of four angles entered
// as decimal degrees; a mismatch below it is none.
const flatRounding = 1e-13

// reachRounding is the rounding left in `open` and `shut`, which are
// differences of numbers up to 1: far above the error of a chain of
// generations (1e-15), far below anything that can be cut (1e-12 of 200 mm).
const reachRounding = 1e-12

// inOneLine is |M|² below which the base lines are in one line: M is then so
// short that rounding (1e-16) decides a millionth of its direction.
const inOneLine = 1e-20

// leastSine stands for a sine of zero, so that D keeps its direction; no number
// of a pose is changed by it.
const leastSine = 1e-100

func withDirection(sine float64) float64 {
	if math.Abs(sine) < leastSine {
		return leastSine
	}
	return sine
}

// notBelowZero takes out what rounding left below zero. The built-in max costs
// more than a square root, for the sake of numbers that are none.
func notBelowZero(v float64) float64 {
	if v < 0 {
		return 0
	}
	return v
}

func compileVFold(c *compiler, i int, m *design.Mechanism, spec *design.VFold) poser {
	left, right := spec.Sides()
	shape := vShape{at: spec.At, ridgeLength: spec.RidgeLength, trim: spec.ApexTrim, lean: 1}
	if spec.Lean == design.Toward {
		shape.lean = -1
	}
	return newVFold(c, i, m, shape, left, right)
}

// vShape is what both sides of a V share.
type vShape struct {
	at, ridgeLength, trim float64
	lean                  float64
}

func newVFold(c *compiler, i int, m *design.Mechanism, shape vShape, left, right design.VSide) poser {
	v := &vFold{twoPanel: twoPanel{host: c.hostFold(m.On)}, at: shape.at, lean: shape.lean}
	v.constants(left, right)
	v.left = c.addPanel(i, m.ID+".left", vPanelShape(left, shape))
	v.right = c.addPanel(i, m.ID+".right", vPanelShape(right, shape))

	base := [2]baseLine{
		v.baseLine(v.host.left, v.left, left, 0),
		v.baseLine(v.host.right, v.right, right, 1),
	}
	for side := range base {
		base[side].start = shape.trim
	}
	var ridge [2]Face
	for side, panel := range [2]int{v.left, v.right} {
		ridge[side] = Face{
			Panel: panel,
			Along: geom.Vec2{X: v.cosB[side], Y: v.sinB[side]},
			Away:  geom.Vec2{X: v.sinB[side], Y: -v.cosB[side]},
		}
	}
	// Seen along the ridge from underneath, a V that leans away shows its
	// right panel on the left; one that leans toward is its mirror image.
	ridgeLeft := 1
	if v.lean < 0 {
		ridgeLeft = 0
	}
	v.addFolds(c, i, m, base, ridge, ridgeLeft, shape.trim, shape.ridgeLength)
	return v
}

func (v *vFold) constants(left, right design.VSide) {
	for side, s := range [2]design.VSide{left, right} {
		v.sinA[side], v.cosA[side] = s.BaseAngle.Sincos()
		v.sinB[side], v.cosB[side] = s.PanelAngle.Sincos()
		v.cscB[side], v.cotB[side] = 1/v.sinB[side], v.cosB[side]/v.sinB[side]
	}
	meanA, meanB := (left.BaseAngle+right.BaseAngle)/2, (left.PanelAngle+right.PanelAngle)/2
	delta, eps := matched(
		float64(right.BaseAngle-left.BaseAngle)/2, float64(right.PanelAngle-left.PanelAngle)/2, flatRounding)
	sinMA, cosMA := meanA.Sincos()
	sinMB, cosMB := meanB.Sincos()
	sinDelta, cosDelta := math.Sincos(delta)
	sinEps, cosEps := math.Sincos(eps)

	v.m = [3]float64{cosMA * sinDelta, cosMA * cosDelta, sinMA * cosDelta}
	v.d = [3]float64{sinMA * cosDelta, -sinMA * sinDelta, cosMA * sinDelta}
	v.sinA1A2 = v.sinA[0] * v.sinA[1]
	v.dm = [3]float64{-sinDelta * cosDelta, -v.sinA1A2, sinMA * cosMA}
	v.cosMA2, v.sinDelta2 = cosMA*cosMA, sinDelta*sinDelta
	v.flat = math.Sin(delta-eps) * math.Sin(delta+eps)
	v.flush = sinOrZero(meanB-meanA) * sinOrZero(meanB+meanA)
	v.alongM, v.alongD = cosMB*cosEps, -sinMB*sinEps

	a := [2]float64{float64(left.BaseAngle), float64(right.BaseAngle)}
	if v.lean < 0 {
		a = [2]float64{math.Pi - a[0], math.Pi - a[1]}
	}
	v.bar = dyad{
		pair: v.sinA1A2, flush: v.flush, flat: v.flat, rounding: reachRounding, mean2: v.cosMA2,
		sumA: [2]float64{cosDelta, v.lean * cosMA}, diffA: [2]float64{v.lean * sinDelta, sinMA},
		sumP: [2]float64{cosEps, cosMB}, diffP: [2]float64{sinEps, sinMB},
	}
	v.bar.findTurning(a, [2]float64{float64(left.PanelAngle), float64(right.PanelAngle)}, flatRounding, math.Sin)
}

// sinOrZero is the sine, exactly zero at 0 and π but for rounding.
func sinOrZero(a geom.Angle) float64 { return zeroBelow(math.Sin(float64(a)), flatRounding) }

// vPanelShape is a triangle from the apex, less what is trimmed off there, with
// its free edge shaped.
func vPanelShape(s design.VSide, shape vShape) geom.Path {
	sin, cos := s.PanelAngle.Sincos()
	ridge := geom.Vec2{X: cos, Y: sin}
	baseEnd, ridgeEnd := geom.Vec2{X: s.BaseLength}, ridge.Mul(shape.ridgeLength)
	start := geom.Vec2{X: shape.trim}
	edge := freeEdge(s.Profile, baseEnd, ridgeEnd)
	outline := geom.Contour{Start: start, Closed: true}
	outline.Segments = append(append(outline.Segments, line(baseEnd)), edge...)
	if shape.trim > 0 {
		outline.Segments = append(outline.Segments, line(ridge.Mul(shape.trim)))
	}
	return geom.Path{outline}
}

// baseLine places a base line on the host's face. Outside the mechanism is the
// part the panel lies on when shut: at greater angles from h when the ridge
// leans away, at smaller ones when it leans toward.
func (v *vFold) baseLine(host Face, panel int, s design.VSide, side int) baseLine {
	sin, cos := v.sinA[side], v.cosA[side]
	return baseLine{
		host: Face{
			Panel:  host.Panel,
			Origin: host.at(v.at, 0),
			Along:  host.dir(cos, sin),
			Away:   host.dir(-sin*v.lean, cos*v.lean),
		},
		panel:    Face{Panel: panel, Along: geom.Vec2{X: 1}, Away: geom.Vec2{Y: 1}},
		length:   s.BaseLength,
		hostLeft: (side == 0) == (v.lean > 0),
	}
}

func (v *vFold) pose(p *Pose) Reach {
	f := v.host.state(p)
	S, C := withDirection(f.Sin), f.Cos
	x, y := C*C*v.sinA1A2, S*S*v.sinA1A2
	open, shut := x+v.flush, y+v.flat
	mm, dd := x+v.cosMA2, y+v.sinDelta2
	switch {
	case open < -reachRounding:
		return LockedOpen
	case shut < -reachRounding:
		return LockedShut
	case mm < inOneLine:
		return Singular
	}
	k := 1 / (mm * dd)
	alongM, alongD := v.alongM*dd*k, v.alongD*mm*k
	across := v.lean * math.Sqrt(notBelowZero(open)*notBelowZero(shut)) * k
	c_W := f.world(geom.Vec3{
		X: S*(alongM*v.m[0]+alongD*v.d[0]) + across*C*v.dm[0],
		Y: alongM*v.m[1] + alongD*v.d[1] + across*S*C*v.dm[1],
		Z: C*(alongM*v.m[2]+alongD*v.d[2]) + across*S*v.dm[2],
	})

	origin_W := f.Origin.Add(f.H.Mul(v.at))
	v.posePanel(&p.Panels[v.left], 0, f.world(geom.Vec3{X: -S * v.sinA[0], Y: v.cosA[0], Z: C * v.sinA[0]}), c_W, origin_W)
	v.posePanel(&p.Panels[v.right], 1, f.world(geom.Vec3{X: S * v.sinA[1], Y: v.cosA[1], Z: C * v.sinA[1]}), c_W, origin_W)
	v.poseFolds(p, f, c_W, origin_W)
	return Reached
}

// posePanel puts a panel's u along its base line g and v across it towards c:
// (c - cos b·g)/sin b.
func (v *vFold) posePanel(panel *geom.Frame, side int, g_W, c_W, origin_W geom.Vec3) {
	panel.Origin = origin_W
	panel.X = g_W
	panel.Y = geom.Combine(v.cscB[side], c_W, -v.cotB[side], g_W)
}

// poseFolds fills in the folds that something stands on.
func (v *vFold) poseFolds(p *Pose, f *Hinge, c_W, origin_W geom.Vec3) {
	left, right := &p.Panels[v.left], &p.Panels[v.right]
	if p.a.hinged[v.leftBase] {
		out := f.world(geom.Vec3{X: -f.Sin * v.cosA[0], Y: -v.sinA[0], Z: f.Cos * v.cosA[0]}).Mul(v.lean)
		p.hinges[v.leftBase] = v.ordered(origin_W, left.X, out, left.Y)
	}
	if p.a.hinged[v.rightBase()] {
		out := f.world(geom.Vec3{X: f.Sin * v.cosA[1], Y: -v.sinA[1], Z: f.Cos * v.cosA[1]}).Mul(v.lean)
		p.hinges[v.rightBase()] = v.ordered(origin_W, right.X, right.Y, out)
	}
	if p.a.hinged[v.ridge()] {
		toLeft := left.Dir(geom.Vec2{X: v.sinB[0], Y: -v.cosB[0]})
		toRight := right.Dir(geom.Vec2{X: v.sinB[1], Y: -v.cosB[1]})
		p.hinges[v.ridge()] = v.ordered(origin_W, c_W, toRight, toLeft)
	}
}

// ordered makes a hinge from its faces as they lie when the ridge leans away; a
// V that leans toward is the mirror image.
func (v *vFold) ordered(origin, h, left, right geom.Vec3) Hinge {
	if v.lean < 0 {
		left, right = right, left
	}
	return makeHinge(origin, h, left, right)
}
