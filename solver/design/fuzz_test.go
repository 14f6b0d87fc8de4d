package design_test

import (
	"math"
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// FuzzDecode: no bytes make the decoder panic, and a document it accepts can be
// posed without a number that is none.
func FuzzDecode(f *testing.F) {
	for _, seed := range []string{
		`{"title":"Harbour morning","units":"mm","paper":{"caliper":0.3,"grammage":240,"grain":"along_gutter"},
		  "spread":{"page_width":130,"page_height":180,"corner_radius":4,"margin":5,"opens_to":180},
		  "mechanisms":[
		  {"id":"lighthouse","kind":"v_fold","on":{"fold":"gutter"},"at":100,
		   "left":{"base_angle":55,"panel_angle":90,"base_length":70},"ridge_length":85},
		  {"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":8,"to":26,"left":{"base_offset":22,"panel_width":34}},
		  {"id":"gull","kind":"v_fold","on":{"fold":"lighthouse.left_base","side":"inner"},"at":30,
		   "left":{"base_angle":50,"panel_angle":75,"base_length":25},"ridge_length":30},
		  {"id":"lamp","kind":"figure","on":{"panel":"lighthouse.right"},"outline":"M0 0 H14 V20 H0 Z","place":{"u":30,"v":20,"rotate":0}}]}`,
		`{"units":"in","spread":{"page_width":5,"page_height":7},"mechanisms":[
		  {"id":"gangway","kind":"strap","on":{"fold":"gutter"},"from":1,"to":2,"left_offset":1,"right_offset":0.5},
		  {"id":"step","kind":"cut_step","on":{"fold":"gangway.ridge","side":"outer"},"from":0,"to":1,"left_offset":0.3,"right_offset":0.2},
		  {"id":"wake","kind":"cut_v","on":{"fold":"step.left_base"},"at":0.5,"left":{"base_angle":50,"base_length":1},"ridge_length":1}]}`,
		`{"spread":{"page_width":100,"page_height":100},"mechanisms":[
		  {"id":"jetty","kind":"v_fold","on":{"fold":"gutter"},"at":1e2,"left":{"base_angle":90,"panel_angle":90,"base_length":4e1},"ridge_length":50}]}`,
		`{"spread":{"page_width":1e999,"page_height":-0}}`, `{"title":"\ud800"}`, `[[[[`, `{"a":1,"a":2}`, `null`, "\xff",
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := design.Decode(data)
		if (err == nil) == (d == nil) {
			t.Fatalf("design %v, error %v", d, err)
		}
		if err != nil {
			if err.Error() == "" {
				t.Fatal("an error without words")
			}
			return
		}
		a := kinematics.Compile(d)
		a.PoseEach([]geom.Angle{0, math.Pi / 2, math.Pi}, func(_ int, p *kinematics.Pose) {
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
		})
	})
}
