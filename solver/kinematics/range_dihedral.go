package kinematics

import "math"

// dihedral is a range of the dihedral of a fold, on the side stood on.
type dihedral struct{ lo, hi turn }

// dihedral is what the host fold's dihedral takes in the ranges. ok is false where
// it does not keep between 0 and 2π: its faces then go through each other, and what
// stands between them jumps to their other side; or where they have come all the way
// round to each other, which makeHinge takes for shut.
func (h *hostFold) dihedral(r *Ranges) (d dihedral, ok bool) {
	r.proved = r.Proved[h.hinge]
	d = dihedral{r.lo[h.hinge], r.hi[h.hinge]}
	switch {
	case d.hi.from(0) < 0:
		d.lo.quarters, d.hi.quarters = d.lo.quarters+4, d.hi.quarters+4
	case d.lo.from(4) > 0:
		d.lo.quarters, d.hi.quarters = d.lo.quarters-4, d.hi.quarters-4
	}
	if !d.proper() || d.hi.from(4) > -2*sameDirection {
		return d, false
	}
	switch h.view {
	case asStored:
	case acrossLeft, acrossRight:
		d = d.lessThan(2)
	case over:
		d = d.lessThan(4)
	}
	return d, d.proper()
}

func (d dihedral) proper() bool { return d.lo.from(0) >= 0 && d.hi.from(4) <= 0 }

// lessThan is a number of quarter turns less the dihedral.
func (d dihedral) lessThan(quarters int) dihedral {
	return dihedral{
		turn{quarters - d.hi.quarters, -d.hi.rest},
		turn{quarters - d.lo.quarters, -d.lo.rest},
	}
}

// each visits the ends of the range, and those of the given dihedrals that lie
// between, as long as visit wants more.
func (d dihedral) each(between []float64, visit func(psi turn) bool) bool {
	if !visit(d.lo) || !visit(d.hi) {
		return false
	}
	for _, rest := range between {
		if psi := (turn{rest: rest}); d.lo.less(psi) && psi.less(d.hi) && !visit(psi) {
			return false
		}
	}
	return true
}

// half is half the angle.
func (t turn) half() turn {
	if t.quarters%2 != 0 {
		t = turn{t.quarters - 1, t.rest + math.Pi/2}
	}
	return turn{t.quarters / 2, t.rest / 2}
}

// sincos is the sine and cosine of the angle.
func (t turn) sincos() (sin, cos float64) {
	s, c := math.Sincos(t.rest)
	switch t.quarters & 3 {
	case 0:
		return s, c
	case 1:
		return c, -s
	case 2:
		return -s, -c
	default:
		return -c, s
	}
}
