package run

import (
	"slices"

	"foldwright/solver/geom"
	"foldwright/solver/layout"
)

// Code names why a part has no place.
type Code string

const (
	// PartLargerThanBed: the part does not fit the room of any sheet of its
	// stock, at any turn it may have.
	PartLargerThanBed Code = "part_larger_than_bed"
	// NoRoom: it fits by its size, but not with the registration marks, or with
	// what must lie on the same sheet.
	NoRoom Code = "no_room"
	// NoSheetsLeft: the sheets on hand are used up.
	NoSheetsLeft Code = "no_sheets_left"
	// OutOfTime: the search ended before its turn came.
	OutOfTime Code = "out_of_time"
)

// Codes lists every code.
func Codes() []Code { return []Code{PartLargerThanBed, NoRoom, NoSheetsLeft, OutOfTime} }

// Unplaced is a part for which there is no place, in so many copies.
type Unplaced struct {
	Code   Code
	Part   int // index in the pattern
	Stock  string
	Copies int // parts, of all cards

	// Of a part larger than the bed: its size at the turn at which it sticks
	// out least, the room there is, and by how much it is too large. Grain
	// tells that it would fit across the grain.
	Size, Room geom.Vec2
	Over       float64
	Grain      bool
}

// sortOut takes out the pieces that fit no room, and makes those nestable whose
// outline is not.
func (st *stack) sortOut(o *Options) (out []Unplaced) {
	st.pieces = slices.DeleteFunc(st.pieces, func(p piece) bool {
		u := Unplaced{
			Code: PartLargerThanBed, Part: p.index, Stock: st.name, Copies: o.Copies * p.part.Count,
		}
		for i := range st.rooms {
			size, over := p.fits(&st.rooms[i])
			if over <= layout.OverlapTolerance/10 {
				return false
			}
			if i == 0 || over < u.Over {
				u.Size, u.Room, u.Over = size, st.rooms[i].box.Size(), over
			}
		}
		free := p
		free.rule.FreeGrain = true
		for i := range st.rooms {
			if _, over := free.fits(&st.rooms[i]); over <= 0 {
				u.Grain = true
			}
		}
		out = append(out, u)
		return true
	})
	for i := range st.pieces {
		st.pieces[i].nestable()
	}
	return out
}

// nestable takes the box of an outline that touches or crosses itself, which no
// layout can be made with.
func (p *piece) nestable() {
	if _, err := layout.Check([]layout.Item{{Rings: p.rings}}, nil, nil, 0); err == nil {
		return
	}
	b := geom.EmptyBox()
	for _, v := range p.rings[0] {
		b = b.Extend(v)
	}
	p.rings = [][]geom.Vec2{{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}}}
}

func (st *stack) unplaced(m *missed) Unplaced {
	u := Unplaced{Part: st.pieces[m.piece].index, Stock: st.name, Copies: m.copies}
	switch m.reason {
	case layout.TooLarge:
		u.Code = NoRoom
	case layout.NoSheets:
		u.Code = NoSheetsLeft
	default:
		u.Code = OutOfTime
	}
	return u
}
