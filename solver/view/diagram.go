package view

import (
	"io"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// DiagramWidth is the width of a catalogue diagram, px.
const DiagramWidth = 240

// Diagram writes a small clean picture of a design at an opening, as a
// catalogue shows it: without labels, and of DiagramWidth unless o has a width.
func Diagram(w io.Writer, a *kinematics.Assembly, opening geom.Angle, o Options) error {
	if !finite(float64(opening)) {
		return &OptionError{"opening", "must be a finite angle"}
	}
	if o.Width == 0 {
		o.Width = DiagramWidth
	}
	o.Labels = false
	p := a.NewPose()
	a.PoseInto(p, kinematics.Drive{Opening: opening})
	return Render(w, a, p, o)
}
