package draw

import (
	"math"
	"slices"

	"foldwright/solver/geom"
)

const (
	// coincidence is how far lines may be apart and still be one line, mm:
	// well below the 0.025 mm step of a cutter, well above the rounding of
	// coordinates that went through placements.
	coincidence = 0.01
	// CutSliver is the length below which a line is a crumb left over between
	// others, mm: a blade's tip is wider.
	CutSliver = 0.1
)

// Removal tells what RemoveDuplicateLines took away, mm.
type Removal struct {
	Duplicates float64 // length of lines that another line covers
	Slivers    float64 // length of crumbs
}

// RemoveDuplicateLines gives a copy of the drawing in which no line is worked
// twice: where two cuts, perforations or creases of one kind lie on each other,
// also of different parts, the first one stays; under a cut, creases and
// perforations go. What is left shorter than CutSliver goes too.
//
// Straight lines and circular arcs are compared piece by piece, other curves
// only whole. A contour that loses a piece is open afterwards, so measure the
// areas of parts before. Areas (marks with Fill) and words stay as they are.
func RemoveDuplicateLines(d *Drawing) (*Drawing, Removal, error) {
	if err := d.check(); err != nil {
		return nil, Removal{}, err
	}
	out := d.clone()
	var gone Removal
	size := d.Extent().Size()
	known := lineIndex{cell: max(minIndexCell, max(size.X, size.Y)/indexCells), cells: map[[2]int][]int{}}
	for _, op := range []Operation{Cut, Perforate, ScoreMountain, ScoreValley} {
		for i := range out.Parts {
			p := &out.Parts[i]
			for j := range p.Marks {
				m := &p.Marks[j]
				if m.Op != op || m.Fill {
					continue
				}
				var kept geom.Path
				for k := range m.Path {
					kept = append(kept, known.reduce(&m.Path[k], op, p.Place, &gone)...)
				}
				m.Path = kept
			}
		}
	}
	for i := range out.Parts {
		p := &out.Parts[i]
		p.Marks = slices.DeleteFunc(p.Marks, func(m Mark) bool { return len(m.Path) == 0 })
	}
	return out, gone, nil
}

// clone copies what the passes change; the paths' segments are shared.
func (d *Drawing) clone() *Drawing {
	out := *d
	out.Parts = slices.Clone(d.Parts)
	for i := range out.Parts {
		p := &out.Parts[i]
		p.Marks = slices.Clone(p.Marks)
		for j := range p.Marks {
			p.Marks[j].Path = slices.Clone(p.Marks[j].Path)
		}
	}
	return &out
}

// lineUnit is one line, arc or whole curve of a contour.
type lineUnit struct {
	op    Operation
	k     stroke
	curve *geom.Segment // whole, when k alone does not describe it; k has its ends
}

func (u *lineUnit) path() geom.Path {
	if u.curve == nil {
		return strokesPath([]stroke{u.k}, false)
	}
	return geom.Path{{Start: u.k.a, Segments: []geom.Segment{*u.curve}}}
}

// unitsOf takes a contour apart into units, the closing line included.
func unitsOf(c *geom.Contour, op Operation) []lineUnit {
	var out []lineUnit
	at := c.Start
	for i := range c.Segments {
		s := &c.Segments[i]
		if s.Kind == geom.Line || s.Kind == geom.Arc && s.RX == s.RY {
			one := geom.Contour{Start: at, Segments: c.Segments[i : i+1]}
			for _, k := range strokesOf(&one, coincidence) {
				out = append(out, lineUnit{op: op, k: k})
			}
		} else {
			out = append(out, lineUnit{op, stroke{a: at, b: s.To}, s})
		}
		at = s.To
	}
	if c.Closed && at != c.Start {
		out = append(out, lineUnit{op: op, k: stroke{a: at, b: c.Start}})
	}
	return out
}

const (
	minIndexCell = 20.0 // mm
	indexCells   = 32   // along the longer side of a drawing
)

// lineIndex finds the lines near a box.
type lineIndex struct {
	lines []lineUnit
	cell  float64
	cells map[[2]int][]int
}

