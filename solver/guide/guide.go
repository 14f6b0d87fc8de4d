package guide

import (
	"errors"

	"foldwright/solver/assemble"
	"foldwright/solver/draw"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
)

// Guide is the instructions for one design.
type Guide struct {
	Title, Intro string
	Facts        []Fact
	// Notices are what the maker must know before starting: joints that no order
	// reaches, parts that could not be made.
	Notices   []string
	Cautions  []Caution
	Tools     []string
	Materials []string
	Reading   []string // how to read the pictures and marks
	Parts     []Part
	Steps     []Step
	Final     []string // what to check when all is done
	Run       []string // for several copies
	Jigs      []Jig
	Pictures  bool   // whether there are any
	Units     string // of all lengths

	words *wording
}

// Fact is a name and a value of the title page.
type Fact struct{ Name, Value string }

// Caution is what can hurt, and how to keep from it. It claims no completeness.
type Caution struct {
	Tool  Tool // empty for everybody
	Title string
	Text  string
}

// Part is one line of the list of parts.
type Part struct {
	ID, Name string
	Count    int // for all copies
	Size     string
	Letters  []string // of its joints
	Creases  string   // how many of which kind; empty for none
	Picture  *draw.Picture
}

// Step is one thing to do.
type Step struct {
	Number int
	Kind   Kind
	Title  string
	Parts  []string // IDs, the one that is added first
	Text   []string
	Joints []Joint
	// Picture is nil where there is none; Caption says what it shows.
	Picture *draw.Picture
	Caption string
	Checks  []string // before the glue sets
	Wait    string   // drying or pressing; empty for none
}

// Kind is what a step does: one of package assemble's, or one of those below.
type Kind = assemble.Kind

const (
	// CutOut is the first step.
	CutOut Kind = "cut_out"
	// OutOfReach is the last step, of joints that no order was found for.
	OutOfReach Kind = "out_of_reach"
)

// Joint is a pair of letters to be brought together.
type Joint struct {
	Letter     string
	ID         string
	Part, Host string // IDs
	OnBack     bool   // the mark is on the reverse of the host
	Dry        bool   // held by its shoulders, without glue
}

// Jig is where a joint lies on the page, for a template or stops to lay against.
type Jig struct {
	Letter string
	Part   string
	// Line is whether From and To are the ends of a crease; otherwise they are the
	// corners of the area that is glued.
	Line     bool
	From, To Place
}

// Place is a point of the page as it is measured: in the design's units.
type Place struct {
	Page       string  // "left" or "right"
	FromGutter float64 // never negative
	FromFoot   float64
}

// Tool is what parts are cut or glued with.
type Tool string

const (
	Knife          Tool = "knife"
	CuttingMachine Tool = "cutting_machine"
	Laser          Tool = "laser"
	PVA            Tool = "pva"
	HotGlue        Tool = "hot_glue"
)

// AllTools lists the tools that are known.
func AllTools() []Tool { return []Tool{Knife, CuttingMachine, Laser, PVA, HotGlue} }

// DefaultTools are those of a kitchen table.
func DefaultTools() []Tool { return []Tool{Knife, PVA} }

// Options shape a guide. The zero value is for one copy, with the default tools
// and without pictures.
type Options struct {
	Tools    []Tool // nil for DefaultTools
	Copies   int    // 0 is 1
	Pictures bool
	// Stop is asked between steps whether to give up; nil never does.
	Stop func() bool
	// Progress is told how many steps are written; nil is told nothing.
	Progress func(done, of int)
}

// ErrStopped is the error of a guide that was given up.
var ErrStopped = errors.New("guide: stopped")

// Make writes the guide for the parts p of an assembly in the order of a plan.
func Make(a *kinematics.Assembly, p *pattern.Pattern, plan *assemble.Plan, o Options) (*Guide, error) {
	if o.Tools == nil {
		o.Tools = DefaultTools()
	}
	o.Copies = max(o.Copies, 1)
	w := newWriter(a, p, plan, o)
	w.front()
	w.list()
	if err := w.steps(); err != nil {
		return nil, err
	}
	w.checks()
	w.run()
	return w.Guide, nil
}
