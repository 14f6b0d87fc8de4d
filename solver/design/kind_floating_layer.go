package design

// FloatingLayer is a plane over each face of the fold, parallel to it, held up
// by a centre support on the fold and a support on each face.
type FloatingLayer struct {
	From, To    float64 // extent along the fold, mm
	Height      float64 // of all three supports, mm
	LeftExtent  float64 // fold of the layer to its left edge, mm
	RightExtent *float64
	// Offsets of the side supports from the fold, mm; nil: layerSupport of the
	// extent.
	LeftSupport, RightSupport *float64
}

// layerSupport is the place of a side support as a fraction of the extent. Common
// practice: near the edge, so that the layer does not sag, yet under it.
const layerSupport = 0.75

// Extents gives how far the layer reaches on each side.
func (l *FloatingLayer) Extents() (left, right float64) {
	if l.RightExtent == nil {
		return l.LeftExtent, l.LeftExtent
	}
	return l.LeftExtent, *l.RightExtent
}

// Supports gives the offsets of the side supports. With the right extent and
// the right support both left out the right side mirrors the left.
func (l *FloatingLayer) Supports() (left, right float64) {
	leftExtent, rightExtent := l.Extents()
	left, right = layerSupport*leftExtent, layerSupport*rightExtent
	if l.LeftSupport != nil {
		left = *l.LeftSupport
	}
	switch {
	case l.RightSupport != nil:
		right = *l.RightSupport
	case l.RightExtent == nil:
		right = left
	}
	return left, right
}

var floatingLayerKind = KindInfo{
	Kind:    "floating_layer",
	Summary: "A plane over each face of the fold, parallel to it, that rises as the fold opens.",
	Stands:  OnFold,
	Panels:  []string{"layer_left", "layer_right", "center", "support_left", "support_right"},
	Folds: []string{
		"left_base", "right_base", "center_left_base", "center_right_base",
		"left_top", "right_top", "center_left_top", "center_right_top", "layer_fold",
	},
	creases:  []string{"layer_fold"},
	oneSided: []string{"layer_fold", "center_left_base", "center_right_base", "center_left_top", "center_right_top"},
	Schema: append(alongFold[:2:2],
		length("height", "height of the layer above the faces, which is the height of every support"),
		length("left_extent", "distance from the fold of the layer to its left edge"),
		optional(length("right_extent", "distance from the fold of the layer to its right edge; left out, the left extent")),
		optional(length("left_support", "distance from the fold to the left support, at most the left extent; left out, three quarters of it")),
		optional(length("right_support", "distance from the fold to the right support, at most the right extent; left out, three quarters of it, or as on the left when the right extent is left out too")),
	),
	Conditions: []string{
		"Shuts flat and follows every opening; each half of the layer stays parallel to the face below it.",
		"Panels and hinges alone would let the layer swing sideways; it is taken to stand along the bisector of the faces, as the centre support does when its tabs are glued square to both faces.",
		"The fold of the layer opens as its host does and can be stood on as a gutter.",
	},
	decode: func(o *object) Spec {
		l := &FloatingLayer{Height: o.length("height"), LeftExtent: o.length("left_extent")}
		l.From, l.To = o.extent()
		l.RightExtent = o.optionalLength("right_extent")
		l.LeftSupport, l.RightSupport = o.optionalLength("left_support"), o.optionalLength("right_support")
		left, right := l.Extents()
		o.atMost("left_support", l.LeftSupport, left, "the left extent")
		o.atMost("right_support", l.RightSupport, right, "the right extent")
		return l
	},
}

// Clone implements Spec.
func (l *FloatingLayer) Clone() Spec {
	c := *l
	for _, p := range []**float64{&c.RightExtent, &c.LeftSupport, &c.RightSupport} {
		*p = cloned(*p)
	}
	return &c
}

func (l *FloatingLayer) numbers() []number {
	list := []number{
		{path: "from", value: &l.From}, {path: "to", value: &l.To},
		{path: "height", value: &l.Height}, {path: "left_extent", value: &l.LeftExtent},
	}
	list = appendGiven(list, "right_extent", l.RightExtent)
	list = appendGiven(list, "left_support", l.LeftSupport)
	return appendGiven(list, "right_support", l.RightSupport)
}

func (l *FloatingLayer) extent() (from, to float64) { return l.From, l.To }

// consistent tells whether the supports are under the layer.
func (l *FloatingLayer) consistent() bool {
	leftExtent, rightExtent := l.Extents()
	left, right := l.Supports()
	return left <= leftExtent && right <= rightExtent
}
