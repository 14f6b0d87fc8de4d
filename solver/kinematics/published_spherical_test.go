package kinematics

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/geom"
)

// A V-fold is a spherical four-bar about its apex. With the arcs of the formula
// below:
//
//	ground γ   left face from the fold to its base line    base_angle, left
//	input α    right face from the fold to its base line   base_angle, right
//	coupler η  right panel from base line to ridge         panel_angle, right
//	output β   left panel from base line to ridge          panel_angle, left
//	θ          the dihedral of the fold, from ground to input
//	ψ          the exterior angle at the left base line
//	ζ          the angle between coupler and output, the dihedral under the ridge
//
// A V that leans away has the outside of its base lines on the far side from
// the fold's direction, so ψ is the dihedral outside the left base line; one
// that leans toward has it on the near side, and there it is π - ψ.
type sphericalLinks struct{ alpha, eta, beta, gamma float64 }

func (s sphericalLinks) sides() string {
	return fmt.Sprintf(`"left":{"base_angle":%.17g,"panel_angle":%.17g,"base_length":40},"right":{"base_angle":%.17g,"panel_angle":%.17g,"base_length":40},"ridge_length":40`,
		s.gamma, s.beta, s.alpha, s.eta)
}

func (s sphericalLinks) fold(t testing.TB, lean string) *Assembly {
	return assemble(t, fmt.Sprintf(`{"id":"sail","kind":"v_fold","on":{"fold":"gutter"},"at":100,"lean":%q,%s}`, lean, s.sides()))
}

// output solves P cos ψ + Q sin ψ = R for both ψ. Source: derived for this
// project from the spherical law of cosines; McCarthy & Soh, Geometric Design
// of Linkages, has the same structure (from memory).
//
//	P = sin β (sin α cos γ cos θ - cos α sin γ)
//	Q = sin α sin β sin θ
//	R = cos η - cos β (cos α cos γ + sin α sin γ cos θ)
func (s sphericalLinks) output(theta float64) (plus, minus float64, ok bool) {
	sinA, cosA := geom.Degrees(s.alpha).Sincos()
	sinB, cosB := geom.Degrees(s.beta).Sincos()
	sinG, cosG := geom.Degrees(s.gamma).Sincos()
	sinT, cosT := geom.Degrees(theta).Sincos()
	_, cosE := geom.Degrees(s.eta).Sincos()
	p := sinB * (sinA*cosG*cosT - cosA*sinG)
	q := sinA * sinB * sinT
	r := cosE - cosB*(cosA*cosG+sinA*sinG*cosT)
	middle, half := math.Atan2(q, p), math.Acos(r/math.Hypot(p, q))
	return geom.Angle(middle + half).Degrees(), geom.Angle(middle - half).Degrees(), !math.IsNaN(half)
}

// transmission is ζ: cos ζ = (cos α cos γ + sin α sin γ cos θ - cos η cos β) /
// (sin η sin β), the law of cosines in the two triangles on the diagonal.
func (s sphericalLinks) transmission(theta float64) float64 {
	sinA, cosA := geom.Degrees(s.alpha).Sincos()
	sinB, cosB := geom.Degrees(s.beta).Sincos()
	sinG, cosG := geom.Degrees(s.gamma).Sincos()
	sinE, cosE := geom.Degrees(s.eta).Sincos()
	_, cosT := geom.Degrees(theta).Sincos()
	return (cosA*cosG + sinA*sinG*cosT - cosE*cosB) / (sinE * sinB)
}

// Source: the formulas above evaluated at 30 digits for arcs 30, 80, 70, 60 at
// θ = 50; no printed table of a general spherical four-bar was found.
func TestSphericalFourBarRow(t *testing.T) {
	links := sphericalLinks{alpha: 30, eta: 80, beta: 70, gamma: 60}
	away, toward := links.fold(t, "away"), links.fold(t, "toward")
	p, q := pose(t, away, 50), pose(t, toward, 50)
	approxTurn(t, "ψ", foldAngle(t, away, p, "sail.left_base"), 50.92453285, 5e-9)
	approxTurn(t, "other ψ", foldAngle(t, toward, q, "sail.left_base"), 180-243.0311211, 1e-7)
	approxTurn(t, "ζ", foldAngle(t, away, p, "sail.ridge"), 45.21077084, 5e-9)
}

// Any V-fold agrees with the formulas and is reached exactly when they have a
// solution. At the left base line the diagonal to the other base line leaves at
// atan2(Q, P), between 0 and 180 degrees as θ is. A larger ψ turns the panel
// from it towards the near side, where a V that leans toward has its ridge, so
// the lean tells the roots apart.
func TestSphericalFourBarFormula(t *testing.T) {
	reached := 0
	rapid.Check(t, func(t *rapid.T) {
		arc := func(name string) float64 { return decimal(t, name, 5, 175) }
		links := sphericalLinks{arc("α"), arc("η"), arc("β"), arc("γ")}
		theta := decimal(t, "θ", 1, 179)
		plus, minus, ok := links.output(theta)
		cosZeta := links.transmission(theta)
		if math.Abs(math.Abs(cosZeta)-1) < 1e-6 {
			t.Skip("next to a lock, where the arc cosine loses half its digits")
		}
		for _, lean := range []string{"away", "toward"} {
			a := (&document{mechanisms: []entry{{
				"id": "sail", "kind": "v_fold", "on": entry{"fold": "gutter"}, "at": 10, "lean": lean, "ridge_length": 40,
				"left": vSide(links.gamma, links.beta, 40), "right": vSide(links.alpha, links.eta, 40),
			}}}).compile(t)
			p := poseAt(a, theta)
			if p.AllReached != ok {
				t.Fatalf("reach is %v, formula has a solution: %v", p.Reach, ok)
			}
			if !ok {
				continue
			}
			reached++
			got := p.FoldAngle(a.FoldIndex("sail.left_base")).Degrees()
			want := minus
			if lean == "toward" {
				got, want = 180-got, plus
			}
			if off := math.Remainder(got-want, 360); !(math.Abs(off) <= 1e-7) {
				t.Fatalf("%s: ψ is %.10g, formula gives %.10g and %.10g", lean, got, plus, minus)
			}
			_, cosRidge := p.FoldAngle(a.FoldIndex("sail.ridge")).Sincos()
			if off := cosRidge - cosZeta; !(math.Abs(off) <= 1e-9) {
				t.Fatalf("%s: cos ζ is off by %g", lean, off)
			}
		}
	})
	if reached < 20 {
		t.Errorf("only %d four-bars could be assembled", reached)
	}
}

