package guide

import (
	"math"
	"slices"

	"foldwright/solver/assemble"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
	"foldwright/solver/pattern"
)

// stepChecks are what can be looked at while the glue is wet.
func (w *writer) stepChecks(s *assemble.Step) []string {
	list := []string{w.w.checkLetters}
	first := s.Joints[0]
	switch j := &w.p.Joints[first]; {
	case j.Dry:
		list = append(list, w.w.checkLock.with("part", w.name(j.Part)))
	case w.isHub(first):
		list = append(list, w.w.checkTurns)
	case w.slides(j.Mechanism):
		list = append(list, w.w.checkSlides)
	case w.folds(first) && s.Kind == assemble.Glue:
		list = append(list, w.w.checkCrease)
	}
	m, ok := w.completes(s)
	if !ok || !w.stands[m] {
		return list
	}
	part := pattern.Spaced(w.a.Design.Mechanisms[m].ID)
	list = append(list, w.w.checkShut.with("part", part))
	return append(list, w.openCheck(m, part)...)
}

// slides tells whether a mechanism has a strip.
func (w *writer) slides(m int) bool {
	return slices.ContainsFunc(w.a.Strips, func(s kinematics.Strip) bool { return s.Mechanism == m })
}

// leastHeight is what can be told from lying flat with a ruler, mm.
const leastHeight = 1.0

// openCheck gives the numbers of a mechanism with the page fully open: how high
// it stands and, where it has a ridge, the angle there.
func (w *writer) openCheck(m int, part string) []string {
	id := w.a.Design.Mechanisms[m].ID
	open := w.a.Design.Spread.OpensTo
	pose := w.a.NewPose()
	w.a.PoseInto(pose, kinematics.Drive{Opening: open})
	height, ok := w.take("height."+id, pose)
	if !ok || height < leastHeight {
		return nil
	}
	list := []string{w.w.checkStands.with("angle", angle(open), "part", part, "height", w.above(height, open))}
	if ridge, ok := w.take("fold."+id+".ridge", pose); ok {
		// What is printed faces outwards, so the maker sees the ridge from outside.
		list = append(list, w.w.checkRidge.with("fold", pattern.Spaced(id+" ridge"), "fold_angle", angle(geom.Angle(ridge))))
	}
	return list
}

// take measures something, if the design has it and the pose shows it.
func (w *writer) take(id string, pose *kinematics.Pose) (float64, bool) {
	m, ok := measure.Find(w.a, id)
	if !ok {
		return 0, false
	}
	v := measure.NewGauge(w.a).Take(&m, pose).Value
	return v, !math.IsNaN(v) && !math.IsInf(v, 0)
}

// above says how high something is at an opening, and from where to measure.
func (w *writer) above(height float64, opening geom.Angle) string {
	if opening == math.Pi {
		return w.w.aboveFlat.with("height", w.length(height))
	}
	return w.w.aboveGutter.with("height", w.length(height))
}

// waiting is how long the glue of a step is given.
func (w *writer) waiting(s *assemble.Step) string {
	switch {
	case !slices.ContainsFunc(s.Joints, func(k int) bool { return !w.p.Joints[k].Dry }):
		return ""
	case w.warmOnly():
		return w.w.waitHot
	case s.Kind == assemble.Shut:
		return w.w.waitPress
	}
	return w.w.waitPVA
}

// checks writes what to look at when all is done.
func (w *writer) checks() {
	w.Final = []string{w.w.finalShut, w.w.finalOpen}
	if slices.Contains(w.stands, false) {
		w.Final = nil
	}
	drawn := slices.ContainsFunc(w.a.Strips, func(s kinematics.Strip) bool { return s.Length > 0 })
	if drawn {
		w.Final = append(w.Final, w.w.finalMoves)
	}
	if len(w.a.Drivers) > 0 {
		w.Final = append(w.Final, w.w.finalHand)
	}
	open := w.a.Design.Spread.OpensTo
	openings := []geom.Angle{open}
	if half := geom.Degrees(90); half < open {
		openings = []geom.Angle{half, open}
	}
	w.a.PoseEach(openings, func(i int, p *kinematics.Pose) {
		height := p.Height()
		if height < leastHeight {
			return
		}
		say := w.w.finalHeight
		if openings[i] == math.Pi {
			say = w.w.finalHeightFlat
		}
		w.Final = append(w.Final, say.with("angle", angle(openings[i]), "height", w.length(height)))
	})
	if w.uses(PVA) {
		w.Final = append(w.Final, w.w.finalDry)
	}
}
