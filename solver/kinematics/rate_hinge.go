package kinematics

import "foldwright/solver/geom"

// ownFace is the face of a fold in a panel of the mechanism that makes the fold.
// Its place in that panel depends on nothing but the mechanism's measurements.
func (a *Assembly) ownFace(fold int) *Face {
	f := &a.Folds[fold]
	if a.Panels[f.Left.Panel].Mechanism == f.Mechanism {
		return &f.Left
	}
	return &f.Right
}

// turning is how fast a panel turns about the direction h of its plane: with N
// its normal, N turns from N towards h × N.
func (r *Rate) turning(panel int, h geom.Vec3) float64 {
	f, rate := &r.pose.Panels[panel], &r.Panels[panel]
	return normalRate(f, rate).Dot(h.Cross(f.Normal()))
}

func normalRate(f, rate *geom.Frame) geom.Vec3 {
	return rate.X.Cross(f.Y).Add(f.X.Cross(rate.Y))
}

// rateHinge fills in the rate of a fold's state from those of the panels beside
// it. Looking along h, the right face turns one way and the left one the other
// as the dihedral ψ grows, and what both turn alike turns the frame: with τ the
// turning of a face about h,
//
//	ψ' = τ(right) - τ(left)      n' = ½(τ(right) + τ(left))·s - (n·h')·h
//	h × n = s, h × s = -n        s' = -½(τ(right) + τ(left))·n - (s·h')·h
//
// Derived here. Unlike the frame itself, which makeHinge takes from the sum or
// the difference of the faces, none of this is singular when shut or flat.
func (r *Rate) rateHinge(fold int) {
	hinge, g := &r.pose.hinges[fold], &r.hinges[fold]
	own, e := r.a.ownFace(fold), r.seed.edge(fold)
	frame, rate := &r.pose.Panels[own.Panel], &r.Panels[own.Panel]
	f := &r.a.Folds[fold]

	left, right := r.turning(f.Left.Panel, hinge.H), r.turning(f.Right.Panel, hinge.H)
	half, twist := (right-left)/2, (right+left)/2
	g.Origin = rate.At(own.Origin).Add(frame.Dir(e.origin))
	g.H = rate.Dir(own.Along).Add(frame.Dir(e.along))
	g.N = geom.Combine(twist, hinge.S, -hinge.N.Dot(g.H), hinge.H)
	g.S = geom.Combine(-twist, hinge.N, -hinge.S.Dot(g.H), hinge.H)
	g.Sin, g.Cos = half*hinge.Cos, -half*hinge.Sin
}

// rate is the rate of the host fold's state, as state gives the state itself:
// every view is linear in what it is a view of.
func (h *hostFold) rate(r *Rate) *Hinge {
	if h.view == asStored {
		return &r.hinges[h.hinge]
	}
	return r.hinges[h.hinge].seen(h.view, &r.side)
}

// acrossRate is the rate of x·s + z·n in the world, for a point of the hinge's
// cross-section and its rate.
func acrossRate(f, rate *Hinge, at, change geom.Vec2) geom.Vec3 {
	return geom.Combine(change.X, f.S, change.Y, f.N).Add(geom.Combine(at.X, rate.S, at.Y, rate.N))
}

// startRate is the rate of the point `at` along a hinge.
func startRate(f, rate *Hinge, at, change float64) geom.Vec3 {
	return rate.Origin.Add(geom.Combine(at, rate.H, change, f.H))
}

// turned is the rate of the sine and cosine of half the dihedral when they are
// taken as (S, C), one of which was zero and has been given a direction: they
// turn together, so S' = C·φ' and C' = -S·φ', and what is divided by S when shut
// needs the C' that goes with it, small as it is.
func (h *Hinge) turned(f *Hinge, S, C float64) (sinRate, cosRate float64) {
	switch {
	case S != f.Sin:
		return h.Sin, -S * h.Sin / C
	case C != f.Cos:
		return -C * h.Cos / S, h.Cos
	}
	return h.Sin, h.Cos
}
