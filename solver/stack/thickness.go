package stack

import (
	"cmp"
	"slices"

	"foldwright/solver/geom"
)

// Pile is how much lies in a place.
type Pile struct {
	Layers, Films int     // of paper and of glue
	Thickness     float64 // mm
}

// Region is an area of the shut page with one pile: X from the gutter, Y up it.
type Region struct {
	Pile
	Area geom.Path
}

// Spot is a place of the shut page.
type Spot struct {
	Pile
	Point geom.Vec3
	// Pieces are the layers there, from the left page to the right.
	Pieces []int
}

// maxCrossings bounds the exact map. A crowded spread has a few thousand
// crossings of outlines; twenty thousand take about a second.
const maxCrossings = 20_000

// mapTolerance is how far the outlines of the map may stray from their curves,
// mm: a pile does not end more sharply than paper is thick.
const mapTolerance = 0.1

// pileOf is the thickness of layers and films. Common practice: paper springs
// back and lies 1.1 to 1.25 times as thick as its caliper, a film of glue adds
// 0.05 to 0.1 mm.
func (s *stack) pileOf(layers, films int) Pile {
	paper := &s.a.Design.Paper
	return Pile{layers, films, float64(layers)*paper.Caliper*paper.Springback + float64(films)*paper.GlueFilm}
}

// measure fills in the map and the thickest place.
func (s *stack) measure(r *Result) {
	regions, exact := s.regions()
	if !exact {
		regions = s.rows()
	}
	r.Exact = exact
	slices.SortStableFunc(regions, func(a, b Region) int {
		return cmp.Or(cmp.Compare(b.Thickness, a.Thickness), cmp.Compare(b.Layers, a.Layers))
	})
	for i := range regions {
		if at, ok := widest(&regions[i]); ok {
			r.Thickest = Spot{Pile: regions[i].Pile, Point: world(at), Pieces: s.pile(at)}
			r.Between = s.between(&r.Thickest, at)
			break
		}
	}
	if s.o.Map {
		r.Map = regions
	}
}

// between is how thick what lies between the pages is in a place.
func (s *stack) between(spot *Spot, at geom.Vec2) float64 {
	left, right := slices.Index(spot.Pieces, 0), slices.Index(spot.Pieces, 1)
	if left < 0 || right < left {
		return 0
	}
	films := 0
	for i := range s.glue {
		g := &s.glue[i]
		place := slices.Index(spot.Pieces, s.pieceOf[g.panel])
		outside := place < left || place > right || place == left && g.facing < 0 || place == right && g.facing > 0
		if !outside && geom.RingsContain(g.rings, at) {
			films++
		}
	}
	return s.pileOf(right-left-1, films).Thickness
}

// widest is a point well inside the largest part of a region that is wider than
// what two edges cut to one line may miss each other by.
func widest(r *Region) (at geom.Vec2, ok bool) {
	most := 0.0
	for _, area := range geom.Areas(r.Area.Flatten(mapTolerance)) {
		if width(area.Outer) < grazing {
			continue
		}
		for _, part := range geom.ConvexParts(area.Rings()) {
			if size := geom.PolygonArea(part); size > most {
				at, ok, most = middle(part), true, size
			}
		}
	}
	return at, ok
}

// regions cuts up the page by the outlines of all pieces and glued areas; false
// when there are too many.
func (s *stack) regions() ([]Region, bool) {
	var paths []geom.Path
	for i := range s.pieces {
		paths = append(paths, pathOf(s.pieces[i].rings))
	}
	for i := range s.glue {
		paths = append(paths, pathOf(s.glue[i].rings))
	}
	if s.crossings() > maxCrossings {
		return nil, false
	}
	cut, err := geom.Arrange(paths)
	if err != nil {
		return nil, false
	}
	pieces := len(s.pieces)
	key := func(set geom.PathSet) [2]int {
		return [2]int{set.CountFrom(0, pieces), set.CountFrom(pieces, len(paths))}
	}
	var keys [][2]int
	seen := map[[2]int]bool{{}: true}
	cut.Sets(func(set geom.PathSet) {
		if k := key(set); !seen[k] {
			seen[k] = true
			keys = append(keys, k)
		}
	})
	var out []Region
	for _, k := range keys {
		if s.halted() {
			return nil, true
		}
		area, err := cut.Area(func(set geom.PathSet) bool { return key(set) == k })
		if err != nil {
			return nil, false
		}
		if len(area) > 0 {
			out = append(out, Region{s.pileOf(k[0], k[1]), area})
		}
	}
	return out, true
}

// crossings counts the crossings of the outlines, up to just more than are
// taken.
func (s *stack) crossings() int {
	type side struct{ a, b geom.Vec2 } // a is the left end
	var sides []side
	add := func(rings [][]geom.Vec2) {
		for _, ring := range rings {
			for i, p := range ring {
				q := ring[(i+1)%len(ring)]
				if q.X < p.X {
					p, q = q, p
				}
				sides = append(sides, side{p, q})
			}
		}
	}
	for i := range s.pieces {
		add(s.pieces[i].rings)
	}
	for i := range s.glue {
		add(s.glue[i].rings)
	}
	if len(sides) > maxCrossings {
		return len(sides)
	}
	slices.SortFunc(sides, func(a, b side) int { return cmp.Compare(a.a.X, b.a.X) })
	count := 0
	for i, p := range sides {
		for _, q := range sides[i+1:] {
			if q.a.X > p.b.X || count > maxCrossings {
				break
			}
			if geom.SegmentDistance(p.a, p.b, q.a, q.b) == 0 {
				count++
			}
		}
	}
	return count
}
