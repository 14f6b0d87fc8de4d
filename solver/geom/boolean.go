package geom

import "errors"

// The area operations work on fine polygons and put the curves back afterwards:
//
//  1. node: flatten every path, round to a grid, and split all chords where
//     they meet, so that nothing meets but at vertices (boolean_node.go);
//  2. overlay: tell for each edge which areas lie on its sides, and keep those
//     between inside and outside, by exact arithmetic (boolean_overlay.go);
//  3. rebuild: replace each run of chords that came from one curve by that
//     curve's own piece, ending at the true crossing (boolean_rebuild.go).

const (
	// booleanFlatness is the chord error of the polygons, mm. It decides only
	// which curves meet, not where: crossings are refined on the curves. Two
	// micrometres is a hundredth of the thinnest paper.
	booleanFlatness = 0.002
	// booleanGrid is the coordinate grid, mm. On a grid the tests of the
	// overlay are exact; a tenth of a micrometre is below anything cut.
	booleanGrid = 0.0001
	// booleanWeld is the distance at which points are one point and a point
	// is on a straight edge, in grid units. Rounding moves a point by up to
	// √½ units, and an edge between rounded points as much: 1.42 together.
	// The rest allows for coordinates that went through placements.
	booleanWeld = 3
	// booleanLimit is the largest coordinate, mm: 5e8 grid units. Differences
	// of doubled coordinates reach 2e9, and two products of them 8e18, which
	// still fits 64 bits.
	booleanLimit = 50_000
	// booleanChords is the most chords taken. Beyond it an operation could
	// take seconds; real parts have a few thousand.
	booleanChords = 60_000
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
	// ErrPathTangled means that the outlines cross so often within a few
	// micrometres that no clean set of vertices was found.
	ErrPathTangled = errors.New("paths are too tangled for an area operation")
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
	return combine(paths, func(s PathSet) bool { return s.CountFrom(0, len(paths)) > 0 })
}

// Difference is the area of a that is not in b.
func Difference(a, b Path) (Path, error) {
	return combine([]Path{a, b}, func(s PathSet) bool { return s[0] == 0b01 })
}

// Intersection is the area that a and b share.
func Intersection(a, b Path) (Path, error) {
	return combine([]Path{a, b}, func(s PathSet) bool { return s[0] == 0b11 })
}

func combine(paths []Path, inside func(PathSet) bool) (Path, error) {
	cut, err := Arrange(paths)
	if err != nil {
		return nil, err
	}
	return cut.Area(inside)
}
