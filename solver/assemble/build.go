package assemble

import (
	"slices"
	"strings"

	"foldwright/solver/design"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
)

// build is a design being taken apart.
type build struct {
	a      *kinematics.Assembly
	p      *pattern.Pattern
	parts  map[string]int // by ID
	joints []joint        // as in the pattern
	rigid  []int          // by part: the part it moves with, or itself
	partOf []int          // by panel: the part; -1 where it has none
	rank   []int          // by joint: its place in the order people would choose
	sight  *sight

	placed []bool // by joint: whether it is still glued
	rings  rings  // of what is still glued
}

// joint is what taking apart needs to know of a joint.
type joint struct {
	part, host int  // parts
	folds      bool // it is a fold, about which its part turns
	// shuts is whether shutting can press it.
	shuts bool
	spots []spot
	// passes are parts that its part goes through.
	passes []int
	// after are the joints that must be glued earlier.
	after []int
}

func newBuild(a *kinematics.Assembly, p *pattern.Pattern, stop func() bool) *build {
	b := &build{a: a, p: p, parts: map[string]int{}, partOf: make([]int, len(a.Panels))}
	for i := range b.partOf {
		b.partOf[i] = -1
	}
	for i := range p.Parts {
		b.parts[p.Parts[i].ID] = i
		for _, placed := range p.Parts[i].Panels {
			b.partOf[placed.Panel] = i
		}
	}
	b.sight = newSight(a, stop)
	b.tieRigid()
	flat := a.NewPose()
	a.PoseInto(flat, kinematics.Drive{})
	for i := range p.Joints {
		j := &p.Joints[i]
		folds := a.FoldIndex(j.ID) >= 0
		b.joints = append(b.joints, joint{
			part: b.parts[j.Part], host: b.parts[j.Host], folds: folds,
			shuts: folds && !j.Slotted && flat.Reach[j.Mechanism] == kinematics.Reached,
			spots: b.spotsOf(j), passes: b.passes(j),
		})
		b.placed = append(b.placed, true)
	}
	b.orderWithin()
	b.rank = b.preferred()
	return b
}

// tieRigid ties what lies in the plane of a panel, or slides and turns there, to
// the part of that panel: none of it turns about a fold.
func (b *build) tieRigid() {
	b.rigid = make([]int, len(b.p.Parts))
	for i := range b.rigid {
		b.rigid[i] = i
		m := b.mechanismOf(i)
		if m == kinematics.Spread || b.folded(m) {
			continue
		}
		if host := b.a.PanelIndex(b.a.Design.Mechanisms[m].On.Panel); host >= 0 && b.partOf[host] >= 0 {
			b.rigid[i] = b.partOf[host]
		}
	}
	for i := range b.rigid { // figures on figures
		for b.rigid[b.rigid[i]] != b.rigid[i] {
			b.rigid[i] = b.rigid[b.rigid[i]]
		}
	}
}

// folded tells whether a mechanism is joined along folds.
func (b *build) folded(m int) bool {
	return slices.ContainsFunc(b.a.Folds, func(f kinematics.Fold) bool { return f.Mechanism == m })
}

// mechanismOf is the mechanism of a part, or Spread.
func (b *build) mechanismOf(part int) int {
	id := b.p.Parts[part].Mechanism
	if id == "" {
		return kinematics.Spread
	}
	return slices.IndexFunc(b.a.Design.Mechanisms, func(m design.Mechanism) bool { return m.ID == id })
}

// orderWithin notes what must be glued before what in a mechanism with a strip:
// what the strip moves is fixed to it before the edge with the gap it passes is
// glued, before its guides and before its other end.
func (b *build) orderWithin() {
	for i := range b.a.Strips {
		s := &b.a.Strips[i]
		moved := b.movedBy(s)
		if moved < 0 {
			continue
		}
		for k := range b.p.Joints {
			j := &b.p.Joints[k]
			if k == moved || j.Mechanism != s.Mechanism {
				continue
			}
			if j.ID == s.ID+".anchor" || b.isGap(s, j) || b.isGuide(j) {
				b.joints[k].after = append(b.joints[k].after, moved)
			}
		}
	}
}

// movedBy is the joint of a strip with what it moves; -1 when it has none.
func (b *build) movedBy(s *kinematics.Strip) int {
	arm := b.a.Design.Mechanisms[s.Mechanism].ID + ".joint_hub"
	return slices.IndexFunc(b.p.Joints, func(j pattern.Joint) bool {
		return j.ID == s.ID+".pull" || j.Host == s.ID || j.ID == arm
	})
}

// isGap tells whether a joint closes the gap that a strip passes.
func (b *build) isGap(s *kinematics.Strip, j *pattern.Joint) bool {
	fold := b.a.FoldIndex(j.ID)
	if fold < 0 || b.a.Folds[fold].Role != kinematics.BaseFold {
		return false
	}
	if s.Length > 0 {
		return b.a.Folds[fold].Panels[1] == s.Gap.Panel
	}
	return true // of a tent pulled by hand, its only base line
}

// isGuide tells whether a joint fixes a guide of a strip.
func (b *build) isGuide(j *pattern.Joint) bool {
	return strings.HasPrefix(j.Part, b.a.Design.Mechanisms[j.Mechanism].ID+".guide_")
}

// passes are the parts a joint's part goes through on its way to its host: hubs
// and runners hold together what lies between.
func (b *build) passes(j *pattern.Joint) []int {
	m := &b.a.Design.Mechanisms[j.Mechanism]
	host := b.a.PanelIndex(m.On.Panel)
	if host < 0 {
		return nil
	}
	page := b.partOf[host]
	own := b.parts[m.ID]
	switch j.ID {
	case m.ID + ".pivot_hub":
		return []int{own}
	case m.ID + ".joint_hub":
		return []int{own, page}
	case m.ID + ".strip_hub":
		return []int{b.parts[m.ID+".strip"]}
	case m.ID + ".hub", m.ID + ".runner.strip":
		return []int{page}
	}
	return nil
}
