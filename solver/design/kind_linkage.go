package design

import (
	"fmt"
	"math"
	"strings"

	"foldwright/solver/geom"
)

// Linkage is a free set of panels joined by hinges and glued to host panels,
// for structures no other kind covers. Its motion is solved numerically.
type Linkage struct {
	Panels []LinkagePanel
	Hinges []LinkageHinge
	Glue   []LinkageGlue
	Start  *LinkageStart // nil: the closure is chosen by rule
}

// LinkagePanel is a flat polygon, drawn as its printed face is seen with u to
// the right and v up. Edge k runs from point k to the next.
type LinkagePanel struct {
	ID      string
	Outline []geom.Vec2
}

// LinkageEdge is an edge of one of the linkage's panels.
type LinkageEdge struct{ Panel, Edge int }

// LinkageHinge joins two panels along an edge of each.
type LinkageHinge struct {
	ID      string
	Between [2]LinkageEdge
	// Reverse turns the second panel over, so that its printed face is on the
	// other side than the first panel's.
	Reverse bool
}

// LinkageGlue fixes an edge of a panel to a line of a host, about which it can
// turn, or a point of a panel to a point of a host. The host may be another
// panel of the linkage itself.
type LinkageGlue struct {
	ID    string // of the fold an edge makes; empty for a point
	Panel int
	Edge  int       // -1 for a point
	Point geom.Vec2 // in the panel, of a point
	// To is the host panel, or "left" or "right" for a face of the fold stood
	// on. Own is its number where it is a panel of the linkage itself, else -1.
	To  string
	Own int
	// At is where: the ends of the edge, or the point. In the host panel's
	// (u, v); on a face, along the fold from its start and away from it.
	At []geom.Vec2
}

// LinkageStart chooses one of several ways in which a linkage can close.
type LinkageStart struct {
	Opening geom.Angle // 0: left to the solver
	Angles  []LinkageAngle
}

// LinkageAngle is the dihedral of a fold of the linkage on its working side,
// about.
type LinkageAngle struct {
	Fold  string
	Angle geom.Angle
}

// Faces of the fold a linkage stands on, as glue names them.
const (
	ToLeft  = "left"
	ToRight = "right"
)

// Limits of a linkage. They bound the work of solving one: the unknowns are at
// most three for each panel, the equations five for each hinge.
const (
	maxLinkagePanels = 24
	maxLinkageHinges = 64
	maxLinkageGlue   = 48
	maxPanelPoints   = 64
	// maxLinkageID leaves room for "<mechanism>.<panel>_base" in the name of a
	// fold.
	maxLinkageID = 24
)

// maxDesignPanels is the most panels all linkages of a design may have together.
// A linkage of so many takes about a second to solve.
const maxDesignPanels = 96

// edgeTolerance is how far, in mm, the lengths of two edges that are joined may
// differ, and an edge from the line it is glued to: half of what paper takes up
// (0.1 mm, the repeatability of a cutter), and more than coordinates rounded to
// two decimals leave (0.03 mm).
const edgeTolerance = 0.05

var linkageEdgeSchema = Schema{
	linkageName("panel", "panel of this linkage"),
	Field{Name: "edge", Quantity: Whole, Doc: "number of the edge; edge 0 runs from point 0 to point 1", Required: true}.within(0, maxPanelPoints-1),
}

func linkageName(name, doc string) Field {
	return Field{Name: name, Quantity: Text, Doc: doc, Required: true, Min: 1, Max: maxLinkageID}
}

