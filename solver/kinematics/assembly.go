package kinematics

import (
	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// OutlineTolerance is how far, in mm, a flattened outline may stray from its
// curve: the finest polyline a cutter can follow.
const OutlineTolerance = 0.02

// Spread is the mechanism number of the panels and the fold of the spread.
const Spread = -1

// Panel is a rigid flat piece of an assembly. Coordinates are (u, v) in mm of
// the panel's own frame.
type Panel struct {
	ID        string
	Mechanism int         // index in the design, or Spread
	Shape     geom.Path   // exact outline
	Outline   []geom.Vec2 // outer outline flattened to OutlineTolerance
	// Openings are the parts of the shape that mechanisms cut from it take
	// away, by the even-odd rule; OpenedBy is the mechanism of each.
	Openings geom.Path
	OpenedBy []int
	// Printed is +1 when the printed face, the one seen from outside the
	// mechanism, is on the side u × v points to, and -1 when it is the other.
	Printed float64
	// Behind panels lie against the reverse of the panel their mechanism is on.
	Behind bool
}

// Role tells what a fold is to the mechanism that makes it.
type Role uint8

const (
	GutterFold Role = iota
	BaseFold        // where a panel meets its host
	RidgeFold       // between two panels of the mechanism, worked from underneath
	ValleyFold      // between two panels of the mechanism, worked from above
	TopFold         // where a panel meets one it holds up, worked from inside
)

// Fold is a line shared by two panels, with its working side.
type Fold struct {
	ID        string
	Mechanism int // index in the design, or Spread
	Role      Role
	// Left and Right are the faces beside the fold, as seen along it with the
	// working side up.
	Left, Right Face
	// The line runs from Start to Length, measured from the faces' origin.
	Start, Length float64
	// Panels are the two panels that share the fold: first the host of a base
	// fold or what a top holds up, which run on beyond the fold; of others the
	// left one.
	Panels [2]int
}

// Face is a panel as one side of a fold: the line of the fold in the panel's
// plane and the direction away from it.
type Face struct {
	Panel  int
	Origin geom.Vec2
	Along  geom.Vec2
	Away   geom.Vec2
}

// at is the point of the face u along the fold and w away from it.
func (f Face) at(u, w float64) geom.Vec2 { return f.Origin.Add(f.dir(u, w)) }

func (f Face) dir(u, w float64) geom.Vec2 { return f.Along.Mul(u).Add(f.Away.Mul(w)) }

// beyond is the part of the same panel on the other side of the fold.
func (f Face) beyond() Face {
	f.Away = f.Away.Mul(-1)
	return f
}

// Assembly is a compiled design.
type Assembly struct {
	Design *design.Design
	Panels []Panel
	Folds  []Fold
	// Drivers are what is moved by hand; the opening is not among them.
	Drivers []Driver
	Strips  []Strip

	rest     []float64 // resting values of Drivers
	hinged   []bool    // folds whose state other mechanisms need
	steps    []step
	linkages []*linkage
	joints   []Joint
}

// step poses one mechanism once its host is posed.
type step struct {
	mechanism int   // index in the design
	hosts     []int // indices in the design
	poser     poser
	folds     foldRange
	others    foldRange // joints that are no folds
}

// poser is one compiled mechanism: given the poses of its host in p, it fills
// in the frames of its own panels and the states of its folds.
type poser interface {
	pose(p *Pose) Reach
	rater
	encloser
}

// Indices of what every assembly starts with.
const (
	pageLeft   = 0
	pageRight  = 1
	gutterFold = 0
)

// Compile prepares a valid design for posing.
func Compile(d *design.Design) *Assembly { return CompilePart(d, nil) }

// CompilePart prepares the mechanisms for which include is true, which must
// take in the hosts of each; nil includes all. The others keep their numbers
// and have no panels.
func CompilePart(d *design.Design, include []bool) *Assembly {
	c := &compiler{
		Assembly: &Assembly{Design: d},
		panels:   map[string]int{},
		folds:    map[string]int{},
	}
	c.addSpread()
	for _, i := range d.Order() {
		if include != nil && !include[i] {
			continue
		}
		m := &d.Mechanisms[i]
		c.addDrivers(i, m)
		first := len(c.Folds)
		poser := compileKind(c, i, m)
		c.steps = append(c.steps, step{mechanism: i, hosts: d.HostsOf(i), poser: poser, folds: foldRange{first, len(c.Folds)}})
	}
	c.join()
	return c.Assembly
}

// PanelIndex finds a panel by its name; -1 when there is none.
func (a *Assembly) PanelIndex(id string) int {
	for i := range a.Panels {
		if a.Panels[i].ID == id {
			return i
		}
	}
	return -1
}

// FoldIndex finds a fold by its name; -1 when there is none.
func (a *Assembly) FoldIndex(id string) int {
	for i := range a.Folds {
		if a.Folds[i].ID == id {
			return i
		}
	}
	return -1
}

// compiler is an assembly being built, with the names made so far.
type compiler struct {
	*Assembly
	panels map[string]int
	folds  map[string]int
}

func (c *compiler) addPanel(mechanism int, id string, shape geom.Path) int {
	index := len(c.Panels)
	c.panels[id] = index
	c.Panels = append(c.Panels, Panel{ID: id, Mechanism: mechanism, Shape: shape, Outline: outerRing(shape)})
	return index
}

// open takes part of a panel away for a mechanism.
func (c *compiler) open(panel, mechanism int, part geom.Path) {
	p := &c.Panels[panel]
	p.Openings = append(p.Openings, part...)
	for range part {
		p.OpenedBy = append(p.OpenedBy, mechanism)
	}
}

// outerRing flattens the contour that encloses the most.
func outerRing(shape geom.Path) []geom.Vec2 {
	var outer []geom.Vec2
	most := -1.0
	for _, ring := range shape.Flatten(OutlineTolerance) {
		if area := max(geom.PolygonArea(ring), -geom.PolygonArea(ring)); area > most {
			outer, most = ring, area
		}
	}
	return outer
}

func (c *compiler) addFold(f Fold) int {
	index := len(c.Folds)
	c.folds[f.ID] = index
	c.Folds = append(c.Folds, f)
	c.hinged = append(c.hinged, false)
	c.markPrinted(&f)
	return index
}

// addSpread makes the two pages and the gutter. A page's u runs up the gutter
// from its foot and v away from the gutter.
func (c *compiler) addSpread() {
	s := c.Design.Spread
	page := pageShape(s.PageHeight, s.PageWidth, s.CornerRadius)
	c.addPanel(Spread, design.PageLeft, page)
	c.addPanel(Spread, design.PageRight, page)
	u, v := geom.Vec2{X: 1}, geom.Vec2{Y: 1}
	c.addFold(Fold{
		ID: design.Gutter, Mechanism: Spread, Role: GutterFold,
		Left:   Face{Panel: pageLeft, Along: u, Away: v},
		Right:  Face{Panel: pageRight, Along: u, Away: v},
		Length: s.PageHeight,
		Panels: [2]int{pageLeft, pageRight},
	})
}

// pageShape is a page of the given height along u and width along v, with its
// two outer corners rounded.
func pageShape(height, width, r float64) geom.Path {
	if r == 0 {
		return geom.PolylinePath([]geom.Vec2{{}, {X: height}, {X: height, Y: width}, {Y: width}}, true)
	}
	line := func(x, y float64) geom.Segment { return geom.Segment{Kind: geom.Line, To: geom.Vec2{X: x, Y: y}} }
	corner := func(x, y float64) geom.Segment {
		return geom.Segment{Kind: geom.Arc, To: geom.Vec2{X: x, Y: y}, RX: r, RY: r, Sweep: true}
	}
	return geom.Path{{
		Segments: []geom.Segment{
			line(height, 0), line(height, width-r), corner(height-r, width),
			line(r, width), corner(0, width-r),
		},
		Closed: true,
	}}
}

// hostFold is a fold as one mechanism stands on it.
type hostFold struct {
	hinge       int
	view        view
	left, right Face
}

func (c *compiler) hostFold(on design.Host) hostFold {
	index := c.folds[on.Fold]
	c.hinged[index] = true
	f := &c.Folds[index]
	host := hostFold{hinge: index, left: f.Left, right: f.Right}
	across := f.Role == BaseFold && on.Side == design.Inner || f.Role == TopFold && on.Side == design.Outer
	switch {
	case f.Role == RidgeFold && on.Side == design.Outer, f.Role == ValleyFold && on.Side == design.Inner:
		host.view, host.left, host.right = over, f.Right, f.Left
	case across && f.Left.Panel == f.Panels[0]:
		// The panel that runs on is on the left; the other part of it lies
		// beyond the fold, to the right of the panel that ends there.
		host.view, host.left, host.right = acrossLeft, f.Right, f.Left.beyond()
	case across:
		host.view, host.left, host.right = acrossRight, f.Right.beyond(), f.Left
	}
	return host
}

// state is the fold's state on the side stood on, valid until the next call.
func (h *hostFold) state(p *Pose) *Hinge {
	if h.view == asStored {
		return &p.hinges[h.hinge]
	}
	return p.hinges[h.hinge].seen(h.view, &p.side)
}
