package design

import "slices"

// Box is a box over the fold: two side walls along it, two end walls creased in
// the middle, and a lid if it has one.
type Box struct {
	From, To    float64 // extent along the fold, mm
	LeftOffset  float64 // fold to the left wall, mm
	RightOffset *float64
	Height      float64 // of the walls, mm
	Ends        BoxFold
	Lid         bool
	LidFold     BoxFold
}

// BoxFold tells which way a wall creased in the middle folds.
type BoxFold string

const (
	FoldIn  BoxFold = "in"
	FoldOut BoxFold = "out"
)

// Offsets gives the distances of the side walls from the fold.
func (b *Box) Offsets() (left, right float64) {
	if b.RightOffset == nil {
		return b.LeftOffset, b.LeftOffset
	}
	return b.LeftOffset, *b.RightOffset
}

var (
	boxPanels = []string{"wall_left", "wall_right", "front_left", "front_right", "back_left", "back_right"}
	boxFolds  = []string{
		"left_base", "right_base", "front_crease", "back_crease",
		"front_left_corner", "front_right_corner", "back_right_corner", "back_left_corner",
	}
	lidPanels = []string{"lid_left", "lid_right"}
	lidFolds  = []string{"lid_left_edge", "lid_crease", "lid_right_edge"}
	// The walls are one strip whose ends are joined at the back left corner;
	// the lid grows from the left wall and is joined to the right one.
	boxCreases = []string{
		"front_crease", "back_crease", "front_left_corner", "front_right_corner", "back_right_corner",
		"lid_left_edge", "lid_crease",
	}
)

var boxKind = KindInfo{
	Kind:    "box",
	Summary: "A box over the fold that squares up as the fold opens; its end walls fold in the middle.",
	Stands:  OnFold,
	Panels:  append(slices.Clip(boxPanels), lidPanels...),
	Folds:   append(slices.Clip(boxFolds), lidFolds...),
	creases: boxCreases,
	Schema: append(alongFold[:2:2],
		length("left_offset", "distance from the fold to the left wall"),
		optional(length("right_offset", "distance from the fold to the right wall; left out, the left offset")),
		length("height", "height of the walls"),
		choice("ends", "fold the end walls between the side walls or out past them", string(FoldIn), string(FoldIn), string(FoldOut)),
		flag("lid", "close the box with a lid creased in the middle", false),
		choice("lid_fold", "fold the lid down between the walls or up over them; a lid that folds in needs ends that fold out",
			string(FoldOut), string(FoldIn), string(FoldOut)),
	),
	Conditions: []string{
		"Shuts flat and follows every opening.",
		"With equal offsets the walls stand along the bisector of the faces and the box is square when open flat; with unequal offsets the end walls are cut aslant and the box leans towards the farther wall.",
		"Without its end walls the box would shear freely; the end walls hold it, except when it is shut.",
		"End walls that fold in meet when the box is shorter along the fold than the two half end walls together.",
	},
	decode: func(o *object) Spec {
		b := &Box{
			LeftOffset:  o.length("left_offset"),
			RightOffset: o.optionalLength("right_offset"),
			Height:      o.length("height"),
			Ends:        BoxFold(o.text("ends")),
			Lid:         o.flag("lid"),
			LidFold:     BoxFold(o.text("lid_fold")),
		}
		b.From, b.To = o.extent()
		if b.Lid && b.LidFold == FoldIn && b.Ends == FoldIn {
			o.reject("lid_fold", CodeNotAllowed, "a lid that folds in passes through end walls that fold in; fold one of them out")
		}
		return b
	},
}

// Clone implements Spec.
func (b *Box) Clone() Spec {
	c := *b
	c.RightOffset = cloned(b.RightOffset)
	return &c
}

func (b *Box) numbers() []number {
	list := []number{
		{path: "from", value: &b.From}, {path: "to", value: &b.To},
		{path: "left_offset", value: &b.LeftOffset}, {path: "height", value: &b.Height},
	}
	return appendGiven(list, "right_offset", b.RightOffset)
}

func (b *Box) extent() (from, to float64) { return b.From, b.To }

func (b *Box) makes() (panels, folds []string) {
	if b.Lid {
		return boxKind.Panels, boxKind.Folds
	}
	return boxPanels, boxFolds
}

// side: a creased wall is worked from the side it does not fold to, where the
// angle between its halves is nothing when shut.
func (b *Box) side(fold string) Side {
	folded := map[string]BoxFold{"front_crease": b.Ends, "back_crease": b.Ends, "lid_crease": b.LidFold}
	if folded[fold] == FoldIn {
		return Outer
	}
	return sideByName(fold)
}