var linkageKind = KindInfo{
	Kind:    "linkage",
	Summary: "A free set of panels, hinges and glued lines, solved numerically.",
	Stands:  OnFold,
	Schema: Schema{
		{Name: "panels", Quantity: List, Required: true, Max: maxLinkagePanels, Doc: "the flat panels, at least one", Fields: Schema{
			linkageName("id", "name of the panel; it is known as <id>.<this>"),
			{Name: "outline", Quantity: Points, Required: true, Min: 3, Max: maxPanelPoints,
				Doc: "corners (u, v) of the panel as its printed face is seen"},
		}},
		{Name: "hinges", Quantity: List, Max: maxLinkageHinges, Doc: "edges of two panels that are joined", Fields: Schema{
			linkageName("id", "name of the fold the hinge makes"),
			{Name: "between", Quantity: List, Required: true, Max: 2, Doc: "the two edges, of equal length", Fields: linkageEdgeSchema},
			flag("reverse", "turn the second panel over, printed face to the other side", false),
		}},
		{Name: "glue", Quantity: List, Required: true, Max: maxLinkageGlue, Doc: "edges and points fixed to hosts, at least one", Fields: Schema{
			optional(linkageName("id", "name of the fold a glued edge makes; left out, <panel>_base")),
			linkageName("panel", "panel of this linkage"),
			optional(Field{Name: "edge", Quantity: Whole, Doc: "number of the edge that is glued"}.within(0, maxPanelPoints-1)),
			{Name: "point", Quantity: Points, Min: 1, Max: 1, Doc: "instead of an edge, the point (u, v) of the panel that is glued"},
			{Name: "to", Quantity: Text, Required: true, Min: 1, Max: 64,
				Doc: "left or right for a face of the fold stood on, or the name of a panel, also of this linkage"},
			{Name: "at", Quantity: Points, Required: true, Min: 1, Max: 2,
				Doc: "where the edge's ends come to lie, or the point: along the fold and away from it on a face, (u, v) on a panel"},
		}},
		nested("start", "which of several ways to close is meant", false, Schema{
			optional(angle("opening", "opening at which the linkage is looked at; left out, about half of what the spread opens to").within(1, 180)),
			{Name: "angles", Quantity: List, Max: maxLinkageHinges + maxLinkageGlue, Doc: "angles of folds at that opening, about", Fields: Schema{
				{Name: "fold", Quantity: Text, Required: true, Min: 1, Max: 64, Doc: "name of a hinge or of a glued edge"},
				angle("angle", "dihedral on the working side: of a glued edge on the printed side of the panel, of a hinge on the other side").within(0, 360),
			}},
		}),
	},
	Conditions: []string{
		"Every panel hangs from a host through hinges and glue; edges that are joined are equally long.",
		"Without start, of the four closures that stand highest over the fold the one that follows the widest range of openings is taken, and of equals the highest.",
		"What the hinges leave free stays as still as it can.",
	},
	decode: func(o *object) Spec {
		l := &linkageReader{object: o, spec: &Linkage{}}
		if n, ok := o.find("id"); ok {
			l.id, _ = n.value.(string)
		}
		l.readPanels()
		l.readHinges()
		l.readGlue()
		l.readStart()
		l.checkHeld()
		return l.spec
	},
}

// linkageReader is a linkage being decoded, with the names met so far.
type linkageReader struct {
	*object
	spec   *Linkage
	panels map[string]int
	folds  map[string]bool
	places []string // pointers of the panels
	// unsound is set once a name or an edge is at fault; what depends on all of
	// them is not judged then, so that one fault is named once.
	unsound, unsoundPanels bool
	id                     string // of the linkage
}

// items reads a list of objects. What is no list, is too long or is no object
// leaves the linkage unsound.
func (l *linkageReader) items(o *object, name string) []*object {
	var list []*object
	before := len(l.problems)
	nodes := o.list(name)
	l.unsound = l.unsound || len(l.problems) > before
	for _, n := range nodes {
		item := o.openObject(n, o.schema.field(name).Fields)
		if item == nil {
			l.unsound = true
			continue
		}
		list = append(list, item)
	}
	return list
}

// some reads a list of objects that must not be empty.
func (l *linkageReader) some(name, what string) []*object {
	before := len(l.problems)
	list := l.items(l.object, name)
	if len(list) == 0 {
		l.unsound = true
		if len(l.problems) == before {
			l.reject(name, CodeMissing, "at least one %s is required", what)
		}
	}
	return list
}

// name reads an id and checks its form.
func (o *object) name(field string) string {
	id := o.text(field)
	if id != "" && !idRule.MatchString(id) {
		o.reject(field, CodeBadID, "must be a lower-case letter followed by lower-case letters, digits or underscores; got %q", clip(id))
		return ""
	}
	return id
}

