package kinematics

import (
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// The ridge c of a V-fold solves c·M = cos b̄·cos ε, c·D = -sin b̄·sin ε and
// |c| = 1, in the notation of vFold. Differentiated, with a dash for the rate,
//
//	c'·M = (cos b̄·cos ε)' - c·M'
//	c'·D = (-sin b̄·sin ε)' - c·D'
//	c'·c = 0
//
// M, D and E = D × M are at right angles, with |E|² = |M|²|D|², so along them
// the three equations come apart. With c = μM + νD + ρE,
//
//	c' = (c'·M)/|M|²·M + (c'·D)/|D|²·D - (μ(c'·M) + ν(c'·D))/(ρ|M|²|D|²)·E
//
// Derived here. ρ|M|²|D|² = ±√(open·shut) vanishes at a lock, where there is no
// derivative. It vanishes too where the mechanism is shut or lies flush, and
// there the right-hand sides do as well, in proportion to S or C: all is worked
// out in the frame of the host fold, where those proportions are kept to the
// last digit. leastSine then stands for none, as it does in the pose.

// rateRounding is how near a lock, in `open`, `shut`, |M|² and |D|² (numbers up
// to 1), a rate is given up. The terms it is made of carry rounding of 1e-15 and
// are divided by these: nearer, fewer than five digits would be right.
const rateRounding = 1e-10

// flatSine is the cosine of half a dihedral below which a fold counts as open
// flat: its rounding (1e-16) is then a millionth of it and may decide its sign
// after that.
const flatSine = 1e-10

// vRates are the rates of a V-fold's constants.
type vRates struct {
	at             float64
	a, b           [2]float64
	m, d           [3]float64
	alongM, alongD float64
	flush          float64 // of sin(b̄-ā)·sin(b̄+ā)
	uneven         bool    // the two sides change unlike each other
}

var noVRates vRates

// vMeasures are the measurements of a V-fold or a cut V.
func vMeasures(spec design.Spec) (shape vShape, left, right design.VSide) {
	switch v := spec.(type) {
	case *design.VFold:
		left, right = v.Sides()
		shape = vShape{at: v.At, ridgeLength: v.RidgeLength, trim: v.ApexTrim}
	case *design.CutV:
		left, right = v.Sides()
		shape = vShape{at: v.At, ridgeLength: v.RidgeLength}
	}
	return shape, left, right
}

func (v *vFold) vary(rates design.Spec, s *shapeRate) any {
	shape, left, right := vMeasures(s.spec)
	changing, leftRate, rightRate := vMeasures(rates)
	r := &vRates{at: changing.at}
	for side, rate := range [2]design.VSide{leftRate, rightRate} {
		r.a[side], r.b[side] = float64(rate.BaseAngle), float64(rate.PanelAngle)
	}
	meanA, delta := (left.BaseAngle+right.BaseAngle)/2, (right.BaseAngle-left.BaseAngle)/2
	meanB, eps := (left.PanelAngle+right.PanelAngle)/2, (right.PanelAngle-left.PanelAngle)/2
	meanAR, deltaR := (r.a[0]+r.a[1])/2, (r.a[1]-r.a[0])/2
	meanBR, epsR := (r.b[0]+r.b[1])/2, (r.b[1]-r.b[0])/2
	r.uneven = deltaR != 0 || epsR != 0
	sinDown, cosDown := (meanB - meanA).Sincos()
	sinUp, cosUp := (meanB + meanA).Sincos()
	r.flush = cosDown*sinUp*(meanBR-meanAR) + sinDown*cosUp*(meanBR+meanAR)

	sinA, cosA := meanA.Sincos()
	sinB, cosB := meanB.Sincos()
	sinD, cosD := delta.Sincos()
	sinE, cosE := eps.Sincos()
	r.m = [3]float64{
		cosA*cosD*deltaR - sinA*sinD*meanAR,
		-sinA*cosD*meanAR - cosA*sinD*deltaR,
		cosA*cosD*meanAR - sinA*sinD*deltaR,
	}
	r.d = [3]float64{
		cosA*cosD*meanAR - sinA*sinD*deltaR,
		-cosA*sinD*meanAR - sinA*cosD*deltaR,
		cosA*cosD*deltaR - sinA*sinD*meanAR,
	}
	r.alongM = -sinB*cosE*meanBR - cosB*sinE*epsR
	r.alongD = -cosB*sinE*meanBR - sinB*cosE*epsR
	v.varyShape(s, [2]design.VSide{left, right}, [2]design.VSide{leftRate, rightRate}, shape, changing)
	return r
}

// varyShape changes the panels' triangles and the ends of the folds. The vertex
// of a panel that is not trimmed divides in two when it is, and has no rate.
func (v *vFold) varyShape(s *shapeRate, sides, rates [2]design.VSide, shape, changing vShape) {
	ridge := s.a.ownFace(v.ridge())
	trim := changing.trim
	if shape.trim == 0 {
		trim = 0
	}
	for side, panel := range [2]int{v.left, v.right} {
		along := geom.Vec2{X: v.cosB[side], Y: v.sinB[side]}
		turning := along.Perp().Mul(float64(rates[side].PanelAngle))
		onRidge := func(length, longer float64) corner {
			return corner{along.Mul(length), along.Mul(longer).Add(turning.Mul(length))}
		}
		corners := []corner{
			at2(shape.trim, 0, trim, 0),
			at2(sides[side].BaseLength, 0, rates[side].BaseLength, 0),
			onRidge(shape.ridgeLength, changing.ridgeLength),
			onRidge(shape.trim, trim),
		}
		s.outline(panel, corners...)
		base := [2]int{v.leftBase, v.rightBase()}[side]
		s.edges[base] = edgeRate{start: changing.trim, length: rates[side].BaseLength}
		if ridge.Panel == panel {
			s.edges[v.ridge()] = edgeRate{along: turning, start: changing.trim, length: changing.ridgeLength}
		}
	}
}

func (v *vFold) rate(p *Pose, r *Rate, own any) bool {
	f, fr := v.host.state(p), v.host.rate(r)
	w := ownRates(own, &noVRates)
	c_F, cRate, ok := v.ridgeRate(f, fr, w)
	if !ok {
		return false
	}
	cRate_W := f.world(cRate).Add(fr.world(c_F))
	originRate := startRate(f, fr, v.at, w.at)
	for side, sign := range [2]float64{-1, 1} {
		panel := [2]int{v.left, v.right}[side]
		sinA, cosA := v.sinA[side], v.cosA[side]
		g_F := geom.Vec3{X: sign * f.Sin * sinA, Y: cosA, Z: f.Cos * sinA}
		gRate := geom.Vec3{
			X: sign * (fr.Sin*sinA + f.Sin*cosA*w.a[side]),
			Y: -sinA * w.a[side],
			Z: fr.Cos*sinA + f.Cos*cosA*w.a[side],
		}
		frame, rate := &p.Panels[panel], &r.Panels[panel]
		rate.Origin = originRate
		rate.X = f.world(gRate).Add(fr.world(g_F))
		// Y = (c - cos b·g)/sin b, so Y' = (c' - cos b·g')/sin b + b'·(g - cot b·Y).
		rate.Y = geom.Combine3(v.cscB[side], cRate_W, -v.cotB[side], rate.X,
			w.b[side], frame.X.Sub(frame.Y.Mul(v.cotB[side])))
	}
	return true
}

// ridgeRate is the ridge in the frame of the host fold, and its rate there.
func (v *vFold) ridgeRate(f, fr *Hinge, w *vRates) (c_F, rate geom.Vec3, ok bool) {
	S, C := withDirection(f.Sin), f.Cos
	if v.flush == 0 && math.Abs(C) < flatSine {
		C = withDirection(math.Abs(C))
	}
	sinRate, cosRate := fr.turned(f, S, C)
	x, y := C*C*v.sinA1A2, S*S*v.sinA1A2
	mm, dd := x+v.cosMA2, y+v.sinDelta2
	if mm < rateRounding {
		return c_F, rate, false
	}
	m_F := geom.Vec3{X: S * v.m[0], Y: v.m[1], Z: C * v.m[2]}
	mRate := geom.Vec3{X: sinRate*v.m[0] + S*w.m[0], Y: w.m[1], Z: cosRate*v.m[2] + C*w.m[2]}
	if C > 0 && v.parallelogram() && w.b[0] == v.lean*w.a[1] && w.b[1] == v.lean*w.a[0] {
		return v.halfTurnRate(m_F, mRate, mm, w)
	}
	open, shut := x+v.flush, y+v.flat
	if open < rateRounding && (v.flush != 0 || w.flush != 0) ||
		min(shut, dd) < rateRounding && (v.flat != 0 || w.uneven) {
		return c_F, rate, false
	}
	d_F := geom.Vec3{X: S * v.d[0], Y: v.d[1], Z: C * v.d[2]}
	e_F := geom.Vec3{X: C * v.dm[0], Y: S * C * v.dm[1], Z: S * v.dm[2]}
	dRate := geom.Vec3{X: sinRate*v.d[0] + S*w.d[0], Y: w.d[1], Z: cosRate*v.d[2] + C*w.d[2]}

	mu, nu, root := v.alongM/mm, v.alongD/dd, v.lean*math.Sqrt(open)*math.Sqrt(shut)
	c_F = geom.Combine3(mu, m_F, nu, d_F, root/(mm*dd), e_F)
	cm, cd := w.alongM-c_F.Dot(mRate), w.alongD-c_F.Dot(dRate)
	return c_F, geom.Combine3(cm/mm, m_F, cd/dd, d_F, -(mu*cm+nu*cd)/root, e_F), true
}

// parallelogram is whether opposite sides of the spherical four-bar are equal,
// b1 = a2 and b2 = a1, or for a V that leans toward their supplements.
func (v *vFold) parallelogram() bool {
	return math.Abs(v.cosB[0]-v.lean*v.cosA[1]) < flatRounding && math.Abs(v.cosB[1]-v.lean*v.cosA[0]) < flatRounding
}

// halfTurnRate is the rate of the ridge of a spherical parallelogram that stays
// one. Half a turn about M changes the base lines over, so it takes h to c (-h,
// for one that leans toward):
//
//	c = ±(2(h·M)/|M|²·M - h)
//
// which is singular neither when shut nor when flush.
func (v *vFold) halfTurnRate(m_F, mRate geom.Vec3, mm float64, w *vRates) (c_F, rate geom.Vec3, ok bool) {
	k := 2 * m_F.Y / mm
	kRate := 2*w.m[1]/mm - 2*k*m_F.Dot(mRate)/mm
	c_F = m_F.Mul(k).Sub(geom.Vec3{Y: 1}).Mul(v.lean)
	return c_F, geom.Combine(k, mRate, kRate, m_F).Mul(v.lean), true
}
