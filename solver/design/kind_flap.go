package design

import (
	"math"

	"foldwright/solver/geom"
)

// Flap is a cover hinged on a panel, turned up by hand.
type Flap struct {
	Place       Place // start of the hinge; the hinge runs along u, the flap lies towards v
	HingeLength float64
	Depth       float64
	Profile     geom.Path // free edges, hinge end to hinge start; nil: square
	OpensTo     geom.Angle
}

var flapKind = KindInfo{
	Kind:    "flap",
	Summary: "A cover hinged on a panel, lifted by hand.",
	Stands:  OnPanel,
	Panels:  []string{"flap"},
	Folds:   []string{"hinge"},
	Schema: Schema{
		placeField("start and direction of the hinge; the shut flap lies on the side of v"),
		length("hinge_length", "length of the hinge"),
		length("depth", "from the hinge to the far edge; a shaped edge sets its own"),
		profile("profile", "shape of the free edge, from the end of the hinge round to its start"),
		angle("opens_to", "how far it can be lifted").within(1, 180).or(180),
	},
	Conditions: []string{"Lifted by its driver angle, 0 lying on the panel; at rest when 0."},
	decode: func(o *object) Spec {
		return &Flap{
			Place:       o.place(),
			HingeLength: o.length("hinge_length"),
			Depth:       o.length("depth"),
			Profile:     o.profile("profile"),
			OpensTo:     o.angle("opens_to"),
		}
	},
}

// Drivers implements Driven.
func (f *Flap) Drivers() []Driver {
	return []Driver{{Name: "angle", Quantity: Degrees, Max: math.Min(float64(f.OpensTo), math.Pi)}}
}

// side implements sided: the hinge is worked on the side the flap opens to,
// between the flap and the panel beyond it.
func (f *Flap) side(string) Side { return Outer }

// Clone implements Spec.
func (f *Flap) Clone() Spec { c := *f; return &c }

func (f *Flap) numbers() []number {
	return append(f.Place.numbers(),
		number{path: "hinge_length", value: &f.HingeLength},
		number{path: "depth", value: &f.Depth},
		number{path: "opens_to", value: (*float64)(&f.OpensTo), angle: true},
	)
}