func (x *lineIndex) each(box geom.Box2, f func(key [2]int)) {
	box = box.Grow(coincidence)
	low, high := box.Min.Mul(1/x.cell), box.Max.Mul(1/x.cell)
	for i := int(math.Floor(low.X)); i <= int(math.Floor(high.X)); i++ {
		for j := int(math.Floor(low.Y)); j <= int(math.Floor(high.Y)); j++ {
			f([2]int{i, j})
		}
	}
}

func (x *lineIndex) add(u lineUnit, box geom.Box2) {
	x.each(box, func(key [2]int) { x.cells[key] = append(x.cells[key], len(x.lines)) })
	x.lines = append(x.lines, u)
}

func (x *lineIndex) near(box geom.Box2) []int {
	var out []int
	x.each(box, func(key [2]int) { out = append(out, x.cells[key]...) })
	slices.Sort(out)
	return slices.Compact(out)
}

// span is a piece of a unit, in fractions of its length.
type span struct{ from, to float64 }

// keptPiece is a piece of a unit that stays.
type keptPiece struct {
	unit int
	span
}

// reduce gives what is left of a contour once the known lines are taken off,
// and adds its lines to the known.
func (x *lineIndex) reduce(c *geom.Contour, op Operation, place geom.Placement, gone *Removal) geom.Path {
	units := unitsOf(c, op)
	whole := geom.Path{*c}
	if whole.Length()*place.Factor() < CutSliver {
		gone.Slivers += whole.Length() * place.Factor()
		return nil
	}
	var kept []keptPiece
	lost := false
	for i, u := range units {
		placed := u.placed(place)
		box := placed.path().Bounds()
		var covered []span
		for _, n := range x.near(box) {
			if other := &x.lines[n]; other.op == op || other.op == Cut {
				covered = append(covered, placed.coveredBy(other)...)
			}
		}
		x.add(placed, box)
		length := placed.path().Length()
		left := 0.0
		for _, s := range remaining(covered, coincidence/max(length, coincidence)) {
			kept = append(kept, keptPiece{i, s})
			left += s.to - s.from
		}
		if left < 1 {
			lost = true
			gone.Duplicates += length * (1 - left)
		}
	}
	if !lost {
		return whole
	}
	return runs(c, units, kept, place.Factor(), gone)
}

func (u lineUnit) placed(m geom.Placement) lineUnit {
	if u.curve != nil {
		p := u.path().Transform(m)
		u.curve = &p[0].Segments[0]
	}
	u.k.a, u.k.b = m.Apply(u.k.a), m.Apply(u.k.b)
	if m.Mirror {
		u.k.bulge = -u.k.bulge
	}
	return u
}

// remaining is what spans leave of 0..1; what is closer than slack to an end or
// a neighbour joins it.
func remaining(covered []span, slack float64) []span {
	slices.SortFunc(covered, func(a, b span) int {
		if a.from < b.from {
			return -1
		} else if a.from > b.from {
			return 1
		}
		return 0
	})
	var out []span
	at := 0.0
	for _, s := range covered {
		if s.from-at > slack {
			out = append(out, span{at, s.from})
		}
		at = max(at, s.to)
	}
	if 1-at > slack {
		out = append(out, span{at, 1})
	}
	return out
}

// runs joins kept pieces that follow one another into open contours, across
// the start of a closed contour too, and drops crumbs.
func runs(c *geom.Contour, units []lineUnit, kept []keptPiece, factor float64, gone *Removal) geom.Path {
	var groups [][]keptPiece
	for _, k := range kept {
		if n := len(groups); n > 0 {
			last := groups[n-1][len(groups[n-1])-1]
			if last.to == 1 && k.from == 0 && k.unit == last.unit+1 {
				groups[n-1] = append(groups[n-1], k)
				continue
			}
		}
		groups = append(groups, []keptPiece{k})
	}
	if n := len(groups); c.Closed && n > 1 {
		first, last := groups[0][0], groups[n-1][len(groups[n-1])-1]
		if first.unit == 0 && first.from == 0 && last.unit == len(units)-1 && last.to == 1 {
			groups[0] = append(groups[n-1], groups[0]...)
			groups = groups[:n-1]
		}
	}
	var out geom.Path
	for _, g := range groups {
		var run geom.Contour
		for i, piece := range g {
			u := units[piece.unit]
			k := u.k.piece(piece.from, piece.to)
			if i == 0 {
				run.Start = k.a
			}
			if u.curve != nil {
				run.Segments = append(run.Segments, *u.curve)
			} else {
				run.Segments = k.segments(run.Segments)
			}
		}
		p := geom.Path{run}
		if length := p.Length() * factor; length < CutSliver {
			gone.Slivers += length
			continue
		}
		out = append(out, p...)
	}
	return out
}

