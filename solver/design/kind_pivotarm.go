package design

import (
	"math"

	"foldwright/solver/geom"
)

// PivotArm is an arm on a pivot, swung by a strip that slides along u of the
// pivot's frame and is joined to the arm at the crank's end.
type PivotArm struct {
	Place       Place     // the pivot
	Outline     geom.Path // the arm at rest, in the frame of the pivot
	Crank       float64   // pivot to the joint with the link
	CrankAngle  geom.Angle
	LinkLength  float64 // joint to the sliding strip
	Stroke      float64
	StripWidth  float64
	StripLength float64
	PivotHole   float64
}

var pivotArmKind = KindInfo{
	Kind:    "pivot_arm",
	Summary: "An arm on a pivot, swung by a strip pulled along a line through the pivot.",
	Stands:  OnPanel,
	Panels:  []string{"arm"},
	Schema: Schema{
		placeField("where the pivot is; the strip is pulled along u turned by rotate"),
		{Name: "outline", Quantity: Outline, Required: true, Min: 1, Max: maxPathBytes,
			Doc: "closed SVG path of the arm at rest, in the frame of the pivot"},
		length("crank", "from the pivot to the joint of arm and link"),
		angle("crank_angle", "angle at rest from the direction of pull to the crank").within(5, 175).or(90),
		length("link_length", "from the joint to the sliding strip; longer than the crank"),
		length("stroke", "how far the strip is pulled, between its stops"),
		nested("strip", "the sliding strip", false, stripSchema),
		length("pivot_hole", "diameter of the hole for the pivot").within(0.5, 30).or(4),
	},
	Conditions: []string{
		"An in-line slider-crank: the strip moves along the line through the pivot.",
		"Locks when crank and link come into one line; the stroke must end before that.",
	},
	decode: func(o *object) Spec {
		a := &PivotArm{
			Place:      o.place(),
			Outline:    o.outline("outline"),
			Crank:      o.length("crank"),
			CrankAngle: o.angle("crank_angle"),
			LinkLength: o.length("link_length"),
			Stroke:     o.length("stroke"),
			PivotHole:  o.length("pivot_hole"),
		}
		a.StripWidth, a.StripLength = o.strip()
		if a.LinkLength > 0 && a.LinkLength <= a.Crank {
			o.reject("link_length", CodeOutOfRange, "must be longer than the crank, %s", o.in(a.Crank))
		}
		return a
	},
}

// Slider is the distance from the pivot to the strip at rest, along the line of
// pull.
func (a *PivotArm) Slider() float64 {
	sin, cos := a.CrankAngle.Sincos()
	return a.Crank*cos + math.Sqrt(a.LinkLength*a.LinkLength-a.Crank*a.Crank*sin*sin)
}

// Drivers implements Driven.
func (a *PivotArm) Drivers() []Driver {
	return []Driver{{Name: "pull", Quantity: Length, Max: a.Stroke}}
}

// Clone implements Spec.
func (a *PivotArm) Clone() Spec { c := *a; return &c }

func (a *PivotArm) numbers() []number {
	return append(a.Place.numbers(),
		number{path: "crank", value: &a.Crank},
		number{path: "crank_angle", value: (*float64)(&a.CrankAngle), angle: true},
		number{path: "link_length", value: &a.LinkLength},
		number{path: "stroke", value: &a.Stroke},
		number{path: "strip/width", value: &a.StripWidth},
		number{path: "strip/length", value: &a.StripLength},
	)
}
