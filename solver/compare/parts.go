package compare

import (
	"slices"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
)

// Part is a part that is cut otherwise than before.
type Part struct {
	ID     string
	Change Change
	// Before and After are nil where a design has no such part.
	Before, After *pattern.Part
	// Gained and Lost are the areas of paper, mm², that the outline of a
	// changed part takes in and leaves out, with one panel laid on itself.
	Gained, Lost float64
	// Strays is how far the two outlines are apart at most, mm.
	Strays float64
	// Scores, Slots, Holes and Glue tell what else is elsewhere.
	Scores, Slots, Holes, Glue bool
}

// sameOutline is how far outlines may stray, mm, and still be cut the same: a
// tenth of the finest step of a cutter. Common practice.
const sameOutline = 0.0025

// Parts lists the parts that differ, in the order of the later pattern, then
// those it lost.
func Parts(before, after *kinematics.Assembly, was, is *pattern.Pattern) []Part {
	var out []Part
	for i := range is.Parts {
		p := Part{ID: is.Parts[i].ID, Change: Added, After: &is.Parts[i], Before: was.Part(is.Parts[i].ID)}
		if p.Before != nil {
			p.Change = Changed
			if !p.compare(before, after) {
				continue
			}
		}
		out = append(out, p)
	}
	for i := range was.Parts {
		if is.Part(was.Parts[i].ID) == nil {
			out = append(out, Part{ID: was.Parts[i].ID, Change: Removed, Before: &was.Parts[i]})
		}
	}
	return out
}

// compare fills in how the part changed, and tells whether it did.
func (p *Part) compare(before, after *kinematics.Assembly) bool {
	move := onto(before, after, p.Before, p.After)
	earlier, later := p.Before.Outline.Transform(move), p.After.Outline
	p.Strays = max(strays(earlier, later), strays(later, earlier))
	if p.Strays > sameOutline {
		p.Gained, p.Lost = beyond(later, earlier), beyond(earlier, later)
	}
	p.Holes = elsewhere(move, contours(p.Before.Holes, p.Before.Cuts), contours(p.After.Holes, p.After.Cuts))
	p.Slots = elsewhere(move, slotPaths(p.Before), slotPaths(p.After))
	p.Glue = elsewhere(move, gluePaths(p.Before), gluePaths(p.After))
	p.Scores = elsewhere(move, scorePaths(p.Before), scorePaths(p.After)) || !slices.Equal(kinds(p.Before), kinds(p.After))
	return p.Strays > sameOutline || p.Holes || p.Slots || p.Glue || p.Scores || p.Before.Count != p.After.Count ||
		p.Before.Grain.Sub(p.After.Grain).Norm() > 1e-9
}

// onto lays the earlier part on the later so that the first panel they have in
// common lies on itself.
func onto(before, after *kinematics.Assembly, was, is *pattern.Part) geom.Placement {
	for _, later := range is.Panels {
		for _, earlier := range was.Panels {
			if before.Panels[earlier.Panel].ID == after.Panels[later.Panel].ID {
				return earlier.Place.Inverse().Then(later.Place)
			}
		}
	}
	return geom.Identity
}

// strays is how far corners of a are from the nearest place on b, at most.
func strays(a, b geom.Path) float64 {
	far := 0.0
	rings := b.Flatten(kinematics.OutlineTolerance / 10)
	for _, ring := range a.Flatten(kinematics.OutlineTolerance / 10) {
		for _, p := range ring {
			near := geom.PolygonDistance(rings[0], p)
			for _, other := range rings[1:] {
				near = min(near, geom.PolygonDistance(other, p))
			}
			far = max(far, near)
		}
	}
	return far
}

// beyond is the area of a outside b; 0 where the paths do not let it be told.
func beyond(a, b geom.Path) float64 {
	rest, err := geom.Difference(a, b)
	if err != nil {
		return 0
	}
	return rest.Area()
}

// elsewhere tells whether any contour of one list is not in the other, in its
// order.
func elsewhere(move geom.Placement, was, is []geom.Path) bool {
	return !slices.EqualFunc(was, is, func(a, b geom.Path) bool {
		a = a.Transform(move)
		return len(a) == len(b) && max(strays(a, b), strays(b, a)) <= sameOutline
	})
}

func contours(paths ...geom.Path) []geom.Path {
	var out []geom.Path
	for _, p := range paths {
		for i := range p {
			out = append(out, p[i:i+1])
		}
	}
	return out
}

func slotPaths(p *pattern.Part) []geom.Path {
	return pathsOf(p.Slots, func(s *pattern.Slot) geom.Path { return s.Path })
}

func gluePaths(p *pattern.Part) []geom.Path {
	return pathsOf(p.Glue, func(g *pattern.GlueArea) geom.Path { return g.Path })
}

func scorePaths(p *pattern.Part) []geom.Path {
	return pathsOf(p.Creases, func(c *pattern.Crease) geom.Path {
		return geom.PolylinePath([]geom.Vec2{c.From, c.To}, false)
	})
}

func pathsOf[T any](list []T, path func(*T) geom.Path) []geom.Path {
	out := make([]geom.Path, len(list))
	for i := range list {
		out[i] = path(&list[i])
	}
	return out
}

func kinds(p *pattern.Part) []pattern.CreaseKind {
	out := make([]pattern.CreaseKind, len(p.Creases))
	for i := range p.Creases {
		out[i] = p.Creases[i].Kind
	}
	return out
}
