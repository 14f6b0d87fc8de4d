package design

import "foldwright/solver/geom"

// CutV is a V cut from its host: one cut across the fold and creases from an
// apex. Each panel angle is the base angle of the other side, so the V lies in
// the sheet when the fold is flat.
type CutV struct {
	At          float64 // apex along the fold, mm
	Left        CutVSide
	Right       *CutVSide // nil: the mirror of Left
	RidgeLength float64
}

// CutVSide is one panel of a cut V.
type CutVSide struct {
	BaseAngle  geom.Angle // base crease from the fold's direction
	BaseLength float64
	Profile    geom.Path // the cut, base end to ridge end; nil: straight
}

// Sides gives both panels as those of a V-fold.
func (v *CutV) Sides() (left, right VSide) {
	l := v.Left
	r := l
	if v.Right != nil {
		r = *v.Right
	}
	return VSide{BaseAngle: l.BaseAngle, PanelAngle: r.BaseAngle, BaseLength: l.BaseLength, Profile: l.Profile},
		VSide{BaseAngle: r.BaseAngle, PanelAngle: l.BaseAngle, BaseLength: r.BaseLength, Profile: r.Profile}
}

var cutVSideSchema = Schema{
	angle("base_angle", "angle from the fold's direction to the base crease"),
	length("base_length", "length of the base crease from the apex"),
	profile("profile", "shape of the cut, from the end of the base crease to the end of the ridge"),
}

var cutVKind = KindInfo{
	Kind:     "cut_v",
	Summary:  "A V in one piece with its host: one cut across the fold, creases from an apex.",
	Stands:   OnFold,
	OneSheet: true,
	Panels:   twoPanels,
	Folds:    threeFolds,
	Schema: Schema{
		position("at", "where the apex sits, along the fold from its start"),
		nested("left", "the panel on the left face", true, cutVSideSchema),
		nested("right", "the panel on the right face; left out, it mirrors the left", false, cutVSideSchema),
		length("ridge_length", "length of the ridge from the apex"),
	},
	Conditions: []string{
		"Stands on a fold between two parts of one sheet: the gutter, a ridge, or a fold of another cut mechanism.",
		"Shuts flat and follows every opening; it lies in the sheet when the fold is flat.",
	},
	decode: func(o *object) Spec {
		v := &CutV{At: o.length("at"), RidgeLength: o.length("ridge_length")}
		if left := o.object("left"); left != nil {
			v.Left = decodeCutVSide(left)
		}
		if right := o.object("right"); right != nil {
			side := decodeCutVSide(right)
			v.Right = &side
		}
		return v
	},
}

func decodeCutVSide(o *object) CutVSide {
	return CutVSide{BaseAngle: o.angle("base_angle"), BaseLength: o.length("base_length"), Profile: o.profile("profile")}
}

// Clone implements Spec.
func (v *CutV) Clone() Spec {
	c := *v
	if v.Right != nil {
		right := *v.Right
		c.Right = &right
	}
	return &c
}

func (v *CutV) numbers() []number {
	list := []number{{path: "at", value: &v.At}, {path: "ridge_length", value: &v.RidgeLength}}
	list = append(list, v.Left.numbers("left/")...)
	if v.Right != nil {
		list = append(list, v.Right.numbers("right/")...)
	}
	return list
}

func (s *CutVSide) numbers(prefix string) []number {
	return []number{
		{path: prefix + "base_angle", value: (*float64)(&s.BaseAngle), angle: true},
		{path: prefix + "base_length", value: &s.BaseLength},
	}
}
