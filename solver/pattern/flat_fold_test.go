package pattern

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// Where creases of the cut sheet meet at an inner point, the sheet folds flat
// only as the theorems of flat folding allow. A V cut from the page makes such
// a point at its apex.
//
// Kawasaki–Justin: the angles between creases, taken alternately, sum to the
// same. Maekawa–Justin: mountains and valleys differ by two. Both as stated in
// encyclopedia articles on flat folding.
func TestCutVFoldsFlat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := float64(rapid.IntRange(60, 90).Draw(t, "at"))
		over := 0 // up from the page, or down through it
		if rapid.Bool().Draw(t, "down") {
			over = 80
		}
		d, err := design.Decode(fmt.Appendf(nil, `{"spread":{"page_width":150,"page_height":200},"mechanisms":[
			{"id":"gull","kind":"cut_v","on":{"fold":"gutter"},"at":%g,"ridge_length":%d,
			 "left":{"base_angle":%d,"base_length":%d},"right":{"base_angle":%d,"base_length":%d}}]}`,
			at, rapid.IntRange(20, 60).Draw(t, "ridge"),
			over+rapid.IntRange(20, 80).Draw(t, "left angle"), rapid.IntRange(20, 60).Draw(t, "left length"),
			over+rapid.IntRange(20, 80).Draw(t, "right angle"), rapid.IntRange(20, 60).Draw(t, "right length")))
		if err != nil {
			t.Fatal(err)
		}
		p := mustMake(t, kinematics.Compile(d), DefaultOptions())
		angles, balance := creasesAt(p.Part("page"), geom.Vec2{Y: at})
		if len(angles) != 4 {
			t.Fatalf("%d creases meet at the apex, want 4", len(angles))
		}
		alternate := angles[1] - angles[0] + angles[3] - angles[2]
		if math.Abs(alternate-math.Pi) > 1e-9 {
			t.Errorf("alternate angles sum to %g degrees, want 180 (Kawasaki–Justin)", geom.Angle(alternate).Degrees())
		}
		if balance != 2 && balance != -2 {
			t.Errorf("mountains less valleys is %d, want ±2 (Maekawa–Justin)", balance)
		}
	})
}

// creasesAt lists the directions, in order round the point, of the creases that
// end there, and how many more of them are mountains than valleys.
func creasesAt(part *Part, point geom.Vec2) (angles []float64, mountainsLessValleys int) {
	for _, c := range part.Creases {
		from, to := c.From, c.To
		if to.Sub(point).Norm() < 1e-6 {
			from, to = to, from
		}
		if from.Sub(point).Norm() >= 1e-6 {
			continue
		}
		d := to.Sub(from)
		angles = append(angles, math.Atan2(d.Y, d.X))
		if c.Kind == Mountain {
			mountainsLessValleys++
		} else {
			mountainsLessValleys--
		}
	}
	slices.Sort(angles)
	return angles, mountainsLessValleys
}
