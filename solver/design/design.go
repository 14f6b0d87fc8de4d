package design

import "foldwright/solver/geom"

// Design is one page spread and the mechanisms on it.
type Design struct {
	Title      string
	Notes      string
	Tags       []string
	Units      Units
	Paper      Paper
	Spread     Spread
	Mechanisms []Mechanism

	order []int
	hosts [][]int
}

// Units is the length unit a document is written in. Inside, all is mm.
type Units string

const (
	Millimetres Units = "mm"
	Inches      Units = "in"
)

// PerUnit is the length of one unit in millimetres.
func (u Units) PerUnit() float64 {
	if u == Inches {
		return 25.4
	}
	return 1
}

// Grain is the main fibre direction of the page paper.
type Grain string

const (
	AlongGutter  Grain = "along_gutter"
	AcrossGutter Grain = "across_gutter"
)

// Paper is the stock everything is cut from.
type Paper struct {
	Caliper  float64 // sheet thickness, mm
	Grammage float64 // g/m²
	Grain    Grain
	// Springback is how many times thicker a shut pile is than its sheets, GlueFilm
	// what one film of glue adds to it, mm.
	Springback float64
	GlueFilm   float64
}

// Spread is the pair of facing pages.
type Spread struct {
	PageWidth    float64 // gutter to fore edge, mm
	PageHeight   float64 // foot to head, mm
	CornerRadius float64 // mm
	Margin       float64 // strip along the page edge to keep clear when shut, mm
	OpensTo      geom.Angle
	// MaxShutThickness is the most the shut spread may be thick, pages included,
	// mm; 0 for no limit.
	MaxShutThickness float64
}

// Side tells on which side of a fold a mechanism stands.
type Side string

const (
	// Inner is between the mechanism's panels, or between a panel and the
	// part of the host it covers.
	Inner Side = "inner"
	// Outer is between a panel and the part of the host outside the
	// mechanism; on a ridge, over the top.
	Outer Side = "outer"
)

// Host is what a mechanism stands on: a fold and a side of it, or a panel.
type Host struct {
	Fold  string
	Side  Side
	Panel string
}

// Mechanism is one entry of a design.
type Mechanism struct {
	ID    string
	Kind  Kind
	On    Host
	Joint Joint
	Spec  Spec
}

// Spec is what one kind of mechanism is made to: the measurements of its
// document entry. Each kind has its own type in this package.
type Spec interface {
	// Clone copies the spec so that the copy can be changed alone.
	Clone() Spec
	// numbers lists the spec's numeric fields by their path in the document.
	numbers() []number
}

// Driven is implemented by the specs of mechanisms worked by hand.
type Driven interface {
	// Drivers lists what the hand moves.
	Drivers() []Driver
}

// Driver is one thing a hand moves: its name after "<id>.", its range and where
// it rests. Values are mm or radians.
type Driver struct {
	Name           string
	Quantity       Quantity // Length or Degrees
	Min, Max, Rest float64
}

// joined is implemented by specs that are fixed to panels besides what the
// mechanism stands on.
type joined interface {
	// joins lists those panels, each with its pointer below the mechanism.
	joins() []join
}

// naming is implemented by specs that do not always make all the panels and
// folds of their kind.
type naming interface {
	makes() (panels, folds []string)
}

// sided is implemented by specs with folds whose working side their names do
// not tell.
type sided interface {
	side(fold string) Side
}

type join struct{ pointer, panel string }

// number is one changeable measurement of a spec.
type number struct {
	path  string // as in a JSON pointer, below the mechanism
	value *float64
	angle bool
}

// Order lists the mechanisms so that every host comes before what stands on it.
func (d *Design) Order() []int { return d.order }

// HostsOf lists the mechanisms that mechanism i stands on; none when it stands
// on the spread alone.
func (d *Design) HostsOf(i int) []int { return d.hosts[i] }

// Size is the scale of the model, the longer side of a page in mm. Tolerances
// are fractions of it.
func (d *Design) Size() float64 { return max(d.Spread.PageWidth, d.Spread.PageHeight) }

// Clone copies the design so that the copy's measurements can be changed alone.
func (d *Design) Clone() *Design {
	c := *d
	c.Mechanisms = make([]Mechanism, len(d.Mechanisms))
	copy(c.Mechanisms, d.Mechanisms)
	for i := range c.Mechanisms {
		c.Mechanisms[i].Spec = c.Mechanisms[i].Spec.Clone()
	}
	return &c
}
