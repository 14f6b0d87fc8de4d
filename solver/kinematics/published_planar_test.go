package kinematics

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"foldwright/solver/geom"
)

// A parallel fold is a planar four-bar in the plane across its fold. In the
// notation of Freudenstein and Norton, a·e^{iθ2} + b·e^{iθ3} = c·e^{iθ4} + d:
//
//	ground d   left face from the fold to its base line    base_offset, left
//	input a    right face from the fold to its base line   base_offset, right
//	coupler b  right panel                                 panel_width, right
//	output c   left panel                                  panel_width, left
//	θ2         the dihedral of the fold, turned from the left face to the right
//
// θ4 is then the turn from the left face's continuation to the left panel, the
// dihedral outside the left base line; θ2-θ3 that outside the right one; and
// θ4-θ3 the dihedral under the ridge. Angles are equal up to whole turns. The
// ridge stands away from the fold, which is Norton's open configuration in the
// rows below; his crossed one puts it on the other side of the line between the
// base lines, which no parallel fold does.
func fourBar(t testing.TB, a, b, c, d float64) *Assembly {
	return assemble(t, fmt.Sprintf(`{"id":"crane","kind":"parallel_fold","on":{"fold":"gutter"},"from":10,"to":40,
		"left":{"base_offset":%.17g,"panel_width":%.17g},"right":{"base_offset":%.17g,"panel_width":%.17g}}`, d, c, a, b))
}

func TestPublishedFourBars(t *testing.T) {
	for _, row := range []struct {
		source         string
		a, b, c, d     float64
		theta2         float64
		theta3, theta4 float64
		tolerance      float64
	}{
		{"a published coursework sheet, read; also recomputed at 30 digits from the closed form",
			35, 25, 15, 10, 30, 254.1745, 334.0983, 5e-5},
		{"Norton, Design of Machinery, table P4-1 row a: inputs read, printed answers 88.8 and 117.3 from memory; digits recomputed at 30 from the closed form",
			2, 7, 9, 6, 30, 88.8372, 117.2861, 5e-5},
		{"Norton, Design of Machinery, example 4-1, from memory (20.30, 57.33 as printed); digits recomputed at 30, which is 0.01 off the print",
			40, 120, 80, 100, 40, 20.2979, 57.3249, 5e-5},
	} {
		a := fourBar(t, row.a, row.b, row.c, row.d)
		p := pose(t, a, row.theta2)
		approxTurn(t, "θ4, outside the left base line: "+row.source, foldAngle(t, a, p, "crane.left_base"), row.theta4, row.tolerance)
		approxTurn(t, "θ2-θ3, outside the right base line: "+row.source, foldAngle(t, a, p, "crane.right_base"), row.theta2-row.theta3, row.tolerance)
		approxTurn(t, "θ4-θ3, under the ridge: "+row.source, foldAngle(t, a, p, "crane.ridge"), row.theta4-row.theta3, 2*row.tolerance)
	}
}

// The point of the coupler 10 from the joint B, 70 degrees from BA. Source: the
// coursework sheet of the first row above, read; it prints (33.4666, -5.8245),
// with the x axis along the ground link.
func TestPublishedCouplerPoint(t *testing.T) {
	a := fourBar(t, 35, 25, 15, 10)
	p := pose(t, a, 30)
	ground, right := p.Panels[pageLeft].Y, p.Panels[a.PanelIndex("crane.right")]
	across := p.Panels[pageRight].Y // θ2 > 0 turns the ground towards the input
	across = across.Sub(ground.Mul(across.Dot(ground))).Unit()
	ab := geom.Vec2{X: right.Y.Dot(ground), Y: right.Y.Dot(across)}
	ridge := p.FoldEnds(a.FoldIndex("crane.ridge"))[0]
	turn := geom.Turn(geom.Degrees(180 - 70))
	point := geom.Vec2{X: ridge.Dot(ground), Y: ridge.Dot(across)}.Add(turn.Dir(ab).Mul(10))
	approx(t, "x", point.X, 33.4666, 5e-5)
	approx(t, "y", point.Y, -5.8245, 5e-5)
}

// drawFourBar draws link lengths with no regard to closing.
func drawFourBar(t *rapid.T) (links [4]float64, theta2 float64) {
	for i, name := range []string{"a", "b", "c", "d"} {
		links[i] = decimal(t, name, 40, 100)
	}
	return links, decimal(t, "θ2", 1, 179)
}