// Universal joint: α = η = β = 90 degrees, γ the shaft angle δ. Sources: tan ψ'
// = tan θ / cos δ, a driveshaft catalogue, read; speed ratio cos δ /
// (1 - sin²δ cos²θ), at its least 90 degrees from the greatest, Mechanical
// Engineer's Data Handbook, section 2.4.3, read; equal speeds at 44.3 and 135.7
// degrees for δ = 18, a textbook from memory, recomputed as 44.2813 and
// 135.7187. ψ' is ψ + 90 on one branch and ψ - 90 on the other (derived).
func TestUniversalJoint(t *testing.T) {
	const delta = 18
	links := sphericalLinks{alpha: 90, eta: 90, beta: 90, gamma: delta}
	a := links.fold(t, "away")
	out := func(theta float64) float64 { return foldAngle(t, a, pose(t, a, theta), "sail.left_base") + 90 }

	approxTurn(t, "ψ' at 30", out(30), 31.26034651, 5e-9)
	for theta := 5.0; theta < 180; theta += 5 {
		sin, cos := geom.Degrees(theta).Sincos()
		_, cosDelta := geom.Degrees(delta).Sincos()
		want := geom.Angle(math.Atan2(sin/cosDelta, cos)).Degrees()
		approxTurn(t, fmt.Sprintf("ψ' at %g", theta), out(theta), want, 1e-9)
	}
	const h = 1e-3
	speed := func(theta float64) float64 { return math.Remainder(out(theta+h)-out(theta-h), 360) / (2 * h) }
	_, cosDelta := geom.Degrees(delta).Sincos()
	approx(t, "speed ratio at 90", speed(90), cosDelta, 1e-8)
	approx(t, "speed ratio at 0", speed(0.01), 1/cosDelta, 1e-7)
	approx(t, "speed ratio at 180", speed(179.99), 1/cosDelta, 1e-7)
	approx(t, "speed ratio at 44.2813", speed(44.2813), 1, 1e-6)
	approx(t, "speed ratio at 135.7187", speed(135.7187), 1, 1e-6)
}

// The oblique spherical triangle of Machinery's Handbook, 31st edition, p. 119,
// read: side R = 51.291944 opposite the angle D = 59.919444, angle E =
// 85.608889; it prints the side G = 64.046301 opposite E and the third side H =
// 51.297543, and cot(N/2) = 1.7345957 for the angle N opposite H. Its six-digit
// logarithms leave G, H up to 1.4e-4 degrees from the exact 64.046263,
// 51.297409 with N = 59.927005.
//
// A V-fold becomes a triangle when its left base line is not folded: fold,
// ridge and right base line are then the corners, and the left base angle plus
// the left panel angle is one side.
func TestPublishedSphericalTriangle(t *testing.T) {
	const (
		R, D, E          = 51.291944, 59.919444, 85.608889
		printedG         = 64.046301
		printedH         = 51.297543
		exactG, exactH   = 64.046263, 51.297409
		exactN           = 59.927005
		handbookRounding = 1.4e-4
	)
	printedN := 2 * geom.Angle(math.Atan(1/1.7345957)).Degrees()
	for _, row := range []struct {
		name              string
		g, h, tolerance   float64
		n, straightWithin float64
	}{
		// An error in the sides counts about one for one in the angles, twice
		// over where two sides are in error.
		{"sides as printed", printedG, printedH, 3 * handbookRounding, printedN, 3 * handbookRounding},
		{"exact sides", exactG, exactH, 3e-6, exactN, 3e-6},
	} {
		a := sphericalLinks{alpha: row.h, eta: R, beta: row.g - 30, gamma: 30}.fold(t, "away")
		p := pose(t, a, D)
		approxTurn(t, row.name+": fold at the left base line", foldAngle(t, a, p, "sail.left_base"), 0, row.straightWithin)
		approxTurn(t, row.name+": E", 180-foldAngle(t, a, p, "sail.right_base"), E, row.tolerance)
		approxTurn(t, row.name+": N", foldAngle(t, a, p, "sail.ridge"), row.n, row.tolerance)
	}

	// The trap: sin G = sin E sin R / sin D also admits G = 115.953737, with the
	// same sine. With that side the loop does not close as this triangle.
	sinE, _ := geom.Degrees(E).Sincos()
	sinR, _ := geom.Degrees(R).Sincos()
	sinD, _ := geom.Degrees(D).Sincos()
	trap := 180 - geom.Angle(math.Asin(sinE*sinR/sinD)).Degrees()
	approx(t, "the other G", trap, 115.954, 5e-4)
	a := sphericalLinks{alpha: exactH, eta: R, beta: trap - 30, gamma: 30}.fold(t, "away")
	p := poseAt(a, D)
	if p.AllReached && math.Abs(math.Remainder(foldAngle(t, a, p, "sail.left_base"), 360)) < 1 {
		t.Error("the triangle also closes with the supplement of G")
	}
}
