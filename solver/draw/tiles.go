package draw

import (
	"fmt"
	"math"

	"foldwright/solver/geom"
)

// Orientation is how a sheet is held.
type Orientation uint8

const (
	AutoOrientation Orientation = iota // whichever needs fewer sheets, portrait if equal
	Portrait
	Landscape
)

const (
	// defaultMargin keeps clear of what ordinary printers cannot reach, 3 to
	// 6 mm (common practice), and leaves a rim to hold.
	defaultMargin = 10.0
	// defaultOverlap is a strip wide enough to glue and to line up by eye.
	defaultOverlap = 10.0
	// maxSheets is more than anybody glues together.
	maxSheets = 400
	// tileSlack lets a drawing that fits a sheet but for rounding fit it, mm.
	tileSlack = 1e-6
)

// OptionError is an option that no file can follow.
type OptionError struct {
	Field  string // name of the option
	Reason string
}

func (e *OptionError) Error() string { return "option " + e.Field + ": " + e.Reason }

// tile is one sheet's share of a drawing: the window of the drawing's
// coordinates that it shows. Row 1, column 1 is the upper left.
type tile struct {
	row, column int
	window      geom.Box2
}

// tiling is a drawing spread over sheets of one size.
type tiling struct {
	page          geom.Vec2
	area          geom.Box2 // where the window lies on the page, page coordinates in mm
	rows, columns int
	overlap       float64
	tiles         []tile
}

// tileDrawing spreads a box over sheets whose window is `area`. Neighbours
// share `overlap`, and what the grid has to spare is left evenly on all sides.
func tileDrawing(box geom.Box2, page geom.Vec2, area geom.Box2, overlap float64) (*tiling, error) {
	window, size := area.Size(), box.Size()
	if area.Empty() || min(window.X, window.Y) <= overlap {
		return nil, &OptionError{"paper", fmt.Sprintf("%g by %g mm leaves no room for the drawing between margins and overlaps", page.X, page.Y)}
	}
	columns, rows := sheetsFor(size.X, window.X, overlap), sheetsFor(size.Y, window.Y, overlap)
	if columns*rows > maxSheets {
		return nil, &OptionError{"paper", fmt.Sprintf("%g by %g mm would need %.0f sheets, at most %d are made", page.X, page.Y, columns*rows, maxSheets)}
	}
	t := &tiling{page: page, area: area, rows: int(rows), columns: int(columns), overlap: overlap}
	step := geom.Vec2{X: window.X - overlap, Y: window.Y - overlap}
	spare := geom.Vec2{X: columns*step.X + overlap - size.X, Y: rows*step.Y + overlap - size.Y}
	left, top := box.Min.X-spare.X/2, box.Max.Y+spare.Y/2
	for r := range t.rows {
		for c := range t.columns {
			upper := geom.Vec2{X: left + float64(c)*step.X, Y: top - float64(r)*step.Y}
			t.tiles = append(t.tiles, tile{r + 1, c + 1, geom.Box2{
				Min: geom.Vec2{X: upper.X, Y: upper.Y - window.Y}, Max: geom.Vec2{X: upper.X + window.X, Y: upper.Y},
			}})
		}
	}
	return t, nil
}

// sheetsFor is the number of windows that cover a length.
func sheetsFor(length, window, overlap float64) float64 {
	return max(1, math.Ceil((length-overlap-tileSlack)/(window-overlap)))
}
