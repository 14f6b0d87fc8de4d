package pattern

import (
	"fmt"
	"slices"
	"strings"

	"foldwright/solver/design"
	"foldwright/solver/draw"
	"foldwright/solver/geom"
)

// checkCuts looks at the cuts of every part as a machine does: webs too narrow,
// bends too tight, and what the kerf closes. Webs that were reported where they
// were cut are not told of again.
func (m *maker) checkCuts() {
	for i := range m.Parts {
		if m.stop() {
			return
		}
		d := &draw.Drawing{Box: m.Parts[i].extent().Grow(1), Parts: []draw.Part{m.Parts[i].Drawing()}}
		found, err := draw.CheckCuts(d, draw.CutLimits{MinWeb: m.web(), MinRadius: m.o.MinRadius, Most: mostWebs})
		if err == nil && m.o.Finish.Kerf > 0 {
			var closed []draw.CutFinding
			_, closed, err = draw.Compensate(d, m.o.Finish.Kerf)
			found = append(found, closed...)
		}
		if err != nil { // the parts are sound: their ids are unique and their numbers finite
			panic("pattern: " + err.Error())
		}
		for k := range found {
			m.cutProblem(i, &found[k])
		}
	}
}

// mostWebs is the most narrow webs told of in one part: nobody reads on, and
// where a hundred cuts lie on each other there are thousands.
const mostWebs = 50

func (m *maker) cutProblem(part int, f *draw.CutFinding) {
	near := func(cut geom.Path) bool { return geom.PolygonDistance(cut.Flatten(flatTolerance)[0], f.At) <= f.Limit }
	if f.Code == draw.WebTooThin && slices.ContainsFunc(m.told, func(t told) bool { return t.part == part && near(t.cut) }) {
		return
	}
	mechanism, field := m.cutBy(part, f, near)
	where := func(code Code, detail string, mm float64) { m.reportLength(code, mechanism, field, mm, detail) }
	at := fmt.Sprintf("%s at (%s, %s)", m.Parts[part].Name, m.length(f.At.X), m.length(f.At.Y))
	switch f.Code {
	case draw.WebTooThin:
		where(CodeNarrowWeb, fmt.Sprintf("%s has only %s of paper between cuts, less than %s; it tears", at, m.length(f.Amount), m.length(f.Limit)), f.Limit-f.Amount)
	case draw.RadiusTooSmall:
		where(CodeTightBend, fmt.Sprintf("%s bends with a radius of %s, tighter than %s; a blade cuts a corner there", at, m.length(f.Amount), m.length(f.Limit)), f.Limit-f.Amount)
	case draw.GapClosed:
		where(CodeGapClosed, fmt.Sprintf("%s has a gap narrower than the kerf of %s, which closes", at, m.length(f.Limit)), f.Limit)
	case draw.HoleLost:
		where(CodeHoleLost, fmt.Sprintf("%s has a hole narrower than the kerf of %s, which cannot be cut to size", at, m.length(f.Limit)), f.Limit)
	case draw.HoleSplit:
		where(CodeHoleSplit, fmt.Sprintf("%s has a hole with a neck narrower than the kerf of %s", at, m.length(f.Limit)), f.Limit)
	}
}

// cutBy is the mechanism, and the field of it, that a cut comes from. What is
// cut out of a part for another is that other's.
func (m *maker) cutBy(part int, f *draw.CutFinding, near func(geom.Path) bool) (mechanism int, field string) {
	for i := range m.opened {
		if o := &m.opened[i]; o.part == part && near(o.cut) {
			return o.name.mechanism, o.name.field
		}
	}
	if label, ok := strings.CutPrefix(f.Mark, "slot-"); ok {
		for i := range m.Joints {
			if m.Joints[i].Label == label {
				return m.Joints[i].Mechanism, "joint"
			}
		}
	}
	// None is the spread.
	return slices.IndexFunc(m.a.Design.Mechanisms, func(e design.Mechanism) bool { return e.ID == m.Parts[part].Mechanism }), ""
}
