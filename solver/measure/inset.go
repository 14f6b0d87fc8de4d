package measure

import (
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// shutOpening is the opening below which the book counts as shut, in radians:
// far below what can be seen, and above the rounding of an angle.
const shutOpening = 1e-9

// takeInset finds the corner that lies nearest to the edge of the shut page, or
// furthest past it. The page is convex, rounded corners and all, so the corners
// of a panel tell for the whole panel. The spine is no edge as long as nothing
// reaches past it.
func (g *Gauge) takeInset(t *Taken, p *kinematics.Pose) {
	if math.Abs(float64(p.Drive.Opening)) > shutOpening {
		return
	}
	t.Value = math.Inf(1)
	for i := range g.a.Panels {
		if !t.m.thing.holds(g.a, i) {
			continue
		}
		for k, v := range g.a.Panels[i].Outline {
			for e := range Edges {
				if value, slope := g.EdgeInset(e, p.Panels[i].At(v)); value < t.Value && (e != spine || value < 0) {
					t.Value, t.panel, t.corner, t.slope = value, i, k, slope
				}
			}
		}
	}
	if math.IsInf(t.Value, 1) {
		t.Value = math.NaN()
	}
}

// Edges is how many edges a shut page has: foot, head, fore edge, spine, and the
// round corners counted as one.
const Edges = 5

const (
	foot = iota
	head
	foreEdge
	spine
	roundCorner
)

// EdgeInset is how far a point of the shut spread is inside one edge of the page,
// and how that changes with the point. Away from the round corners theirs is
// endless.
func (g *Gauge) EdgeInset(edge int, at geom.Vec3) (inset float64, slope geom.Vec3) {
	s := &g.a.Design.Spread
	switch edge {
	case foot:
		return at.Y, geom.Vec3{Y: 1}
	case head:
		return s.PageHeight - at.Y, geom.Vec3{Y: -1}
	case foreEdge:
		return s.PageWidth - at.Z, geom.Vec3{Z: -1}
	case spine:
		return at.Z, geom.Vec3{Z: 1}
	}
	r := s.CornerRadius
	out := geom.Vec3{Z: at.Z - (s.PageWidth - r), Y: at.Y - (s.PageHeight - r)}
	if low := at.Y - r; low < 0 {
		out.Y = low
	}
	if r == 0 || out.Z <= 0 || out.Y <= 0 && at.Y >= r {
		return math.Inf(1), geom.Vec3{}
	}
	return r - out.Norm(), out.Unit().Neg()
}

// pageRate is how fast the inset of an edge changes with the page itself: the
// second corner of a page's outline goes with its height, the third with its
// width as well.
func (g *Gauge) pageRate(r *kinematics.Rate, slope geom.Vec3) float64 {
	page := g.a.PanelIndex(design.PageLeft)
	height, width := r.FlatRate(page, 1).X, r.FlatRate(page, 2).Y
	return max(0, -slope.Y)*height + max(0, -slope.Z)*width
}
