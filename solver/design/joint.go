package design

import "foldwright/solver/geom"

// Joint is how a mechanism's base lines are fixed to their hosts.
type Joint struct {
	Fix      JointFix
	TabSide  Side
	TabDepth float64    // mm
	TabTaper geom.Angle // from square
	Relief   Relief
	Shoulder float64 // mm, of a slotted tab; zero for a plain one
	Glued    bool
}

// Relief is what is cut at both ends of a tab's crease, so that it does not tear
// there.
type Relief string

const (
	NoRelief    Relief = "none"
	RoundRelief Relief = "round"
	NotchRelief Relief = "notch"
)

// JointFix tells where a base tab is glued.
type JointFix string

const (
	// Surface tabs are glued on the face of the host.
	Surface JointFix = "surface"
	// Slotted tabs go through a slot along the base line and are glued behind.
	Slotted JointFix = "slot"
)

// The defaults are common practice: tabs 8 to 15 mm deep, ends tapered 30 to
// 45 degrees, hidden under the mechanism.
var jointSchema = Schema{
	choice("fix", "glue the tab on the face of the host, or pass it through a slot and glue it behind",
		string(Surface), string(Surface), string(Slotted)),
	choice("tab_side", "fold the tab under the mechanism or away from it", string(Inner), string(Inner), string(Outer)),
	length("tab_depth", "depth of the tab from the base line").within(2, 100).or(10),
	angle("tab_taper", "slope of the tab's ends, from square").within(0, 60).or(35),
	choice("relief", "what is cut at both ends of the tab's crease, as large as the paper needs, so that it does not tear",
		string(NoRelief), string(NoRelief), string(RoundRelief), string(NotchRelief)),
	shoulderField,
	gluedField,
}

// What locks a tab in its slot, of base lines and of figures.
var (
	shoulderField = length("shoulder", "how far the tab is wider behind the slot than the slot holds, on each side; its wings fold in to pass and lock it").within(0, 20).or(0)
	gluedField    = flag("glued", "glue the tab; a tab with shoulders may hold without", true)
)

func decodeJoint(o *object) Joint {
	return Joint{
		Fix:      JointFix(o.text("fix")),
		TabSide:  Side(o.text("tab_side")),
		TabDepth: o.length("tab_depth"),
		TabTaper: o.angle("tab_taper"),
		Relief:   Relief(o.text("relief")),
		Shoulder: o.length("shoulder"),
		Glued:    o.flag("glued"),
	}
}
