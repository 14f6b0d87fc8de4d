package design

import "foldwright/solver/geom"

// Joint is how a mechanism's base lines are fixed to their hosts.
type Joint struct {
	Fix      JointFix
	TabSide  Side
	TabDepth float64    // mm
	TabTaper geom.Angle // from square
}

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
}

func decodeJoint(o *object) Joint {
	return Joint{
		Fix:      JointFix(o.text("fix")),
		TabSide:  Side(o.text("tab_side")),
		TabDepth: o.length("tab_depth"),
		TabTaper: o.angle("tab_taper"),
	}
}
