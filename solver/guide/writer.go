package guide

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"foldwright/solver/assemble"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
)

// writer is a guide being written.
type writer struct {
	*Guide
	w    *wording
	a    *kinematics.Assembly
	p    *pattern.Pattern
	plan *assemble.Plan
	o    Options

	part   map[string]*pattern.Part // by ID
	joint  map[string]int           // by ID
	partOf []int                    // by panel; -1 where it is in none
	stands []bool                   // by mechanism: reached shut and open
	group  []int                    // by part: a part it hangs together with
	glued  []bool                   // by joint
	eyes   *eyes
	shapes int   // of all pictures so far
	bare   []int // steps that could not be shown
}

func newWriter(a *kinematics.Assembly, p *pattern.Pattern, plan *assemble.Plan, o Options) *writer {
	w := &writer{
		Guide: &Guide{Pictures: o.Pictures, Units: string(a.Design.Units), words: &english}, w: &english,
		a: a, p: p, plan: plan, o: o,
		part: map[string]*pattern.Part{}, joint: map[string]int{}, partOf: make([]int, len(a.Panels)),
		group: make([]int, len(p.Parts)), glued: make([]bool, len(p.Joints)),
	}
	for i := range w.partOf {
		w.partOf[i] = -1
	}
	for i := range p.Parts {
		w.group[i] = i
		w.part[p.Parts[i].ID] = &p.Parts[i]
		for _, placed := range p.Parts[i].Panels {
			w.partOf[placed.Panel] = i
		}
	}
	for i := range p.Joints {
		w.joint[p.Joints[i].ID] = i
	}
	w.stands = standing(a)
	w.eyes = newEyes(w)
	return w
}

// standing tells which mechanisms are reached shut and fully open.
func standing(a *kinematics.Assembly) []bool {
	out := make([]bool, len(a.Design.Mechanisms))
	for i := range out {
		out[i] = true
	}
	a.PoseEach([]geom.Angle{0, a.Design.Spread.OpensTo}, func(_ int, p *kinematics.Pose) {
		for i := range out {
			out[i] = out[i] && p.Reach[i] == kinematics.Reached
		}
	})
	return out
}

func (w *writer) title() string {
	if w.a.Design.Title == "" {
		return w.w.untitled
	}
	return w.a.Design.Title
}

// name is a part's name, as it is written on the part.
func (w *writer) name(id string) string {
	part := w.part[id]
	if part.Mechanism == "" {
		return w.w.thePage
	}
	return part.Name
}

// length is a length as a ruler shows it: to a tenth of a millimetre or a
// hundredth of an inch.
func (w *writer) length(mm float64) string {
	return w.written(w.inUnits(mm))
}

func (w *writer) inUnits(mm float64) float64 { return mm / w.a.Design.Units.PerUnit() }

func decimal(v float64, places int) string {
	scale := math.Pow10(places)
	return strconv.FormatFloat(math.Round(v*scale)/scale+0, 'f', -1, 64) // +0: no minus before a zero
}

func angle(a geom.Angle) string { return decimal(a.Degrees(), 1) + "°" }

// all lists words as people do: A, B and C.
func (w *writer) all(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + w.w.and + words[last]
}

func (w *writer) letters(joints []int) string {
	out := make([]string, len(joints))
	for i, k := range joints {
		out[i] = w.p.Joints[k].Label
	}
	return w.all(out)
}

func (w *writer) uses(tools ...Tool) bool {
	return slices.ContainsFunc(tools, func(t Tool) bool { return slices.Contains(w.o.Tools, t) })
}

// warmOnly is whether everything is glued hot.
func (w *writer) warmOnly() bool { return w.uses(HotGlue) && !w.uses(PVA) }
