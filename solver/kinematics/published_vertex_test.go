package kinematics

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// A V-fold whose four sectors sum to 360 degrees is a vertex of flat paper with
// four creases: the gutter, the left base line, the ridge and the right base
// line, with the sectors α1 (page, left), α2 (panel, left), π-α1 (panel, right)
// and π-α2 (page, right) between them. Its alternating sum is zero, so it folds
// flat. A fold angle ρ is π less the dihedral between the two sectors beside
// the crease. The sectors are the parts of the pages towards the gutter's
// direction, which is outside the base lines of a V that leans toward and
// inside those of one that leans away.
func vertex(t rapid.TB, alpha1, alpha2 float64, lean string) *Assembly {
	return (&document{mechanisms: []entry{{
		"id": "net", "kind": "v_fold", "on": entry{"fold": "gutter"}, "at": 100, "lean": lean,
		"left": vSide(alpha1, alpha2, 40), "right": vSide(180-alpha2, 180-alpha1, 40), "ridge_length": 40,
	}}}).compile(t)
}

// foldAngles are ρ1 to ρ4 in radians, from -π to π.
func foldAngles(a *Assembly, p *Pose) [4]float64 {
	var rho [4]float64
	for i, id := range []string{design.Gutter, "net.left_base", "net.ridge", "net.right_base"} {
		index := a.FoldIndex(id)
		dihedral := float64(p.FoldAngle(index))
		spec := a.Design.Mechanisms[0].Spec.(*design.VFold)
		switch {
		case a.Folds[index].Role == BaseFold && spec.Lean == design.Away:
			dihedral = math.Pi - dihedral
		case a.Folds[index].Role == RidgeFold && spec.Lean == design.Toward:
			// Underneath such a ridge is the other side of the paper than the
			// one the gutter opens to.
			dihedral = 2*math.Pi - dihedral
		}
		rho[i] = math.Remainder(math.Pi-dihedral, 2*math.Pi)
	}
	return rho
}

func tanHalf(rho float64) float64 { return math.Tan(math.Abs(rho) / 2) }

// Fold-angle multipliers of the flat-foldable vertex. Sources: Foschi, Hull &
// Ku, arXiv 2206.12691, opening read; Lang & Howell, J. Mech. Robotics 10(2)
// 021004 (2018), read in a rewritten copy. The formulas are from memory and
// were checked by rotation products:
//
//	mode A: |ρ1| = |ρ3|, |ρ2| = |ρ4|, tan |ρ2|/2 = p·tan |ρ1|/2, p = cos ½(α1+α2) / cos ½(α1-α2)
//	mode B: the same with tan |ρ1|/2 = |p|·tan |ρ2|/2,           p = sin ½(α1-α2) / sin ½(α1+α2)
//
// A V-fold that leans away is in mode A, one that leans toward in mode B. The rows are derived from
// the formulas; no printed example was found.
func TestVertexRows(t *testing.T) {
	// Mode A, the gutter folded by 70 degrees.
	for _, row := range []struct{ alpha1, alpha2, major, minor float64 }{
		{60, 90, 70, 21.25259915},
		{60, 70, 70, 33.08819475},
	} {
		a := vertex(t, row.alpha1, row.alpha2, "away")
		p := pose(t, a, 180-row.major)
		for _, id := range []string{"net.left_base", "net.right_base"} {
			approxTurn(t, fmt.Sprintf("%v %s", row, id), math.Abs(math.Remainder(foldAngle(t, a, p, id), 360)), row.minor, 5e-9)
		}
	}
	// Mode B, the base lines folded by 70 degrees, the gutter by 7.70450267.
	a := vertex(t, 60, 70, "toward")
	p := pose(t, a, 180-7.70450267)
	for _, id := range []string{"net.left_base", "net.right_base"} {
		// 7.70450267 is rounded by 5e-9, magnified by dρ2/dρ1 = 7.
		approxTurn(t, id, math.Abs(math.Remainder(180-foldAngle(t, a, p, id), 360)), 70, 4e-8)
	}
}