func (l *linkageReader) readPanels() {
	l.panels = map[string]int{}
	for _, o := range l.some("panels", "panel") {
		l.places = append(l.places, o.node.pointer)
		p := LinkagePanel{ID: o.name("id"), Outline: o.points("outline")}
		if _, taken := l.panels[p.ID]; taken {
			o.reject("id", CodeDuplicateID, "%q is already the id of another panel of this linkage", p.ID)
			l.unsound = true
		} else if p.ID != "" {
			l.panels[p.ID] = len(l.spec.Panels)
		}
		if p.Outline != nil && !o.checkPolygon("outline", p.Outline) {
			p.Outline = nil
		}
		l.unsound = l.unsound || p.ID == "" || p.Outline == nil
		l.spec.Panels = append(l.spec.Panels, p)
	}
	l.unsoundPanels = l.unsound
}

// checkPolygon checks that a closed polygon has real edges, encloses an area
// and does not cross itself.
func (o *object) checkPolygon(name string, points []geom.Vec2) bool {
	for k, p := range points {
		if next := points[(k+1)%len(points)]; next.Sub(p).Norm() < minLength {
			o.reject(name, CodeBadPath, "edge %d is shorter than %s", k, o.in(minLength))
			return false
		}
	}
	for i := range points {
		for j := i + 2; j < len(points); j++ {
			if (j+1)%len(points) != i && crosses(points[i], points[i+1], points[j], points[(j+1)%len(points)]) {
				o.reject(name, CodeBadPath, "edges %d and %d cross", i, j)
				return false
			}
		}
	}
	if math.Abs(geom.PolygonArea(points)) < minOutlineArea {
		o.reject(name, CodeBadPath, "must enclose an area")
		return false
	}
	return true
}

// crosses tells whether two segments cross at inner points of both.
func crosses(a, b, c, d geom.Vec2) bool {
	side := func(p, q, r geom.Vec2) bool { return q.Sub(p).Cross(r.Sub(p)) > 0 }
	return side(a, b, c) != side(a, b, d) && side(c, d, a) != side(c, d, b)
}

func (l *linkageReader) readHinges() {
	l.folds = map[string]bool{}
	for _, o := range l.items(l.object, "hinges") {
		h := LinkageHinge{ID: o.name("id"), Reverse: o.flag("reverse")}
		l.takeFold(o, h.ID)
		sound := true
		before := len(l.problems)
		between := l.items(o, "between")
		if len(between) != 2 && len(l.problems) == before {
			o.reject("between", CodeMissing, "two edges are required; there are %d", len(between))
		}
		if len(between) != 2 {
			l.unsound = true
			l.spec.Hinges = append(l.spec.Hinges, h)
			continue
		}
		for k, e := range between {
			panel, edge, ok := l.edge(e)
			h.Between[k] = LinkageEdge{panel, edge}
			sound = sound && ok
		}
		if sound {
			a, b := l.spec.edgeLength(h.Between[0]), l.spec.edgeLength(h.Between[1])
			switch {
			case h.Between[0].Panel == h.Between[1].Panel:
				o.reject("between", CodeNotAllowed, "a panel cannot be hinged to itself")
				sound = false
			case math.Abs(a-b) > edgeTolerance:
				o.reject("between", CodeNotAllowed, "edges that are joined must be equally long, within %s; these are %s and %s",
					o.in(edgeTolerance), o.in(a), o.in(b))
				sound = false
			}
		}
		l.unsound = l.unsound || !sound
		l.spec.Hinges = append(l.spec.Hinges, h)
	}
}

// takeFold notes the name of a fold, which must be new.
func (l *linkageReader) takeFold(o *object, id string) {
	if id == "" {
		l.unsound = true
		return
	}
	if l.folds[id] {
		o.reject("id", CodeDuplicateID, "%q is already the name of another fold of this linkage", id)
	}
	l.folds[id] = true
}

// panel reads the name of a panel of the linkage; -1 when there is none.
func (l *linkageReader) panel(o *object) int {
	id := o.text("panel")
	index, known := l.panels[id]
	if known {
		return index
	}
	if id != "" && !l.unsoundPanels {
		o.reject("panel", CodeUnknownHost, "this linkage has no panel %q", clip(id))
	}
	return -1
}