// Freudenstein's equation, K1 cos θ4 - K2 cos θ2 + K3 = cos(θ2-θ4) with K1 =
// d/a, K2 = d/c, K3 = (a²-b²+c²+d²)/2ac. Source: Freudenstein, Approximate
// Synthesis of Four-Bar Linkages, Trans. ASME 77 (1955); the opening pages
// read. The transmission angle, cos μ = (b²+c²-a²-d²+2ad cos θ2)/2bc, is the
// law of cosines in the two triangles on the diagonal. A negative discriminant
// of Norton's closed form, that is |cos μ| > 1, means it cannot be assembled.
func TestFreudensteinEquation(t *testing.T) {
	reached := 0
	rapid.Check(t, func(t *rapid.T) {
		links, theta2 := drawFourBar(t)
		a, b, c, d := links[0], links[1], links[2], links[3]
		assembly := (&document{mechanisms: []entry{{
			"id": "crane", "kind": "parallel_fold", "on": entry{"fold": "gutter"}, "from": 0, "to": 10,
			"left": parallelSide(d, c), "right": parallelSide(a, b),
		}}}).compile(t)
		p := poseAt(assembly, theta2)
		in := float64(geom.Degrees(theta2))
		cosMu := (b*b + c*c - a*a - d*d + 2*a*d*math.Cos(in)) / (2 * b * c)
		if math.Abs(cosMu) > 1+1e-9 != !p.AllReached && math.Abs(math.Abs(cosMu)-1) > 1e-9 {
			t.Fatalf("cos μ = %g but reach is %v", cosMu, p.Reach)
		}
		if !p.AllReached {
			return
		}
		reached++
		out := float64(p.FoldAngle(assembly.FoldIndex("crane.left_base")))
		k1, k2, k3 := d/a, d/c, (a*a-b*b+c*c+d*d)/(2*a*c)
		if off := k1*math.Cos(out) - k2*math.Cos(in) + k3 - math.Cos(in-out); !(math.Abs(off) <= 1e-10*(k1+k2+math.Abs(k3)+1)) {
			t.Fatalf("Freudenstein's equation is off by %g", off)
		}
		ridge := float64(p.FoldAngle(assembly.FoldIndex("crane.ridge")))
		if off := math.Cos(ridge) - cosMu; !(math.Abs(off) <= 1e-10) {
			t.Fatalf("cos μ is off by %g", off)
		}
	})
	if reached < 10 {
		t.Errorf("only %d four-bars could be assembled", reached)
	}
}

// Freudenstein's synthesis run backwards: the least squares that give his K1,
// K2, K3 for five pairs of angles must give back the links of a fold posed at
// five openings. The links are those derived from the five pairs φ = 40..60, ψ
// = 70, 76, 83, 91, 100, d = 180 of a public university lab file (pairs read,
// K1 = 1.02006, K2 = 1.60526, K3 = 1.74638 derived from them).
func TestFreudensteinSynthesis(t *testing.T) {
	const d = 180
	want := []float64{1.02006, 1.60526, 1.74638}
	links := [3]float64{d / want[0], 0, d / want[1]}
	links[1] = math.Sqrt(links[0]*links[0] + links[2]*links[2] + d*d - 2*want[2]*links[0]*links[2])
	approx(t, "a", links[0], 176.460, 1e-3)
	approx(t, "b", links[1], 83.675, 1e-3)
	approx(t, "c", links[2], 112.131, 1e-3)

	a := fourBar(t, links[0], links[1], links[2], d)
	lhs, rhs := mat.NewDense(5, 3, nil), mat.NewVecDense(5, nil)
	for i, pair := range []struct{ phi, psi float64 }{{40, 70}, {45, 76}, {50, 83}, {55, 91}, {60, 100}} {
		out := foldAngle(t, a, pose(t, a, pair.phi), "crane.left_base")
		// The synthesis is approximate: five pairs, three unknowns.
		approx(t, fmt.Sprintf("ψ at φ = %g", pair.phi), out, pair.psi, 0.5)
		phi, psi := float64(geom.Degrees(pair.phi)), float64(geom.Degrees(out))
		lhs.SetRow(i, []float64{math.Cos(psi), -math.Cos(phi), 1})
		rhs.SetVec(i, math.Cos(phi-psi))
	}
	var k mat.VecDense
	if err := k.SolveVec(lhs, rhs); err != nil {
		t.Fatal(err)
	}
	for i := range want {
		approx(t, fmt.Sprintf("K%d", i+1), k.AtVec(i), want[i], 1e-9)
	}
}