// coveredBy is the pieces of u that lie on another line.
func (u *lineUnit) coveredBy(o *lineUnit) []span {
	switch {
	case u.curve != nil || o.curve != nil:
		if u.curve != nil && o.curve != nil && sameCurve(u, o) {
			return []span{{0, 1}}
		}
		return nil
	case u.k.bulge == 0 && o.k.bulge == 0:
		return lineOnLine(u.k, o.k)
	case u.k.bulge != 0 && o.k.bulge != 0:
		return arcOnArc(u.k, o.k)
	}
	return nil
}

func lineOnLine(u, o stroke) []span {
	length := u.chord().Norm()
	along := u.chord().Unit()
	a, b := o.a.Sub(u.a).Dot(along), o.b.Sub(u.a).Dot(along)
	from, to := max(0, min(a, b)), min(length, max(a, b))
	if to-from <= coincidence {
		return nil
	}
	across := o.chord().Unit()
	for _, s := range [2]float64{from, to} {
		if math.Abs(u.a.Add(along.Mul(s)).Sub(o.a).Cross(across)) > coincidence {
			return nil
		}
	}
	return []span{{from / length, to / length}}
}

func arcOnArc(u, o stroke) []span {
	center, radius := o.center(), o.radius()
	turn := math.Abs(u.turn())
	angle := func(p geom.Vec2) float64 {
		d := p.Sub(center)
		return math.Atan2(d.Y, d.X)
	}
	begin := angle(o.a) // where o begins, going the way of u
	if (o.bulge > 0) != (u.bulge > 0) {
		begin = angle(o.b)
	}
	begin = (begin - angle(u.a)) * math.Copysign(1, u.bulge)
	begin -= 2 * math.Pi * math.Floor(begin/(2*math.Pi))
	var out []span
	for _, b := range [2]float64{begin - 2*math.Pi, begin} {
		from, to := max(0, b), min(turn, b+math.Abs(o.turn()))
		if (to-from)*radius <= coincidence {
			continue
		}
		on := true
		for _, t := range [3]float64{from, (from + to) / 2, to} {
			on = on && math.Abs(u.at(t/turn).Sub(center).Norm()-radius) <= coincidence
		}
		if on {
			out = append(out, span{from / turn, to / turn})
		}
	}
	return out
}

func sameCurve(u, o *lineUnit) bool {
	a := geom.Path{{Start: u.k.a, Segments: []geom.Segment{*u.curve}}}
	near := func(p, q geom.Vec2) bool { return p.Sub(q).Norm() <= coincidence }
	for _, b := range []geom.Path{o.path(), o.path().Reverse()} {
		s, t := &a[0].Segments[0], &b[0].Segments[0]
		if s.Kind != t.Kind || !near(a[0].Start, b[0].Start) || !near(s.To, t.To) {
			continue
		}
		if s.Kind == geom.Arc {
			if s.Large == t.Large && s.Sweep == t.Sweep && math.Abs(s.RX-t.RX) <= coincidence && math.Abs(s.RY-t.RY) <= coincidence &&
				math.Abs(math.Remainder(float64(s.Phi-t.Phi), math.Pi))*max(s.RX, s.RY) <= coincidence {
				return true
			}
			continue
		}
		if near(s.C1, t.C1) && near(s.C2, t.C2) {
			return true
		}
	}
	return false
}