func (l *linkageReader) edge(o *object) (panel, edge int, ok bool) {
	before := len(l.problems)
	panel, edge = l.panel(o), o.whole("edge")
	if panel < 0 || len(l.problems) > before || l.spec.Panels[panel].Outline == nil {
		return panel, edge, false
	}
	if n := len(l.spec.Panels[panel].Outline); edge >= n {
		o.reject("edge", CodeOutOfRange, "%s has %d edges, numbered from 0 to %d", l.spec.Panels[panel].ID, n, n-1)
		return panel, edge, false
	}
	return panel, edge, true
}

func (l *linkageReader) readGlue() {
	for _, o := range l.some("glue", "edge or point glued to a host") {
		g := LinkageGlue{Edge: -1, To: o.text("to"), Own: -1, At: o.points("at")}
		switch {
		case o.has("edge") == o.has("point"):
			o.reject("edge", CodeMissing, "give either the edge or the point that is glued")
			g.Panel = l.panel(o)
			l.unsound = true
		case o.has("edge"):
			l.readGluedEdge(o, &g)
		default:
			l.readGluedPoint(o, &g)
		}
		l.readOwn(o, &g)
		l.spec.Glue = append(l.spec.Glue, g)
	}
}

// readOwn looks up a host that is a panel of the linkage itself.
func (l *linkageReader) readOwn(o *object, g *LinkageGlue) {
	name, own := strings.CutPrefix(g.To, l.id+".")
	if !own {
		return
	}
	index, known := l.panels[name]
	switch {
	case !known:
		if !l.unsoundPanels {
			o.reject("to", CodeUnknownHost, "this linkage has no panel %q", clip(name))
		}
		g.To, l.unsound = "", true
	case index == g.Panel:
		o.reject("to", CodeNotAllowed, "a panel cannot be glued to itself")
		g.To, l.unsound = "", true
	default:
		g.Own = index
	}
}

func (l *linkageReader) readGluedEdge(o *object, g *LinkageGlue) {
	var ok bool
	if g.Panel, g.Edge, ok = l.edge(o); g.Panel >= 0 {
		g.ID = l.spec.Panels[g.Panel].ID + "_base"
	}
	if o.has("id") {
		g.ID = o.name("id")
	}
	l.takeFold(o, g.ID)
	switch {
	case g.At == nil:
		ok = false
	case len(g.At) != 2:
		o.reject("at", CodeOutOfRange, "an edge is glued between two points; one is given")
		ok = false
	case ok:
		have, want := g.At[1].Sub(g.At[0]).Norm(), l.spec.edgeLength(LinkageEdge{g.Panel, g.Edge})
		if math.Abs(have-want) > edgeTolerance {
			o.reject("at", CodeNotAllowed, "the points must be as far apart as the edge is long, %s; they are %s apart", o.in(want), o.in(have))
			ok = false
		}
	}
	l.unsound = l.unsound || !ok
}

func (l *linkageReader) readGluedPoint(o *object, g *LinkageGlue) {
	g.Panel = l.panel(o)
	point := o.points("point")
	if point != nil {
		g.Point = point[0]
	}
	if o.has("id") {
		o.reject("id", CodeNotAllowed, "a glued point makes no fold to name")
	}
	if len(g.At) == 2 {
		o.reject("at", CodeOutOfRange, "a point is glued at one point; two are given")
	}
	l.unsound = l.unsound || g.Panel < 0 || point == nil || len(g.At) != 1
}

func (l *linkageReader) readStart() {
	o := l.object.object("start")
	if o == nil {
		return
	}
	s := &LinkageStart{Opening: o.angle("opening")}
	for _, a := range l.items(o, "angles") {
		fold := a.text("fold")
		if fold != "" && !l.folds[fold] && !l.unsound {
			a.reject("fold", CodeUnknownHost, "this linkage has no hinge or glued edge %q", clip(fold))
		}
		s.Angles = append(s.Angles, LinkageAngle{fold, a.angle("angle")})
	}
	l.spec.Start = s
}