func TestVertexMultipliers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		alpha1, alpha2 := decimal(t, "α1", 20, 160), decimal(t, "α2", 20, 160)
		if math.Abs(alpha1-alpha2) < 0.1 || math.Abs(alpha1+alpha2-180) < 0.1 {
			t.Skip("a crease of multiplier zero")
		}
		sum, diff := geom.Degrees((alpha1+alpha2)/2), geom.Degrees((alpha1-alpha2)/2)
		sinSum, cosSum := sum.Sincos()
		sinDiff, cosDiff := diff.Sincos()
		modes := [2]float64{math.Abs(cosSum / cosDiff), math.Abs(sinSum / sinDiff)} // tan ρ2/2 over tan ρ1/2
		opening := decimal(t, "opening", 5, 175)
		for mode, lean := range []string{"away", "toward"} {
			a := vertex(t, alpha1, alpha2, lean)
			p := poseAt(a, opening)
			if !p.AllReached {
				t.Fatalf("not reached: %v", p.Reach)
			}
			rho := foldAngles(a, p)
			if off := math.Abs(rho[0]) - math.Abs(rho[2]); math.Abs(off) > 1e-8 {
				t.Fatalf("%s: gutter and ridge differ by %g", lean, off)
			}
			if off := math.Abs(rho[1]) - math.Abs(rho[3]); math.Abs(off) > 1e-8 {
				t.Fatalf("%s: the base lines differ by %g", lean, off)
			}
			if off := math.Abs(rho[1]) - 2*math.Atan(modes[mode]*tanHalf(rho[0])); math.Abs(off) > 1e-8 {
				t.Fatalf("%s: ratio is %g, want %g", lean, tanHalf(rho[1])/tanHalf(rho[0]), modes[mode])
			}

			// Maekawa-Justin: mountains and valleys differ by two (read).
			mountains := 0
			for _, r := range rho {
				if r > 0 {
					mountains++
				}
			}
			if mountains != 1 && mountains != 3 {
				t.Fatalf("%s: %d of 4 creases fold one way: %v", lean, mountains, rho)
			}

			// belcastro & Hull (2002, from memory): the product of the
			// rotations about the creases, walking round the vertex, is the
			// identity.
			if off := closure([4]float64{alpha1, alpha2, 180 - alpha1, 180 - alpha2}, rho); off > 1e-8 {
				t.Fatalf("%s: walking round the vertex ends %g away: %v", lean, off, rho)
			}

			// Kawasaki-Justin, one way: it folds flat.
			if q := poseAt(a, 0); !q.AllReached || offPage(a, q) > shutTolerance*a.Design.Size() {
				t.Fatalf("%s: does not fold flat", lean)
			}
		}
	})
}

// closure walks round a vertex: fold by ρ about the crease along x, then turn
// by the sector to the next crease. It gives how far the product of the
// matrices is from the identity.
func closure(sectors, rho [4]float64) float64 {
	m := [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	product := func(n [3][3]float64) {
		var out [3][3]float64
		for i := range 3 {
			for j := range 3 {
				for k := range 3 {
					out[i][j] += m[i][k] * n[k][j]
				}
			}
		}
		m = out
	}
	for i := range 4 {
		s, c := math.Sincos(rho[i])
		product([3][3]float64{{1, 0, 0}, {0, c, -s}, {0, s, c}})
		s, c = geom.Degrees(sectors[i]).Sincos()
		product([3][3]float64{{c, -s, 0}, {s, c, 0}, {0, 0, 1}})
	}
	off := 0.0
	for i := range 3 {
		for j := range 3 {
			want := 0.0
			if i == j {
				want = 1
			}
			off = max(off, math.Abs(m[i][j]-want))
		}
	}
	return off
}

// offPage is how far a pose is from lying in the shut page.
func offPage(a *Assembly, p *Pose) float64 {
	off := 0.0
	for i := range a.Panels {
		for _, v := range p.AppendVertices(nil, i) {
			off = max(off, math.Abs(v.X))
		}
	}
	return off
}

// Kawasaki-Justin, on the cone that any V-fold is: it folds flat if and only if
// the alternating sum of its sectors is zero, or, glue lines unfolded, if the
// base and panel angles of the two sides sum alike. Source: the alternating sum
// holds on cones, encyclopedia copies, read; |a-b| = |p-q| derived from it.
func TestVFoldsShutFlatOnlyWhenMatched(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a1, a2 := decimal(t, "a1", 25, 65), decimal(t, "a2", 25, 65)
		b1, b2 := decimal(t, "b1", 70, 100), decimal(t, "b2", 70, 100)
		if rapid.Bool().Draw(t, "matched") {
			b2 = b1 + rapid.SampledFrom([]float64{1, -1}).Draw(t, "sign")*(a1-a2)
		}
		mismatch := math.Abs(math.Abs(a1-a2) - math.Abs(b1-b2))
		a := (&document{mechanisms: []entry{{
			"id": "sail", "kind": "v_fold", "on": entry{"fold": "gutter"}, "at": 100,
			"left": vSide(a1, b1, 40), "right": vSide(a2, b2, 40), "ridge_length": 40,
		}}}).compile(t)
		p := poseAt(a, 0)
		flat := p.AllReached && offPage(a, p) <= shutTolerance*a.Design.Size()
		if flat != (mismatch < 1e-9) {
			t.Fatalf("mismatch of %g degrees, but shuts flat is %v", mismatch, flat)
		}
		// With the panels further apart than the base lines, it cannot shut.
		if mismatch > 1e-9 && p.AllReached != (math.Abs(b1-b2) < math.Abs(a1-a2)) {
			t.Fatalf("base lines %g apart, panels %g: reach is %v", a1-a2, b1-b2, p.Reach)
		}
	})
}
