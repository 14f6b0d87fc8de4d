package curves

import (
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// Kind is a sort of measure.
type Kind string

const (
	// Height is how far mechanisms reach from the gutter along the bisector of
	// the pages.
	Height Kind = "height"
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
	// Clearance is the smallest distance between panels that are not joined,
	// 0 where they touch or cross.
	Clearance Kind = "clearance"
)

// Measure is something that can be measured of one design.
type Measure struct {
	ID    string // "height", "clearance" or "<kind>.<id of the fold, panel or strip>"
	Kind  Kind
	Title string
	Unit  string // "mm", "in" or "deg"

	index int // of the fold, panel or strip
	page  int // of a lean: the page's panel
}

// Unit names.
const degree = "deg"

func lengthUnit(a *kinematics.Assembly) string {
	if a.Design.Units == design.Inches {
		return string(design.Inches)
	}
	return string(design.Millimetres)
}

// Measures lists what can be measured of a design.
func Measures(a *kinematics.Assembly) []Measure {
	length := lengthUnit(a)
	out := []Measure{{ID: string(Height), Kind: Height, Title: "height", Unit: length}}
	for i := range a.Folds {
		out = append(out, measure(Fold, a.Folds[i].ID, "fold", degree, i))
	}
	for i := range a.Panels {
		out = append(out, measure(Tilt, a.Panels[i].ID, "tilt", degree, i))
	}
	pages := pagesOf(a)
	for i := range a.Panels {
		if a.Panels[i].Mechanism == kinematics.Spread || pages[i] < 0 {
			continue
		}
		m := measure(Lean, a.Panels[i].ID, "lean", degree, i)
		m.page = pages[i]
		out = append(out, m)
	}
	for i := range a.Strips {
		out = append(out, measure(Travel, a.Strips[i].ID, "travel", length, i))
	}
	if hasClearance(a) {
		out = append(out, Measure{ID: string(Clearance), Kind: Clearance, Title: "clearance", Unit: length})
	}
	return out
}

func measure(kind Kind, id, word, unit string, index int) Measure {
	return Measure{ID: string(kind) + "." + id, Kind: kind, Title: word + " of " + id, Unit: unit, index: index}
}

// Find is the measure of an id.
func Find(a *kinematics.Assembly, id string) (Measure, bool) {
	for _, m := range Measures(a) {
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

// mechanism is the mechanism a measure depends on, or kinematics.Spread.
func (m *Measure) mechanism(a *kinematics.Assembly) int {
	switch m.Kind {
	case Fold:
		return a.Folds[m.index].Mechanism
	case Tilt, Lean:
		return a.Panels[m.index].Mechanism
	case Travel:
		return a.Strips[m.index].Mechanism
	}
	return kinematics.Spread
}

// of is the value in a pose, NaN where there is none. The height is that of
// what is reached, as long as all of it is: a mechanism that drops out would
// make it jump. The gauge is needed for the clearance alone.
func (m *Measure) of(a *kinematics.Assembly, p *kinematics.Pose, g *gauge) float64 {
	if k := m.mechanism(a); k != kinematics.Spread && p.Reach[k] != kinematics.Reached {
		return math.NaN()
	}
	switch m.Kind {
	case Height:
		if !p.AllReached {
			return math.NaN()
		}
		return p.Height() / a.Design.Units.PerUnit()
	case Fold:
		return p.FoldAngle(m.index).Degrees()
	case Tilt:
		return between(printedNormal(a, p, m.index), geom.Vec3{Z: 1}).Degrees()
	case Lean:
		return between(printedNormal(a, p, m.index), printedNormal(a, p, m.page)).Degrees()
	case Travel:
		return p.Strips[m.index].Travel / a.Design.Units.PerUnit()
	case Clearance:
		return g.of(p) / a.Design.Units.PerUnit()
	}
	return math.NaN()
}

func printedNormal(a *kinematics.Assembly, p *kinematics.Pose, panel int) geom.Vec3 {
	return p.Panels[panel].Normal().Mul(a.Panels[panel].Printed)
}

// between is the angle between two unit vectors, exact where they nearly
// coincide too.
func between(a, b geom.Vec3) geom.Angle {
	return geom.Angle(2 * math.Atan2(a.Sub(b).Norm(), a.Add(b).Norm()))
}
