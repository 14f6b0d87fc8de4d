package design_test

import (
	"math"
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/testdata/designs"
)

// FuzzLinkage: no linkage makes the decoder or the solver panic, and what is
// said to be reached is finite and closed.
func FuzzLinkage(f *testing.F) {
	crate, _ := designs.Read("crate")
	f.Add(crate)
	f.Add([]byte(`{"spread":{"page_width":100,"page_height":100},"mechanisms":[{"id":"shed","kind":"linkage","on":{"fold":"gutter"},
		"panels":[{"id":"left","outline":[[0,0],[30,0],[30,40],[0,40]]},{"id":"right","outline":[[0,0],[30,0],[30,40],[0,40]]},{"id":"flag","outline":[[0,0],[10,0],[5,8]]}],
		"hinges":[{"id":"ridge","between":[{"panel":"left","edge":2},{"panel":"right","edge":2}],"reverse":true}],
		"glue":[{"panel":"left","edge":0,"to":"left","at":[[40,20],[10,20]]},{"id":"foot","panel":"right","edge":0,"to":"page.right","at":[[10,20],[40,20]]},
			{"panel":"flag","point":[[5,8]],"to":"shed.right","at":[[15,30]]}],
		"start":{"opening":90,"angles":[{"fold":"ridge","angle":60}]}}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := design.Decode(data)
		if err != nil {
			return
		}
		a := kinematics.Compile(d)
		a.PoseEach([]geom.Angle{0, 1e-3, math.Pi / 2, math.Pi}, func(_ int, p *kinematics.Pose) {
			for i := range a.Panels {
				if !p.Has(i) {
					continue
				}
				for _, v := range p.AppendVertices(nil, i) {
					if n := v.Norm(); math.IsNaN(n) || math.IsInf(n, 0) {
						t.Fatalf("%s at %g degrees has a vertex at %v", a.Panels[i].ID, p.Drive.Opening.Degrees(), v)
					}
				}
			}
			for _, state := range p.Linkages() {
				// The model is as large as its panels; nothing is over 2000 mm
				// from its origin.
				if !(state.Residual <= 1e-6*3000) {
					t.Fatalf("%g mm apart at %g degrees", state.Residual, p.Drive.Opening.Degrees())
				}
			}
		})
	})
}
