package design

// Strap is the parallel fold whose panels stay parallel to the faces of the
// fold: each panel is as wide as the offset on the other side.
type Strap struct {
	From, To                float64 // extent along the fold, mm
	LeftOffset, RightOffset float64 // fold to base line, mm
}

var strapKind = KindInfo{
	Kind:    "strap",
	Summary: "A folded strip that joins both faces and keeps parallel to them.",
	Stands:  OnFold,
	Panels:  twoPanels,
	Folds:   threeFolds,
	Schema: append(alongFold[:2:2],
		length("left_offset", "distance from the fold to the base line on the left face"),
		length("right_offset", "distance from the fold to the base line on the right face"),
	),
	Conditions: []string{
		"Shuts flat and follows every opening; it lies flat when the fold is flat.",
		"On top of a ridge, which opens beyond flat, it crosses over there and is parallel no longer.",
	},
	decode: func(o *object) Spec {
		s := &Strap{LeftOffset: o.length("left_offset"), RightOffset: o.length("right_offset")}
		s.From, s.To = o.extent()
		return s
	},
}

// Clone implements Spec.
func (s *Strap) Clone() Spec { c := *s; return &c }

func (s *Strap) numbers() []number {
	return []number{
		{path: "from", value: &s.From}, {path: "to", value: &s.To},
		{path: "left_offset", value: &s.LeftOffset}, {path: "right_offset", value: &s.RightOffset},
	}
}

func (s *Strap) extent() (from, to float64) { return s.From, s.To }
