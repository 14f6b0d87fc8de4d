package design

import "foldwright/solver/geom"

// Lean tells which way a V-fold falls when shut.
type Lean string

const (
	// Away: the ridge falls away from the fold's direction, so each panel
	// covers the host beyond its base line.
	Away Lean = "away"
	// Toward: the ridge falls along the fold's direction.
	Toward Lean = "toward"
)

// VFold is two panels that meet in a ridge and are glued along base lines which
// leave one point of the fold, the apex.
type VFold struct {
	At          float64 // apex along the fold, mm
	Left        VSide
	Right       *VSide // nil: the mirror of Left
	RidgeLength float64
	Lean        Lean
	ApexTrim    float64 // cut off both panels at the apex, along base line and ridge
}

// VSide is one panel of a V-fold.
type VSide struct {
	BaseAngle  geom.Angle // base line from the fold's direction
	PanelAngle geom.Angle // base line to ridge
	BaseLength float64
	Profile    geom.Path // free edge, base end to ridge end; nil: straight
}

// Sides gives both panels.
func (v *VFold) Sides() (left, right VSide) {
	if v.Right == nil {
		return v.Left, v.Left
	}
	return v.Left, *v.Right
}

var vSideSchema = Schema{
	angle("base_angle", "angle from the fold's direction to the base line"),
	angle("panel_angle", "angle in the panel from the base line to the ridge"),
	length("base_length", "length of the base line from the apex"),
	profile("profile", "shape of the free edge, from the end of the base line to the end of the ridge"),
}

var vFoldKind = KindInfo{
	Kind:    "v_fold",
	Summary: "Two panels in a V, glued on slanting lines that meet on the fold.",
	Stands:  OnFold,
	Panels:  twoPanels,
	Folds:   threeFolds,
	Schema: Schema{
		position("at", "where the apex sits, along the fold from its start"),
		nested("left", "the panel on the left face", true, vSideSchema),
		nested("right", "the panel on the right face; left out, it mirrors the left", false, vSideSchema),
		length("ridge_length", "length of the ridge from the apex"),
		length("apex_trim", "length cut off base lines and ridge at the apex, to clear the fold").within(0, maxLength).or(0),
		choice("lean", "which way the ridge falls when shut", string(Away), string(Away), string(Toward)),
	},
	Conditions: []string{
		"Shuts flat when base angle plus panel angle is the same on both sides (lean away), or base angle less panel angle is (lean toward).",
		"Opens as far as the angle between the base lines stays within the sum of the panel angles.",
	},
	decode: func(o *object) Spec {
		v := &VFold{
			At:          o.length("at"),
			RidgeLength: o.length("ridge_length"),
			Lean:        Lean(o.text("lean")),
			ApexTrim:    o.length("apex_trim"),
		}
		if left := o.object("left"); left != nil {
			v.Left = decodeVSide(left)
		}
		if right := o.object("right"); right != nil {
			side := decodeVSide(right)
			v.Right = &side
		}
		if left, right := v.Sides(); v.ApexTrim > 0 && v.ApexTrim >= min(left.BaseLength, right.BaseLength, v.RidgeLength)-minLength {
			o.reject("apex_trim", CodeOutOfRange, "must leave at least %s of both base lines and of the ridge", o.in(minLength))
		}
		return v
	},
}

func decodeVSide(o *object) VSide {
	return VSide{
		BaseAngle:  o.angle("base_angle"),
		PanelAngle: o.angle("panel_angle"),
		BaseLength: o.length("base_length"),
		Profile:    o.profile("profile"),
	}
}

// Clone implements Spec.
func (v *VFold) Clone() Spec {
	c := *v
	if v.Right != nil {
		right := *v.Right
		c.Right = &right
	}
	return &c
}

func (v *VFold) numbers() []number {
	list := []number{
		{path: "at", value: &v.At},
		{path: "ridge_length", value: &v.RidgeLength},
		{path: "apex_trim", value: &v.ApexTrim},
	}
	list = append(list, v.Left.numbers("left/")...)
	if v.Right != nil {
		list = append(list, v.Right.numbers("right/")...)
	}
	return list
}

func (s *VSide) numbers(prefix string) []number {
	return []number{
		{path: prefix + "base_angle", value: (*float64)(&s.BaseAngle), angle: true},
		{path: prefix + "panel_angle", value: (*float64)(&s.PanelAngle), angle: true},
		{path: prefix + "base_length", value: &s.BaseLength},
	}
}
