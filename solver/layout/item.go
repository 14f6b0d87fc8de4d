package layout

import (
	"errors"
	"fmt"
	"math"

	"foldwright/solver/geom"
)

// Item is one shape to be placed Count times.
type Item struct {
	ID string
	// Rings is the outline as closed polygons, the outer one first and holes
	// after it, in any direction.
	Rings [][]geom.Vec2
	Count int // 0 is taken as 1
	// Rotations lists the turns allowed. None means as drawn, or, with a
	// grain, both ways along it.
	Rotations []geom.Angle
	// Grain is the direction of the fibres in the item's coordinates. Where
	// the sheet has one too, only turns that bring both together are allowed.
	Grain *geom.Angle
	// Group names items that must lie on one sheet, all copies of all of them.
	Group string
	Stock string // the stock it must be cut from
}

// Sheet is a kind of sheet to cut from.
type Sheet struct {
	ID            string
	Stock         string
	Width, Height float64 // along x and y
	Margin        float64
	Grain         *geom.Angle // direction of the fibres
	Count         int         // sheets at hand; 0 for as many as needed
	Price         float64     // of one; 0 when unknown, then area counts
	KeepOut       []geom.Box2 // where nothing may lie, as under registration marks
}

// Options guide a run. The zero value is usable.
type Options struct {
	// Spacing is the least distance between parts. Margins hold against the
	// sheet alone.
	Spacing float64
	// Slack is how far outlines may be rounded outward to have fewer corners.
	// Curves flattened to many points want a tenth of a millimetre or two:
	// the work grows with the product of the corners of two parts. 0 keeps
	// every corner.
	Slack float64
	Kept  *Kept // shared by layouts of the same outlines; may be nil
	Seed  uint64
	// Iterations bounds the work: one is a pass over the parts that overlap.
	// Zero is DefaultIterations when Stop is nil and no bound otherwise.
	Iterations int
	// Stop is asked often; when it gives true the best layout so far is
	// returned.
	Stop func() bool
	// Hurry is asked as often; when it gives true, what has no place yet is laid
	// in rows by the boxes of the parts, which is quick, and that is the layout.
	// Strips are not hurried.
	Hurry func() bool
	// Abandon is asked as often; when it gives true nobody waits for the layout
	// any more, and whatever ends it soonest is done: neither it nor Kept is
	// good for anything then.
	Abandon func() bool
	// Progress is told how many passes are done of those that Iterations allows.
	Progress func(done, of int)
}

// sound tells whether the lengths make sense.
func (o *Options) sound() bool {
	return o.Spacing >= 0 && o.Spacing <= largest && o.Slack >= 0 && o.Slack <= largest
}

// DefaultIterations bounds a run that nothing else bounds.
const DefaultIterations = 2000

// Placement is one copy of an item: turned by Rotation about its origin, which
// goes to At.
type Placement struct {
	Item     int // index
	Copy     int // from 0
	Sheet    int // index in Layout.Used; 0 for a strip
	Rotation geom.Angle
	At       geom.Vec2
}

// Apply gives rings where the placement puts them.
func (p *Placement) Apply(rings [][]geom.Vec2) [][]geom.Vec2 {
	m := geom.Turn(p.Rotation)
	m.T = p.At
	out := make([][]geom.Vec2, len(rings))
	for i, r := range rings {
		out[i] = make([]geom.Vec2, len(r))
		for j, v := range r {
			out[i][j] = m.Apply(v)
		}
	}
	return out
}

// Code names what is wrong with the input.
type Code string

const (
	BadOutline  Code = "bad_outline"   // fewer than three points, crossing itself, or no area
	BadHole     Code = "bad_hole"      // a hole outside its outline or across another
	BadCount    Code = "bad_count"     // negative, or too many parts in all
	BadSheet    Code = "bad_sheet"     // no size, or nothing left inside the margin
	BadSpacing  Code = "bad_spacing"   // spacing or slack negative or not a number
	TooWide     Code = "too_wide"      // does not fit the strip at any turn allowed
	NoSuchStock Code = "no_such_stock" // no sheet of the stock the item asks for
)

// Fault is a fault of the input.
type Fault struct {
	Code  Code
	Item  int // index, -1 when it is not about an item
	Sheet int // index, -1 when it is not about a sheet
	ID    string
}

func (f *Fault) Error() string {
	switch {
	case f.Item >= 0:
		return fmt.Sprintf("layout: item %d %q: %s", f.Item, f.ID, f.Code)
	case f.Sheet >= 0:
		return fmt.Sprintf("layout: sheet %d %q: %s", f.Sheet, f.ID, f.Code)
	}
	return "layout: " + string(f.Code)
}

func itemFault(code Code, i int, items []Item) error {
	return &Fault{Code: code, Item: i, Sheet: -1, ID: items[i].ID}
}

// MaxParts bounds the parts of one layout: weights are kept for every pair.
const MaxParts = 2000

// count is how often the item is wanted.
func (it *Item) count() int {
	if it.Count == 0 {
		return 1
	}
	return it.Count
}

// Turns lists the rotations allowed on a sheet with the given grain, or none.
func (it *Item) Turns(sheet *geom.Angle) []geom.Angle {
	if it.Grain == nil || sheet == nil {
		if len(it.Rotations) == 0 {
			return []geom.Angle{0}
		}
		return it.Rotations
	}
	along := *sheet - *it.Grain
	if len(it.Rotations) == 0 {
		return []geom.Angle{along, along + math.Pi}
	}
	var out []geom.Angle
	for _, r := range it.Rotations {
		if math.Abs(math.Sin(float64(r-along))) < grainTolerance {
			out = append(out, r)
		}
	}
	return out
}

// grainTolerance is the sine of the angle by which a turn may miss the grain:
// half a degree, finer than paper is made.
const grainTolerance = 0.0087

// Steps lists the rotations 0, step, 2 step and so on below a full turn.
func Steps(step geom.Angle) []geom.Angle {
	if !(step > 0) {
		return []geom.Angle{0}
	}
	n := int(math.Round(2 * math.Pi / float64(step)))
	out := make([]geom.Angle, max(1, n))
	for i := range out {
		out[i] = geom.Angle(i) * step
	}
	return out
}

// Area is the area of rings, holes taken off.
func Area(rings [][]geom.Vec2) float64 {
	a := 0.0
	for i, r := range rings {
		if s := math.Abs(geom.PolygonArea(r)); i == 0 {
			a = s
		} else {
			a -= s
		}
	}
	return a
}

// errInternal is a layout that failed its own check; it is a fault of the
// program and never of the input.
var errInternal = errors.New("layout: no valid layout was found")
