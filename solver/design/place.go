package design

import "foldwright/solver/geom"

// Place puts a piece's origin at (U, V) of a panel and turns its axes by Rotate
// from u towards v.
type Place struct {
	U, V   float64
	Rotate geom.Angle
}

func placeField(doc string) Field {
	return nested("place", doc, false, Schema{
		position("u", "along the panel's base line").or(0),
		position("v", "away from the base line").or(0),
		angle("rotate", "turn from u towards v").within(-360, 360).or(0),
	})
}

// place reads the place of a piece; where it is left out, the panel's origin.
func (o *object) place() Place {
	p := o.objectOrEmpty("place")
	return Place{U: p.length("u"), V: p.length("v"), Rotate: p.angle("rotate")}
}

// Placement carries the piece's own plane to the panel's.
func (p Place) Placement() geom.Placement {
	m := geom.Turn(p.Rotate)
	m.T = geom.Vec2{X: p.U, Y: p.V}
	return m
}

func (p *Place) numbers() []number {
	return []number{
		{path: "place/u", value: &p.U},
		{path: "place/v", value: &p.V},
		{path: "place/rotate", value: (*float64)(&p.Rotate), angle: true},
	}
}