// checkHeld checks that every panel hangs from a host.
func (l *linkageReader) checkHeld() {
	if l.unsound {
		return
	}
	held := make([]bool, len(l.spec.Panels))
	var joints [][2]int // panels of the linkage that are joined
	for _, g := range l.spec.Glue {
		if g.Own >= 0 {
			joints = append(joints, [2]int{g.Own, g.Panel})
		} else {
			held[g.Panel] = true
		}
	}
	for _, h := range l.spec.Hinges {
		joints = append(joints, [2]int{h.Between[0].Panel, h.Between[1].Panel})
	}
	for more := true; more; {
		more = false
		for _, j := range joints {
			if held[j[0]] != held[j[1]] {
				held[j[0]], held[j[1]], more = true, true, true
			}
		}
	}
	for i, ok := range held {
		if !ok {
			l.add(l.places[i], CodeNotAllowed, "nothing holds panel %s: join it to a panel that is glued to a host", l.spec.Panels[i].ID)
		}
	}
}

// limitLinkages holds the linkages of a design to maxDesignPanels.
func (f *faults) limitLinkages(d *Design) {
	total := 0
	for i := range d.Mechanisms {
		l, ok := d.Mechanisms[i].Spec.(*Linkage)
		if !ok {
			continue
		}
		if total += len(l.Panels); total > maxDesignPanels {
			f.add(pointerTo(i, "panels"), CodeTooMany, "at most %d panels are allowed in all linkages of a design together", maxDesignPanels)
			return
		}
	}
}

// Edge gives the ends of an edge in its panel.
func (s *Linkage) Edge(e LinkageEdge) (from, to geom.Vec2) {
	outline := s.Panels[e.Panel].Outline
	return outline[e.Edge], outline[(e.Edge+1)%len(outline)]
}

func (s *Linkage) edgeLength(e LinkageEdge) float64 {
	from, to := s.Edge(e)
	return to.Sub(from).Norm()
}

// SameWay tells whether the two edges of a hinge run the same way. Panels whose
// outlines run round the same way lie side by side in the flat, printed faces
// up, when their common edge runs opposite ways in the two; turned over, or
// with outlines that run round opposite ways, it is the other way about.
func (s *Linkage) SameWay(h *LinkageHinge) bool {
	a, b := s.Panels[h.Between[0].Panel].Outline, s.Panels[h.Between[1].Panel].Outline
	sameRound := (geom.PolygonArea(a) > 0) == (geom.PolygonArea(b) > 0)
	return sameRound == h.Reverse
}

// Clone implements Spec.
func (s *Linkage) Clone() Spec {
	c := &Linkage{}
	for _, p := range s.Panels {
		p.Outline = append([]geom.Vec2(nil), p.Outline...)
		c.Panels = append(c.Panels, p)
	}
	c.Hinges = append(c.Hinges, s.Hinges...)
	for _, g := range s.Glue {
		g.At = append([]geom.Vec2(nil), g.At...)
		c.Glue = append(c.Glue, g)
	}
	if s.Start != nil {
		c.Start = &LinkageStart{s.Start.Opening, append([]LinkageAngle(nil), s.Start.Angles...)}
	}
	return c
}

// numbers has none: a change of one coordinate would part edges that are
// joined.
func (s *Linkage) numbers() []number { return nil }

func (s *Linkage) makes() (panels, folds []string) {
	for _, p := range s.Panels {
		panels = append(panels, p.ID)
	}
	for _, h := range s.Hinges {
		folds = append(folds, h.ID)
	}
	for _, g := range s.Glue {
		if g.Edge >= 0 {
			folds = append(folds, g.ID)
		}
	}
	return panels, folds
}

// side: a glued edge is stood on from outside, a hinge from underneath.
func (s *Linkage) side(fold string) Side {
	for _, g := range s.Glue {
		if g.Edge >= 0 && g.ID == fold {
			return Outer
		}
	}
	return Inner
}

func (s *Linkage) joins() []join {
	var list []join
	for i, g := range s.Glue {
		if g.To != "" && g.To != ToLeft && g.To != ToRight && g.Own < 0 {
			list = append(list, join{fmt.Sprintf("glue/%d/to", i), g.To})
		}
	}
	return list
}
