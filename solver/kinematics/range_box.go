package kinematics

import "math"

// boxAngle is the dihedral of a fold of a box, quarters·π/2 + half·φ + lean·λ, with
// φ half the dihedral of the host and λ how far the walls lean from n towards s.
type boxAngle struct{ quarters, half, lean int }

// angles lists the folds' dihedrals in the order of addFolds.
//
// In the cross-section, as angles from n towards s, the faces are at -φ and φ, the
// walls at λ, the halves of the lid at φ and -φ when it folds out and at π - φ and
// φ - π when it folds in. Across w, a half end wall is at φ from h, or at π - φ where
// the ends fold out.
func (b *box) angles() []boxAngle {
	list := []boxAngle{{0, 1, 1}, {0, 1, -1}}
	corner, crease := boxAngle{0, 1, 0}, boxAngle{4, -2, 0}
	if b.endWay < 0 {
		corner, crease = boxAngle{2, -1, 0}, boxAngle{0, 2, 0}
	}
	list = append(list, corner, corner, corner, corner, crease, crease)
	if b.lid && b.lidWay > 0 {
		list = append(list, boxAngle{2, -1, 1}, boxAngle{2, -1, -1}, boxAngle{0, 2, 0})
	} else if b.lid {
		list = append(list, boxAngle{0, 1, 1}, boxAngle{0, 1, -1}, boxAngle{4, -2, 0})
	}
	return list
}

// leaning is λ, for κ > 0, and the mirror image for κ < 0. As (B2-B1)·w = κ, the angle
// between B2-B1 and w is acos κ/L, and with μ the direction of B2-B1 = (2ā·S, κ·C)
//
//	λ = μ - acos κ/L,   tan μ = 2ā·S/(κ·C),   tan acos κ/L = 2g·S/κ
func (b *box) leaning(S, C float64) arc {
	if b.kappa == 0 {
		return arc{}
	}
	k := math.Abs(b.kappa)
	lambda := arcOf(turnOf(2*b.mean*S, k*C)).minus(arcOf(turnOf(2*b.g*S, k)))
	if b.kappa < 0 {
		return lambda.times(-1)
	}
	return lambda
}

// turnsBack is the host's dihedral at which φ - |λ| does. Derived here: with 4ā² =
// κ² + 4g²,
//
//	dλ/dφ = 2κ(ā - g·C)/L²
//
// which has the sign of κ throughout; it comes to 1 where
//
//	4g²·C² - 2|κ|g·C = 2ā(2ā - |κ|)
//
// a convex function of C that is at most its right side at C = 0 and at C = 1, so
// once, beyond a flat host.
func (b *box) turnsBack() float64 {
	k, g := math.Abs(b.kappa), b.g
	cos := (k - math.Sqrt(k*k+8*b.mean*(2*b.mean-k))) / (4 * g)
	return 2 * math.Acos(max(cos, -1))
}

func (b *box) enclose(r *Ranges) enclosure {
	psi, ok := b.host.dihedral(r)
	if !ok {
		return unknown
	}
	for k := range b.dihedrals {
		r.begin(b.folds.first + k)
	}
	psi.each(b.turning[:], func(psi turn) bool {
		phi := psi.half()
		S, C := phi.sincos()
		half, lambda := arcOf(phi), b.leaning(S, C)
		for k, angle := range b.dihedrals {
			fold := b.folds.first + k
			a := quarterTurns(angle.quarters).plus(half.times(angle.half)).plus(lambda.times(angle.lean))
			if r.a.Folds[fold].Role == ValleyFold {
				a = quarterTurns(4).minus(a)
			}
			r.include(fold, a)
		}
		return true
	})
	return enclosed
}
