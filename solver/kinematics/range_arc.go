package kinematics

import "math"

// Coordinates must keep their digits where a mechanism is shut, flat or at rest:
// an interval next to shut is narrow, and so must its ranges be. Angles are
// therefore carried as a number of quarter turns, which is exact, and a rest as
// accurate as the ratio it is made from.

// turn is the angle quarters·π/2 + rest.
type turn struct {
	quarters int
	rest     float64
}

// turnOf is the angle of the point (x, y), from -π/2 to 3π/2: continuous in y where
// x keeps its sign, as math.Atan2 is not where x < 0. It is 0 for the origin.
func turnOf(y, x float64) turn {
	switch {
	case math.Abs(y) > math.Abs(x):
		quarters := 1
		if y < 0 {
			quarters = -1
			if x < 0 {
				quarters = 3
			}
		}
		return turn{quarters, -math.Atan(x / y)}
	case x > 0:
		return turn{0, math.Atan(y / x)}
	case x < 0:
		return turn{2, math.Atan(y / x)}
	default:
		return turn{}
	}
}

// from is the angle less a number of quarter turns; with all its digits where it is
// near them.
func (t turn) from(quarters int) float64 {
	return float64(t.quarters-quarters)*(math.Pi/2) + t.rest
}

// outward is from, and what rounding leaves in it: none where it is the rest.
func (t turn) outward(quarters int) (angle, rounding float64) {
	angle = t.from(quarters)
	if t.quarters == quarters {
		return angle, 0
	}
	return angle, 0x1p-52 * (math.Abs(angle-t.rest) + math.Abs(t.rest))
}

func (t turn) less(u turn) bool { return t.from(u.quarters) < u.rest }

// arc is the angles from quarters·π/2 + lo to quarters·π/2 + hi. size is the sum of
// the rests it is made of, to which its rounding is in proportion.
type arc struct {
	quarters int
	lo, hi   float64
	size     float64
}

// arcOf is the arc of one angle.
func arcOf(t turn) arc { return arc{t.quarters, t.rest, t.rest, math.Abs(t.rest)} }

// hull is the arc that takes in both.
func (a arc) hull(b arc) arc {
	by := float64(b.quarters-a.quarters) * (math.Pi / 2)
	return arc{a.quarters, min(a.lo, b.lo+by), max(a.hi, b.hi+by), max(a.size, b.size+math.Abs(by))}
}

func (a arc) plus(b arc) arc {
	return arc{a.quarters + b.quarters, a.lo + b.lo, a.hi + b.hi, a.size + b.size}
}

// times is the arc n times as far round; n may be negative.
func (a arc) times(n int) arc {
	k := float64(n)
	return arc{n * a.quarters, min(k*a.lo, k*a.hi), max(k*a.lo, k*a.hi), math.Abs(k) * a.size}
}

func (a arc) minus(b arc) arc { return a.plus(b.times(-1)) }

// quarterTurns is an exact arc.
func quarterTurns(n int) arc { return arc{quarters: n} }
