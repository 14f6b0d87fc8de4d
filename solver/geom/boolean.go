package geom

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	sf "github.com/peterstace/simplefeatures/geom"
)

// The area operations work on fine polygons and put the curves back afterwards:
//
//  1. node: flatten every path, round to a grid, and split all chords where
//     they meet, so that the overlay sees no near misses (boolean_node.go);
//  2. overlay the polygons (this file);
//  3. rebuild: replace each run of chords that came from one curve by that
//     curve's own piece, ending at the true crossing (boolean_rebuild.go).

const (
	// booleanFlatness is the chord error of the polygons, mm. It decides only
	// which curves meet, not where: crossings are refined on the curves. Two
	// micrometres is a hundredth of the thinnest paper.
	booleanFlatness = 0.002
	// booleanGrid is the coordinate grid, mm. Polygon overlay is reliable on
	// a grid and not off it; a tenth of a micrometre is below anything cut.
	booleanGrid = 0.0001
	// booleanWeld is the distance at which points are one point and a point
	// is on a straight edge, in grid units. Rounding moves a point by up to
	// √½ units, and an edge between rounded points as much: 1.42 together.
	// The rest allows for coordinates that went through placements.
	booleanWeld = 3
	// booleanLimit is the largest coordinate, mm. Products of coordinate
	// differences in grid units, (2·5e8)², then fit 64 bits with room to add.
	booleanLimit = 50_000
	// booleanChords is the most chords taken. Beyond it an operation would
	// take seconds; real parts have a few thousand.
	booleanChords = 200_000
	// booleanSliver is the mean width, twice area by perimeter, below which an
	// output ring is a leftover of chords that did not quite coincide, mm.
	booleanSliver = booleanFlatness
)

var (
	// ErrPathTooFar means that a path reaches beyond the 50 m within which
	// area operations are exact.
	ErrPathTooFar = errors.New("path reaches further than 50 m from the origin")
	// ErrPathTooFine means that the paths need more chords than are taken.
	ErrPathTooFine = errors.New("paths have too many curves for an area operation")
)

// Union is the area covered by any of the paths.
//
// Like all area operations it reads each path by the even-odd rule, open
// contours closed by a straight line, and keeps curves as curves. Outer rings
// of the result run anticlockwise and come before their holes, which run
// clockwise; every ring is closed and starts at its lowest, then leftmost,
// vertex, and rings are sorted by their start. Gaps and overlaps of up to
// 0.0003 mm between straight edges close; slivers thinner than 0.002 mm go.
func Union(paths ...Path) (Path, error) {
	return overlay(paths, func(areas []sf.Geometry) (sf.Geometry, error) { return sf.UnionMany(areas) })
}

// Difference is the area of a that is not in b.
func Difference(a, b Path) (Path, error) {
	return overlay([]Path{a, b}, func(areas []sf.Geometry) (sf.Geometry, error) { return sf.Difference(areas[0], areas[1]) })
}

// Intersection is the area that a and b share.
func Intersection(a, b Path) (Path, error) {
	return overlay([]Path{a, b}, func(areas []sf.Geometry) (sf.Geometry, error) { return sf.Intersection(areas[0], areas[1]) })
}

func overlay(paths []Path, combine func([]sf.Geometry) (sf.Geometry, error)) (Path, error) {
	n := newNoder()
	for i, p := range paths {
		if err := n.add(i, p); err != nil {
			return nil, err
		}
	}
	n.node()
	areas := make([]sf.Geometry, len(paths))
	for i, loops := range n.loops(len(paths)) {
		areas[i] = n.area(loops)
	}
	result, err := combine(areas)
	if err != nil {
		return nil, fmt.Errorf("overlaying paths: %w", err)
	}
	return n.rebuild(result), nil
}

// area nests the loops by the even-odd rule: those inside an even number of
// others are outer rings, the rest are holes of the smallest loop around them.
func (n *noder) area(loops [][]int32) sf.Geometry {
	type ring struct {
		loop   []int32
		box    [4]int64
		area   int64
		inside []int
	}
	rings := make([]ring, len(loops))
	for i, loop := range loops {
		rings[i] = ring{loop: loop, box: n.loopBox(loop), area: n.loopArea(loop)}
		if rings[i].area < 0 {
			rings[i].area = -rings[i].area
		}
	}
	for i := range rings {
		r := &rings[i]
		for j := range rings {
			if o := &rings[j]; i != j && boxInside(r.box, o.box) && n.loopContains(o.loop, r.loop) {
				r.inside = append(r.inside, j)
			}
		}
	}
	holes := make([][]sf.LineString, len(rings))
	for i := range rings {
		if len(rings[i].inside)%2 == 1 {
			host := slices.MinFunc(rings[i].inside, func(a, b int) int { return cmp.Compare(rings[a].area, rings[b].area) })
			holes[host] = append(holes[host], n.lineString(rings[i].loop))
		}
	}
	var polygons []sf.Polygon
	for i := range rings {
		if len(rings[i].inside)%2 == 0 {
			polygons = append(polygons, sf.NewPolygon(append([]sf.LineString{n.lineString(rings[i].loop)}, holes[i]...)))
		}
	}
	return sf.NewMultiPolygon(polygons).AsGeometry()
}

func (n *noder) lineString(loop []int32) sf.LineString {
	coords := make([]float64, 0, 2*len(loop)+2)
	for i := 0; i <= len(loop); i++ {
		v := n.vertices[loop[i%len(loop)]]
		coords = append(coords, float64(v.x), float64(v.y))
	}
	return sf.NewLineString(sf.NewSequence(coords, sf.DimXY))
}

// polygons lists the areal parts of an overlay's result; shared edges and
// corners of an intersection come as lines and points and are no area.
func polygons(g sf.Geometry) []sf.Polygon {
	switch g.Type() {
	case sf.TypePolygon:
		return []sf.Polygon{g.MustAsPolygon()}
	case sf.TypeMultiPolygon:
		return g.MustAsMultiPolygon().Dump()
	case sf.TypeGeometryCollection:
		var all []sf.Polygon
		for _, part := range g.MustAsGeometryCollection().Dump() {
			all = append(all, polygons(part)...)
		}
		return all
	}
	return nil
}
