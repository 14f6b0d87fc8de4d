package design

import (
	"math"

	"foldwright/solver/geom"
)

// Wheel is a disc that turns on a pivot behind a window.
type Wheel struct {
	Place     Place // the pivot
	Radius    float64
	Window    geom.Path // in the frame of the pivot; nil: none
	Detents   int       // clicks in a turn; 0: none
	PivotHole float64   // diameter
}

// maxDetents leaves at least five degrees between clicks.
const maxDetents = 72

var wheelKind = KindInfo{
	Kind:    "wheel",
	Summary: "A disc that turns on a pivot behind a window in its panel.",
	Stands:  OnPanel,
	Panels:  []string{"disc"},
	Schema: Schema{
		placeField("where the pivot is; the disc's zero is u turned by rotate"),
		length("radius", "radius of the disc"),
		{Name: "window", Quantity: Outline, Min: 1, Max: maxPathBytes,
			Doc: "closed SVG path in the frame of the pivot, cut in the panel"},
		{Name: "detents", Quantity: Real, Doc: "clicks in a full turn; 0 for a free wheel", Max: maxDetents, Default: 0.0},
		length("pivot_hole", "diameter of the hole for the pivot").within(0.5, 30).or(4),
	},
	Conditions: []string{"Turned by its driver turn, from u towards v; the window must lie within the disc to be filled at every turn."},
	decode: func(o *object) Spec {
		w := &Wheel{
			Place:     o.place(),
			Radius:    o.length("radius"),
			Window:    o.outline("window"),
			Detents:   int(o.number("detents")),
			PivotHole: o.length("pivot_hole"),
		}
		if n := o.number("detents"); n != math.Trunc(n) {
			o.reject("detents", CodeNotAllowed, "must be a whole number")
		}
		if w.Radius > 0 && w.PivotHole >= w.Radius {
			if o.has("pivot_hole") {
				o.reject("pivot_hole", CodeOutOfRange, "must be less than the radius, %s", o.in(w.Radius))
			} else {
				o.reject("radius", CodeOutOfRange, "must be more than the pivot_hole, which is %s where it is left out", o.in(w.PivotHole))
			}
		}
		return w
	},
}

// Drivers implements Driven.
func (w *Wheel) Drivers() []Driver {
	return []Driver{{Name: "turn", Quantity: Degrees, Max: 2 * math.Pi}}
}

// Clone implements Spec.
func (w *Wheel) Clone() Spec { c := *w; return &c }

func (w *Wheel) numbers() []number {
	return append(w.Place.numbers(),
		number{path: "radius", value: &w.Radius},
		number{path: "pivot_hole", value: &w.PivotHole},
	)
}
