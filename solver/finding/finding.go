package finding

import (
	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// Finding is one result of a check.
type Finding struct {
	Code     Code
	Severity Severity
	Message  string
	Pointer  string // JSON pointer into the design
	At       Interval
	Hand     *Hand // nil when nothing is moved by hand
	Amount   Amount
	Where    Where
	Remedy   *Remedy // nil when no change was found within the effort allowed

	// Mechanism is the index in the design of the one at fault.
	Mechanism int
}

// Severity ranks findings.
type Severity string

const (
	Error   Severity = "error"   // it does not work
	Warning Severity = "warning" // it works, with a risk
	Note    Severity = "note"    // worth knowing
)

// Interval is the openings at which a finding holds.
type Interval struct{ From, To geom.Angle }

// Hand is the driver that is moved by hand, the opening held, and from where to
// where a finding holds, in mm or radians.
type Hand struct {
	Driver   int // of the assembly's
	ID       string
	Quantity design.Quantity
	From, To float64
}

// Amount is how far a finding is from being cured, in the design's length unit
// or in "deg".
type Amount struct {
	Value float64
	Unit  string
}

// Where is the place of a finding: the panels concerned; where there is one, a
// point of the world in mm, with the opening at At.From and what is moved by hand
// at Hand.From, which lies on the first of the panels; and the place on the flat
// pattern.
type Where struct {
	Panels   []string
	Point    geom.Vec3
	HasPoint bool
	Flat     Flat
}

// Flat is a point of a part as it is cut, in the part's coordinates in mm. A part
// without a name is none.
type Flat struct {
	Part  string
	Point geom.Vec2
}

// Remedy is one change, tried and found to cure the finding.
type Remedy struct {
	Text    string
	Changes []Change
}

// Change is a new value for one field: a number in the document's units or
// degrees, or one of the field's choices. The changes of a remedy are made
// together.
type Change struct {
	Pointer string
	Value   float64
	Unit    string
	Choice  string // empty for a number
}
