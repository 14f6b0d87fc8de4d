package pattern

import (
	"foldwright/solver/draw"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// Pattern is everything that is cut for one design.
type Pattern struct {
	Title  string
	Parts  []Part  // the page first, then by mechanism as designed
	Joints []Joint // in the order of their letters
	// Problems are what could not be made; the rest of the pattern is good.
	Problems []Problem

	spacing float64
	height  float64 // of lettering
	finish  draw.Finish
}

// Part is one connected piece of paper.
type Part struct {
	ID        string // "page", the id of the mechanism, or "<mechanism>.<part>"
	Name      string
	Mechanism string // id of the mechanism; empty for the page
	Count     int
	Outline   geom.Path // one closed contour, anticlockwise
	Holes     geom.Path // closed contours inside the outline, clockwise
	Cuts      geom.Path // open cuts inside the outline
	Creases   []Crease
	Slots     []Slot
	Glue      []GlueArea
	Artwork   geom.Path // lines that are printed
	Guides    geom.Path // lines to look at, not to cut: the margin of the page, the grain arrow
	Labels    []Label
	Panels    []PanelPlacement
	Grain     geom.Vec2 // unit vector along the fibres

	middle geom.Vec2 // of its largest panel
}

// PanelPlacement is where a panel of the assembly lies in a part: Place takes
// the panel's (u, v) to the part's coordinates.
type PanelPlacement struct {
	Panel int
	Place geom.Placement
}

// CreaseKind is the way a crease folds, seen from the printed face.
type CreaseKind uint8

const (
	Valley   CreaseKind = iota // towards the viewer
	Mountain                   // away from the viewer
)

func (k CreaseKind) String() string {
	if k == Mountain {
		return "mountain"
	}
	return "valley"
}

// Crease is a score. A base fold is scored where its tab joins the panel. A fold
// that a mechanism is cut out of has a crease on either side of it, with the
// same ID.
type Crease struct {
	ID       string // of the fold
	Fold     int    // index in the assembly; -1 for the glued end of a strip, the legs of a hub and the wings of a tab
	From, To geom.Vec2
	Kind     CreaseKind
	// AngleMin and AngleMax bound the dihedral on the working side of the fold
	// from shut to fully open; both are zero when the mechanism cannot be posed.
	AngleMin, AngleMax geom.Angle
}

// Slot is a closed cut that a tab goes through, or a pin or runner moves along.
type Slot struct {
	Label string // the letter of the joint, or the mechanism whose pin goes through
	Joint string // ID of the joint; empty for a pin
	Path  geom.Path
}

// GlueArea is where another part is stuck to this one.
type GlueArea struct {
	Label  string
	Joint  string // ID of the joint
	Part   string // the part glued there
	Path   geom.Path
	Tab    bool // the tab or figure itself, not the mark where it goes
	OnBack bool // on the reverse of the printed face
	Dry    bool // held by a lock: the part lies there, and nothing is glued
}

// Label is a line of lettering. At is the middle of its extent, which is
// TextWidth by Height.
type Label struct {
	Text   string
	At     geom.Vec2
	Height float64
	Angle  geom.Angle // of the line of writing, anticlockwise from x
}

// Joint is one place where a part is fixed to another.
type Joint struct {
	Label     string // the letter on both parts
	ID        string // of the base fold, or of the figure's panel
	Mechanism int    // index in the design
	Part      string // the part with the tab
	Host      string // the part with the mark
	Slotted   bool
	// Shoulder is how far the tab is wider behind its slot, on each side, mm. Dry
	// joints hold by their shoulders and are not glued.
	Shoulder float64
	Dry      bool
	// Length is the tab's length at its crease or neck and Depth its depth, mm.
	// Wanted is the depth the design asks for. Zero for a glued figure.
	Length, Depth, Wanted float64
}

// Make works out the parts of an assembly. Things that cannot be made as
// designed are listed in the pattern; the error is an *OptionError, that of
// package draw, or ErrStopped.
func Make(a *kinematics.Assembly, o Options) (*Pattern, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	m := newMaker(a, o)
	steps := []func(){m.findTurns, m.layOutPanels, m.addJoints}
	if !o.Plain {
		steps = append(steps, m.cutReliefs, m.checkOpened, m.findNecks, m.addCreases, m.grainParts, m.reportBothWays, m.addLabels, m.takeOutSlivers, m.checkCuts)
	}
	for _, step := range steps {
		if m.stop(); m.stopped {
			return nil, ErrStopped
		}
		step()
	}
	if m.stopped {
		return nil, ErrStopped
	}
	return m.Pattern, nil
}

// Part finds a part by its ID; nil when there is none.
func (p *Pattern) Part(id string) *Part {
	for i := range p.Parts {
		if p.Parts[i].ID == id {
			return &p.Parts[i]
		}
	}
	return nil
}
