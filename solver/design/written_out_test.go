package design_test

import (
	"slices"
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/testdata/designs"
)

// Written out, every example is the same thing: its panels are where they were.
func TestWrittenOutIsTheSameThing(t *testing.T) {
	for _, name := range designs.Names() {
		document, _ := designs.Read(name)
		d, err := design.Decode(document)
		if err != nil {
			t.Fatal(err)
		}
		a, b := kinematics.Compile(d), kinematics.Compile(d.WrittenOut())
		p, q := a.NewPose(), b.NewPose()
		for _, opening := range []float64{0.2, 1.1, 2.6} {
			a.PoseInto(p, kinematics.Drive{Opening: geom.Angle(opening)})
			b.PoseInto(q, kinematics.Drive{Opening: geom.Angle(opening)})
			if !slices.Equal(p.Panels, q.Panels) {
				t.Errorf("%s: panels differ at %g", name, opening)
			}
		}
	}
}
