package pattern

import (
	"strconv"
	"strings"

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

	// By fold.
	turns   []foldTurn
	inSheet []bool // whether it is a crease between panels of one part

	// By part: the glue areas that want their letter.
	requests [][]labelRequest
	notes    []note
	opened   []opened
	told     []told
	reliefs  []relief
	open     []openRings

	necks [][]neck // by fold: the figures that pass it

	stopped bool
}

func newMaker(a *kinematics.Assembly, o Options) *maker {
	m := &maker{
		Pattern: &Pattern{Title: a.Design.Title, spacing: o.PartSpacing, height: o.LabelHeight, finish: o.Finish},
		a:       a, o: o,
		panelByID: make(map[string]int, len(a.Panels)),
		partOf:    make([]int, len(a.Panels)),
		place:     make([]geom.Placement, len(a.Panels)),
		inSheet:   make([]bool, len(a.Folds)),
	}
	for i := range a.Panels {
		m.panelByID[a.Panels[i].ID] = i
	}
	return m
}

// stop asks whether to give up. Once told so it does not ask again.
func (m *maker) stop() bool {
	m.stopped = m.stopped || m.o.Stop != nil && m.o.Stop()
	return m.stopped
}

func (m *maker) findTurns() { m.turns = foldTurns(m.a) }

func (m *maker) report(code Code, mechanism int, field, detail string) {
	pointer := "/spread"
	if mechanism != kinematics.Spread {
		pointer = strings.TrimSuffix(design.Point(mechanism, field), "/") // of the whole mechanism without a field
	}
	m.Problems = append(m.Problems, Problem{Code: code, Mechanism: mechanism, Pointer: pointer, Detail: detail})
}

// reportLength reports what a length, in mm, would cure.
func (m *maker) reportLength(code Code, mechanism int, field string, mm float64, detail string) {
	m.report(code, mechanism, field, detail)
	units := m.a.Design.Units
	m.Problems[len(m.Problems)-1].Amount = Amount{mm / units.PerUnit(), string(units)}
}

// length is a length as people read it in the units of the design: to a
// hundredth of a millimetre or about as finely in inches.
func (m *maker) length(mm float64) string {
	units, places := m.a.Design.Units, 2
	if units == design.Inches {
		places = 3
	}
	return strconv.FormatFloat(mm/units.PerUnit(), 'f', places, 64) + " " + string(units)
}

// layOutPanels gives every panel its place in a part and every part its
// outline, still without tabs.
func (m *maker) layOutPanels() {
	panels := make([][]int, 1+len(m.a.Design.Mechanisms)) // by mechanism, the spread first
	for i := range m.a.Panels {
		owner := 1 + m.a.Panels[i].Mechanism
		panels[owner] = append(panels[owner], i)
	}
	folds := make([][]int, len(panels))
	for _, plain := range []bool{true, false} { // ridges before other folds
		for i := range m.a.Folds {
			f := &m.a.Folds[i]
			if f.Role != kinematics.BaseFold && plain == (f.Role == kinematics.GutterFold || f.Role == kinematics.RidgeFold) {
				folds[1+f.Mechanism] = append(folds[1+f.Mechanism], i)
			}
		}
	}
	for owner, list := range panels {
		if m.stop() {
			return
		}
		if len(list) > 0 && !m.oneSheet(owner-1) {
			m.addMechanism(owner-1, list, folds[owner])
		}
	}
	m.addOneSheet()
	m.requests = make([][]labelRequest, len(m.Parts))
}

// addMechanism makes the parts of a mechanism, or the page. A mechanism that is
// one sheet gives it its own id; otherwise each sheet has the id of its first
// panel.
func (m *maker) addMechanism(mechanism int, panels, folds []int) {
	first := len(m.Parts)
	if mechanism == kinematics.Spread {
		m.addSheet(Part{ID: "page", Name: "page", Count: 1, Grain: m.foldedGrain(mechanism)}, panels, folds)
		m.addMargin()
		return
	}
	entry := &m.a.Design.Mechanisms[mechanism]
	part := Part{ID: entry.ID, Name: Spaced(entry.ID), Mechanism: entry.ID, Count: 1, Grain: m.foldedGrain(mechanism)}
	if _, ok := entry.Spec.(*design.Figure); ok {
		m.addFigure(part, panels[0])
		return
	}
	for len(panels) > 0 {
		panels = m.addSheet(part, panels, folds)
	}
	if len(m.Parts) > first+1 {
		for i := first; i < len(m.Parts); i++ {
			m.Parts[i].ID = m.a.Panels[m.Parts[i].Panels[0].Panel].ID
			m.Parts[i].Name = Spaced(m.Parts[i].ID)
		}
	}
	m.addStripParts(mechanism)
	m.addHandParts(mechanism)
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
