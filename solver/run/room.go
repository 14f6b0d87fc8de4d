package run

import (
	"math"

	"foldwright/solver/geom"
	"foldwright/solver/layout"
)

// room is a sheet as it lies on the bed, and the part of it that is worked.
type room struct {
	sheet geom.Vec2
	box   geom.Box2
	grain *geom.Angle
	marks []layout.Mark // in the coordinates of the sheet
}

// markArm is half the length of the lines of a registration mark, mm: long
// enough to lay a straightedge along. Common practice: 3 to 6.
const markArm = 4.0

// roomOf lays a sheet on the bed, turned a quarter where that gives more room.
func (o *Options) roomOf(s *Stock) room {
	r := o.laid(s, geom.Vec2{X: s.Width, Y: s.Height})
	if o.Bed != (Bed{}) {
		if turned := o.laid(s, geom.Vec2{X: s.Height, Y: s.Width}); area(turned.box) > area(r.box) {
			r = turned
		}
	}
	if o.Registration {
		size := r.box.Size()
		r.marks = layout.Marks(&layout.Sheet{Width: size.X, Height: size.Y}, markArm, markArm)
		for i := range r.marks {
			r.marks[i].At = r.marks[i].At.Add(r.box.Min)
		}
	}
	return r
}

func (o *Options) laid(s *Stock, sheet geom.Vec2) room {
	r := room{sheet: sheet, box: geom.Box2{Max: sheet}.Grow(-o.Margin)}
	if o.Bed != (Bed{}) {
		bed := geom.Box2{Max: geom.Vec2{X: o.Bed.Width, Y: o.Bed.Height}}.Grow(-o.Bed.Margin)
		r.box.Min = geom.Vec2{X: max(r.box.Min.X, bed.Min.X), Y: max(r.box.Min.Y, bed.Min.Y)}
		r.box.Max = geom.Vec2{X: min(r.box.Max.X, bed.Max.X), Y: min(r.box.Max.Y, bed.Max.Y)}
	}
	if s.Grain != NoSide {
		along := geom.Angle(0)
		if (sheet.Y > sheet.X) == (s.Grain == LongSide) {
			along = math.Pi / 2
		}
		r.grain = &along
	}
	return r
}

func area(b geom.Box2) float64 {
	if b.Empty() {
		return 0
	}
	s := b.Size()
	return s.X * s.Y
}

// kind is the room as the layout knows it, its corner at the origin.
func (r *room) kind(s *Stock, price float64) layout.Sheet {
	size := r.box.Size()
	k := layout.Sheet{ID: s.Paper, Width: size.X, Height: size.Y, Grain: r.grain, Count: s.OnHand, Price: price}
	for _, m := range r.marks {
		b := m.Box()
		k.KeepOut = append(k.KeepOut, geom.Box2{Min: b.Min.Sub(r.box.Min), Max: b.Max.Sub(r.box.Min)})
	}
	return k
}
