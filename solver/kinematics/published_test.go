package kinematics

import (
	"fmt"
	"math"
	"testing"

	"foldwright/solver/geom"
)

// Symmetric V-fold, a = 45, p = 60. Source: cos p = cos a·cos ω + sin a·sin ω·
// cos φ/2 with ω from the gutter to the ridge, and sin κ/2 = sin a·sin φ/2 /
// sin p, the spherical right triangles either side of the plane of symmetry;
// values computed from them at 30 digits, independently of this package.
func TestSymmetricVFoldTable(t *testing.T) {
	a := assemble(t, `{"id":"sail","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":45,"panel_angle":60,"base_length":40},"ridge_length":50}`)
	for _, row := range []struct{ opening, omega, kappa float64 }{
		{180, 45, 109.4712206},
		{120, 77.33353, 90},
		{90, 90, 70.52878},
		{60, 98.58186, 48.18969},
		{0, 105, 0},
	} {
		p := pose(t, a, row.opening)
		ends := p.FoldEnds(a.FoldIndex("sail.ridge"))
		c := ends[1].Sub(ends[0]).Unit()
		approx(t, fmt.Sprintf("ω at %g", row.opening), geom.Angle(math.Acos(c.Y)).Degrees(), row.omega, 5e-6)
		approx(t, fmt.Sprintf("κ at %g", row.opening), foldAngle(t, a, p, "sail.ridge"), row.kappa, 5e-6)
	}
}

// Parallel folds. Source: the planar four-bar with the gutter as ground pivot;
// values computed from it at 30 digits, independently of this package.
func TestParallelFoldTables(t *testing.T) {
	tent := assemble(t, `{"id":"shed","kind":"parallel_fold","on":{"fold":"gutter"},"from":10,"to":40,"left":{"base_offset":30,"panel_width":50}}`)
	for _, row := range []struct{ opening, height float64 }{
		{180, 40}, {120, 57.7200}, {90, 66.4901}, {60, 73.6777}, {0, 80},
	} {
		x, z := ridgeInSection(tent, pose(t, tent, row.opening), "shed.ridge")
		approx(t, fmt.Sprintf("x at %g", row.opening), x, 0, 1e-12)
		approx(t, fmt.Sprintf("height at %g", row.opening), z, row.height, 5e-5)
	}

	uneven := assemble(t, `{"id":"shed","kind":"parallel_fold","on":{"fold":"gutter"},"from":10,"to":40,
		"left":{"base_offset":30,"panel_width":55},"right":{"base_offset":45,"panel_width":40}}`)
	x, z := ridgeInSection(uneven, pose(t, uneven, 180), "shed.ridge")
	approx(t, "x at 180", x, 17, 1e-9)
	approx(t, "z at 180", z, 28.565714, 5e-7)
	for _, row := range []struct{ opening, distance float64 }{{90, 66.780322}, {0, 85}} {
		x, z := ridgeInSection(uneven, pose(t, uneven, row.opening), "shed.ridge")
		approx(t, fmt.Sprintf("distance at %g", row.opening), math.Hypot(x, z), row.distance, 5e-7)
	}
}
