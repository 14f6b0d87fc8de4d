package assemble

import (
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
)

// Kind is what a step does.
type Kind string

const (
	// Prepare scores and folds a part before its first use.
	Prepare Kind = "prepare"
	// Thread lays the first part through a gap of the others, or between their
	// glue, before that is closed.
	Thread Kind = "thread"
	// Insert puts tabs or legs through their slots or holes and glues them
	// behind.
	Insert Kind = "insert"
	// Glue glues joints lying open.
	Glue Kind = "glue"
	// Shut glues joints by shutting the page, or folding the piece flat, onto
	// their glued tabs.
	Shut Kind = "shut"
)

// Step is one thing to do.
type Step struct {
	Kind Kind
	// Parts are the IDs of the parts handled: first the one that is added.
	Parts []string
	// Joints are indices in the pattern of the joints that are glued.
	Joints []int
	// Mechanism is the index in the design of the one that is built, or
	// kinematics.Spread.
	Mechanism int
	// OnPage is whether what is glued hangs on the page by then. What does not is
	// put together beside it.
	OnPage bool
	// Opening is how far the book is open, or the piece if it were on the page.
	Opening geom.Angle
}

// Plan is an order of assembly.
type Plan struct {
	Steps []Step
	// Unreachable are the joints that no order lets a hand reach, and Undecided
	// those that were not looked at to the end, in the order of the pattern. No
	// step glues them.
	Unreachable, Undecided []int
}

// Make plans the assembly of the parts p of a.
func Make(a *kinematics.Assembly, p *pattern.Pattern) Plan {
	return MakeUntil(a, p, func() bool { return false })
}

// MakeUntil is Make with a stop: once it returns true the joints not yet placed
// are undecided.
func MakeUntil(a *kinematics.Assembly, p *pattern.Pattern, stop func() bool) Plan {
	b := newBuild(a, p, stop)
	order, unreachable, undecided := b.takeApart()
	return Plan{Steps: b.steps(order), Unreachable: unreachable, Undecided: undecided}
}
