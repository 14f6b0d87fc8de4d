package guide

import (
	"foldwright/solver/design"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
)

// front writes what stands before the list of parts.
func (w *writer) front() {
	w.Title = w.title()
	w.facts()
	w.takeCare()
	w.materials()
	w.notices()
	if w.Pictures {
		w.Reading = []string{w.w.readCut, w.w.readMountain, w.w.readValley, w.w.readGlue, w.w.readLetter, w.w.readReverse, w.w.readNew}
	}
}

func (w *writer) facts() {
	d := w.a.Design
	s := &d.Spread
	grain := w.w.alongGutter
	if d.Paper.Grain == design.AcrossGutter {
		grain = w.w.acrossGutter
	}
	pieces := 0
	for i := range w.p.Parts {
		pieces += w.p.Parts[i].Count
	}
	pose := w.a.NewPose()
	w.a.PoseInto(pose, kinematics.Drive{Opening: s.OpensTo})
	w.Facts = []Fact{
		{w.w.size, w.w.shutOpen.with("w", w.length(s.PageWidth), "h", w.length(s.PageHeight), "open", w.length(2*s.PageWidth))},
		{w.w.opens, w.w.opensTo.with("angle", angle(s.OpensTo))},
		{w.w.paper, w.w.paperOf.with("caliper", w.thickness(), "grammage", decimal(d.Paper.Grammage, 0))},
		{w.w.grain, grain},
	}
	if d.Paper.Grammage == 0 {
		w.Facts[2].Value = w.thickness()
	}
	if height := pose.Height(); height >= leastHeight {
		w.Facts = append(w.Facts, Fact{w.w.height, w.above(height, s.OpensTo)})
	}
	w.Facts = append(w.Facts, Fact{w.w.pieces, w.w.piece.of(pieces) + ", " + w.w.joint.of(len(w.p.Joints))})
}

// thickness is that of the paper, more finely than other lengths.
func (w *writer) thickness() string {
	d := w.a.Design
	return decimal(w.inUnits(d.Paper.Caliper), 3) + " " + string(d.Units)
}

func (w *writer) takeCare() {
	w.Cautions = append(w.Cautions, Caution{"", w.w.always[0], w.w.always[1]})
	for _, tool := range AllTools() {
		if w.uses(tool) {
			w.Cautions = append(w.Cautions, Caution{tool, w.w.cautionTitles[tool], w.w.cautionTexts[tool]})
		}
	}
	w.Cautions = append(w.Cautions, Caution{"", w.w.children[0], w.w.children[1]})
}

func (w *writer) materials() {
	d := w.a.Design
	card := w.w.card.with("caliper", w.thickness(), "grammage", decimal(d.Paper.Grammage, 0))
	w.Materials = append(w.Materials, card)
	for _, tool := range AllTools() {
		if !w.uses(tool) {
			continue
		}
		w.Tools = append(w.Tools, w.w.toolNames[tool])
		if glue := w.w.glues[tool]; glue != "" {
			w.Materials = append(w.Materials, glue)
		}
	}
	w.Tools = append(w.Tools, w.w.otherTools...)
	w.Materials = append(w.Materials, w.w.otherMaterials...)
}

func (w *writer) notices() {
	if len(w.plan.Unreachable) > 0 {
		w.Notices = append(w.Notices, w.w.unreachable.with("letters", w.letters(w.plan.Unreachable)))
	}
	if len(w.plan.Undecided) > 0 {
		w.Notices = append(w.Notices, w.w.undecided.with("letters", w.letters(w.plan.Undecided)))
	}
	for m, stands := range w.stands {
		if !stands {
			w.Notices = append(w.Notices, w.w.holdsOpen.with("part", pattern.Spaced(w.a.Design.Mechanisms[m].ID)))
		}
	}
	for i := range w.p.Problems {
		w.Notices = append(w.Notices, w.w.problem.with("what", w.p.Problems[i].Detail))
	}
}
