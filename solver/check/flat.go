package check

import (
	"slices"

	"foldwright/solver/finding"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// placeFlat says of every finding with a place in the world where that is on the
// flat pattern: at its point, or in the middle of the first of its panels.
func (x *exam) placeFlat() {
	if x.pattern == nil {
		return
	}
	pose := x.NewPose()
	for i := range x.findings {
		f := &x.findings[i]
		if f.Where.Flat.Part != "" || len(f.Where.Panels) == 0 {
			continue
		}
		panel := slices.IndexFunc(f.Where.Panels, func(id string) bool { return x.PanelIndex(id) >= 0 }) // not a strip
		if panel < 0 {
			continue
		}
		panel = x.PanelIndex(f.Where.Panels[panel])
		box := geom.EmptyBox()
		for _, p := range x.Panels[panel].Outline {
			box = box.Extend(p)
		}
		at := box.Center()
		if f.Where.HasPoint {
			x.PoseInto(pose, x.driveOf(f))
			if pose.Has(panel) {
				local := pose.Panels[panel].Local(f.Where.Point)
				at = geom.Vec2{X: local.X, Y: local.Y}
			}
		}
		f.Where.Flat = x.flat(panel, at)
	}
}

// driveOf is where the point of a finding is a point of the world.
func (x *exam) driveOf(f *finding.Finding) kinematics.Drive {
	drive := kinematics.Drive{Opening: f.At.From}
	if f.Hand != nil {
		drive.Hand = x.Rest()
		drive.Hand[f.Hand.Driver] = f.Hand.From
	}
	return drive
}

// flat is a point of a panel as it lies in its part.
func (x *exam) flat(panel int, at geom.Vec2) finding.Flat {
	for i := range x.pattern.Parts {
		part := &x.pattern.Parts[i]
		for _, placed := range part.Panels {
			if placed.Panel == panel {
				return finding.Flat{Part: part.ID, Point: placed.Place.Apply(at)}
			}
		}
	}
	return finding.Flat{}
}
