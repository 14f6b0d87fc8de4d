package fit

import (
	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/geom"
)

// What one task may hold.
const (
	MaxVary   = 40
	MaxGoals  = 60
	MaxStarts = 64
	// MaxTied is how many numbers may follow one.
	MaxTied = 10
)

// Task is what is wanted of a design.
type Task struct {
	Design *design.Design
	Vary   []Vary
	Goals  []Goal
	Keep   Keep
	// Mockup tells that the goals are measurements of a mock-up, each with its
	// standard uncertainty as the tolerance.
	Mockup bool
	Starts int // 0: DefaultStarts
	Seed   uint64
}

// DefaultStarts is enough to find the few folds a mechanism can stand in.
const DefaultStarts = 8

// Vary is a number that may change.
type Vary struct {
	Pointer  string
	Min, Max *float64 // nil: as far as the document allows
	// Step is the grid the new value is on, 0 for none.
	Step float64
	// Tied are numbers that change by the same amount.
	Tied []string
}

// Sense is how a goal is meant.
type Sense uint8

const (
	Equal Sense = iota
	AtLeast
	AtMost
)

// Goal is a measure that should have a value.
type Goal struct {
	Measure string
	Opening *geom.Angle // nil: as far as the spread opens; of an inset, shut
	Hand    []Setting   // what is not named is at rest
	Sense   Sense
	Target  float64
	// Tolerance is how far from the target still counts as met. Of a measurement
	// it is the standard uncertainty. 0 is DefaultTolerance.
	Tolerance float64
	Weight    float64 // 0 is 1
}

// DefaultTolerance is in mm or degrees: what hand gluing is good to (common
// practice).
const DefaultTolerance = 0.5

// Setting is where a hand driver is, in mm or radians.
type Setting struct {
	Driver string
	Value  float64
}

// Keep is the conditions that hold whatever the goals.
type Keep struct {
	ShutsFlat  bool
	OpensFully bool
	// Inside keeps what can move Inset or more from the edge of the shut page.
	Inside bool
	Inset  float64
	// Symmetric keeps left and right numbers of what varies equal.
	Symmetric bool
	// NoNewErrors keeps the checks from finding an error they do not find now.
	NoNewErrors bool
}

// Fault is something wrong with a task. Field is where: "vary/0/tied/1".
type Fault struct {
	Field  string
	Reason Reason
	Detail string
}

// Reason sorts faults.
type Reason uint8

const (
	Unknown Reason = iota // there is no such thing
	Outside               // out of its range
	Clashes               // does not go with the rest
	TooMany
)

// Refused is the error of a task with faults.
type Refused struct{ Faults []Fault }

func (r *Refused) Error() string { return "fit: " + r.Faults[0].Field + " " + r.Faults[0].Detail }

// Answer is what was found.
type Answer struct {
	Solution
	// Alternatives are other answers as good, the nearest to the present first.
	Alternatives []Solution
	// Limits are what stops the answer from coming nearer to the goals.
	Limits []Limit
	// Conflict is a smallest set of goals and conditions that cannot hold
	// together as far as was found; nil when all are met.
	Conflict []Party
	// Estimate is what the measurements of a mock-up tell; nil for goals.
	Estimate *Estimate
	// Before and After are the findings of the design as it is and as it would be.
	Before, After []finding.Finding
	// Runs and Steps count searches and their steps.
	Runs, Steps int
}

// Solution is one way to set the numbers.
type Solution struct {
	// Design is the design with the numbers set.
	Design *design.Design
	// Numbers are those that vary and those tied to them, in their order.
	Numbers []Setpoint
	Goals   []Reached
	// Met is whether all goals are, and the conditions hold.
	Met bool
	// Misfit is the sum of the squares of the goals' distances in tolerances,
	// by weight, and Exact what it was before rounding.
	Misfit, Exact float64
}

// Setpoint is a number before and after.
type Setpoint struct {
	Pointer       string
	Unit          string
	Before, After float64
	// Exact is the value before rounding.
	Exact float64
	// OnGrid is whether After is a multiple of the step asked for. What follows
	// others is not where a fixed number is none.
	OnGrid bool
}

// Reached is what becomes of a goal. A value that is not there is NaN.
type Reached struct {
	Opening              geom.Angle
	Tolerance            float64
	Unit                 string
	Before, After, Exact float64
	// Off is how far After is from the target; 0 for a bound that is kept.
	Off float64
	Met bool
}

// LimitKind sorts limits.
type LimitKind string

const (
	AtBound      LimitKind = "bound"        // a number at its bound
	AtInset      LimitKind = "inside_page"  // a panel at the edge to keep from
	AtFullOpen   LimitKind = "opens_fully"  // panels stretched as far as they may be
	AtExtent     LimitKind = "extent"       // a piece as short as it can be
	AtNewFinding LimitKind = "no_new_error" // further on the checks find an error
)

// Limit is a condition that an answer rests on.
type Limit struct {
	Kind LimitKind
	// Of is the pointer of the number or mechanism, or the name of the panel.
	Of string
	// Value is where the limit is, in Unit; of a new finding nothing.
	Value float64
	Unit  string
	// Code is that of a new finding.
	Code finding.Code
}

// Party is one side of a conflict: a goal by its number, a condition, or the
// bounds given to a number.
type Party struct {
	Goal      int // -1 when it is none
	Condition string
	Bounds    string // pointer of the number
}
