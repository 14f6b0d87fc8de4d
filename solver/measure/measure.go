package measure

import (
	"strings"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// Kind is a sort of measure.
type Kind string

const (
	// Height is how far something reaches from the gutter along the bisector of
	// the pages: z in the world. Of more than a point it is that of the highest.
	Height Kind = "height"
	// Across is how far a point is to the right of the gutter: x in the world.
	Across Kind = "across"
	// Along is how far up the page a point is, seen along the bisector: y in
	// the world.
	Along Kind = "along"
	// Fold is the dihedral of a fold on its working side: 0 shut, 180 flat.
	Fold Kind = "fold"
	// Tilt is the angle of a panel to the table under the open book, between
	// its printed face and upwards: 0 flat, 90 upright, 180 face down.
	Tilt Kind = "tilt"
	// Lean is the angle between the printed faces of a panel and of the page
	// it stands on: 0 flat on the page, 90 square to it, 180 turned over.
	Lean Kind = "lean"
	// Travel is how far a strip has been drawn since the book was shut, or
	// since rest where it is pulled by hand.
	Travel Kind = "travel"
	// Inset is how far inside the edge of the shut page something lies, less
	// than 0 where it reaches past. It has a value only where the book is shut.
	Inset Kind = "inset"
	// Distance is that of two points.
	Distance Kind = "distance"
	// Clearance is the smallest distance between panels that are not joined,
	// or between all those of two things: 0 where they touch or cross.
	Clearance Kind = "clearance"
)

// Measure is something that can be measured of one design.
type Measure struct {
	ID    string
	Kind  Kind
	Title string
	Unit  string // of the document: "mm", "in" or "deg"
	// Scale is the length of one Unit in mm, or its size in radians.
	Scale float64

	index  int // of the fold, panel or strip
	page   int // of a lean: the page's panel
	thing  subject
	points [2]point
	sides  [2]subject
}

// Angle tells whether it is an angle.
func (m *Measure) Angle() bool { return m.Unit == degree }

const degree = "deg"

// List lists the measures a design has by itself: those of everything, and those
// of each fold, panel and strip. Find knows those of places, mechanisms and
// pairs as well.
func List(a *kinematics.Assembly) []Measure {
	out := []Measure{length(a, Height, "")}
	for i := range a.Folds {
		out = append(out, angle(Fold, a.Folds[i].ID, i))
	}
	for i := range a.Panels {
		out = append(out, angle(Tilt, a.Panels[i].ID, i))
	}
	pages := pagesOf(a)
	for i := range a.Panels {
		if a.Panels[i].Mechanism == kinematics.Spread || pages[i] < 0 {
			continue
		}
		m := angle(Lean, a.Panels[i].ID, i)
		m.page = pages[i]
		out = append(out, m)
	}
	for i := range a.Strips {
		m := length(a, Travel, a.Strips[i].ID)
		m.index = i
		out = append(out, m)
	}
	if hasClearance(a) {
		out = append(out, length(a, Clearance, ""))
	}
	return out
}

func angle(kind Kind, id string, index int) Measure {
	return Measure{ID: name(kind, id), Kind: kind, Title: title(kind, id), Unit: degree, Scale: float64(geom.Degrees(1)), index: index}
}

func length(a *kinematics.Assembly, kind Kind, of string) Measure {
	units := a.Design.Units
	return Measure{ID: name(kind, of), Kind: kind, Title: title(kind, of), Unit: string(units), Scale: units.PerUnit()}
}

func name(kind Kind, of string) string {
	if of == "" {
		return string(kind)
	}
	return string(kind) + "." + of
}

func title(kind Kind, of string) string {
	if of == "" {
		return string(kind)
	}
	return string(kind) + " of " + strings.Replace(of, "~", " and ", 1)
}

// Find is the measure of a name.
func Find(a *kinematics.Assembly, id string) (Measure, bool) {
	kind, of, named := strings.Cut(id, ".")
	m := length(a, Kind(kind), of)
	ok := false
	switch m.Kind {
	case Height:
		if m.thing, ok = findSubject(a, of); !ok {
			m.points[0], ok = findPoint(a, of)
		}
	case Inset:
		m.thing, ok = findSubject(a, of)
	case Across, Along:
		m.points[0], ok = findPoint(a, of)
	case Distance:
		ok = bothOf(a, of, &m.points, findPoint)
	case Clearance:
		ok = bothOf(a, of, &m.sides, findSubject) && m.sides[0] != m.sides[1]
	}
	if ok {
		return m, named
	}
	for _, m := range List(a) {
		if m.ID == id {
			return m, true
		}
	}
	return Measure{}, false
}

// pagesOf gives for every panel the page it stands on, by the base fold that
// ties it to its host, or by the panel it lies on; -1 for a panel tied to
// neither, such as the top of a box.
func pagesOf(a *kinematics.Assembly) []int {
	out := make([]int, len(a.Panels))
	for i := range out {
		out[i] = -1
		if a.Panels[i].Mechanism == kinematics.Spread {
			out[i] = i
		}
	}
	// Hosts come before what stands on them, in panels and in folds.
	for i := range a.Panels {
		m := a.Panels[i].Mechanism
		if m == kinematics.Spread {
			continue
		}
		if host := a.PanelIndex(a.Design.Mechanisms[m].On.Panel); host >= 0 {
			out[i] = out[host]
		}
		for k := range a.Folds {
			f := &a.Folds[k]
			if f.Role == kinematics.BaseFold && f.Panels[1] == i {
				out[i] = out[f.Panels[0]]
			}
		}
	}
	return out
}

// Mechanisms lists what must be compiled for the measure to be taken as in the
// whole design: all of them where it is of everything. What they stand on is
// not listed.
func (m *Measure) Mechanisms(a *kinematics.Assembly) (list []int, all bool) {
	add := func(mechanism int) {
		if mechanism != kinematics.Spread {
			list = append(list, mechanism)
		}
	}
	switch m.Kind {
	case Fold:
		add(a.Folds[m.index].Mechanism)
	case Tilt, Lean:
		add(a.Panels[m.index].Mechanism)
	case Travel:
		add(a.Strips[m.index].Mechanism)
	default:
		if m.ID == string(m.Kind) {
			return nil, true
		}
		for _, s := range [...]subject{m.thing, m.sides[0], m.sides[1]} {
			if s.named {
				add(s.owner)
			}
		}
		for _, p := range m.points {
			if p.on != noPoint {
				add(p.owner)
			}
		}
	}
	return list, false
}
