package pattern

import (
	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// maker is a pattern being made.
type maker struct {
	*Pattern
	a *kinematics.Assembly
	o Options

	// By panel of the assembly.
	panelByID map[string]int
	partOf    []int            // the part that holds the panel
	place     []geom.Placement // panel to part

	angles [][2]geom.Angle // by fold: range of its dihedral

	// By part: the glue areas that want their letter.
	requests [][]labelRequest
}

func newMaker(a *kinematics.Assembly, o Options) *maker {
	m := &maker{
		Pattern: &Pattern{Title: a.Design.Title, spacing: o.PartSpacing, height: o.LabelHeight},
		a:       a, o: o,
		panelByID: make(map[string]int, len(a.Panels)),
		partOf:    make([]int, len(a.Panels)),
		place:     make([]geom.Placement, len(a.Panels)),
		angles:    foldRanges(a),
	}
	for i := range a.Panels {
		m.panelByID[a.Panels[i].ID] = i
	}
	return m
}

func (m *maker) report(code Code, mechanism int, field, detail string) {
	m.Problems = append(m.Problems, Problem{code, mechanism, design.Point(mechanism, field), detail})
}

// layOutPanels gives every panel its place in a part and every part its
// outline, still without tabs.
func (m *maker) layOutPanels() {
	panels := make([][]int, 1+len(m.a.Design.Mechanisms)) // by mechanism, the spread first
	for i := range m.a.Panels {
		owner := 1 + m.a.Panels[i].Mechanism
		panels[owner] = append(panels[owner], i)
	}
	ridges := make([][]int, len(panels))
	for i := range m.a.Folds {
		if f := &m.a.Folds[i]; f.Role != kinematics.BaseFold {
			ridges[1+f.Mechanism] = append(ridges[1+f.Mechanism], i)
		}
	}
	for owner, list := range panels {
		if m.oneSheet(owner - 1) {
			continue
		}
		for _, sheet := range m.sheets(list, ridges[owner]) {
			m.addPart(owner-1, len(sheet.panels) == len(list), sheet)
		}
	}
	m.addOneSheet()
	m.grainFigures()
	m.requests = make([][]labelRequest, len(m.Parts))
}

// sheet is the panels that hang together by ridges.
type sheet struct{ panels, ridges []int }

// sheets sorts the panels of one mechanism into what hangs together.
func (m *maker) sheets(panels, ridges []int) []sheet {
	group := map[int]int{}
	for i, p := range panels {
		group[p] = i
	}
	for _, r := range ridges {
		f := &m.a.Folds[r]
		keep, drop := group[f.Panels[0]], group[f.Panels[1]]
		for _, p := range panels {
			if group[p] == drop {
				group[p] = keep
			}
		}
	}
	var list []sheet
	index := map[int]int{}
	for _, p := range panels {
		if _, known := index[group[p]]; !known {
			index[group[p]] = len(list)
			list = append(list, sheet{})
		}
		s := &list[index[group[p]]]
		s.panels = append(s.panels, p)
	}
	for _, r := range ridges {
		s := &list[index[group[m.a.Folds[r].Panels[0]]]]
		s.ridges = append(s.ridges, r)
	}
	return list
}

// addPart makes the part of a sheet. A mechanism that is one sheet gives it its
// own id; otherwise each sheet has the id of its first panel.
func (m *maker) addPart(mechanism int, whole bool, s sheet) {
	if mechanism == kinematics.Spread {
		m.addSheet(Part{ID: "page", Name: "page", Count: 1, Grain: m.foldedGrain(mechanism)}, s.panels, s.ridges)
		m.addMargin()
		return
	}
	entry := &m.a.Design.Mechanisms[mechanism]
	id := entry.ID
	if !whole {
		id = m.a.Panels[s.panels[0]].ID
	}
	part := Part{ID: id, Name: spaced(id), Mechanism: entry.ID, Count: 1, Grain: m.foldedGrain(mechanism)}
	if _, ok := entry.Spec.(*design.Figure); ok {
		m.addFigure(part, s.panels[0])
		return
	}
	m.addSheet(part, s.panels, s.ridges)
}

// addMargin draws the line that mechanisms should keep inside.
func (m *maker) addMargin() {
	s := m.a.Design.Spread
	if s.Margin == 0 {
		return
	}
	x, r := s.PageWidth-s.Margin, max(0, s.CornerRadius-s.Margin)
	m.Parts[0].Guides = geom.RoundedRect(-x, s.Margin, x, s.PageHeight-s.Margin, r)
}
