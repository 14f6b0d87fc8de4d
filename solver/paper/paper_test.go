package paper

import (
	"math"
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

func compile(t testing.TB, mechanisms string) *kinematics.Assembly {
	t.Helper()
	d, err := design.Decode([]byte(`{"spread":{"page_width":130,"page_height":180},"mechanisms":[` + mechanisms + `]}`))
	if err != nil {
		t.Fatal(err)
	}
	return kinematics.Compile(d)
}

// Openings that cannot be taken away exactly are still open.
func TestShape(t *testing.T) {
	p := compile(t, "").Panels[0]
	p.Openings = geom.Rect(50, 10, 90, 40)
	if got, want := math.Abs(Shape(&p).Area()), 130.0*180-40*30; math.Abs(got-want) > 1e-6 {
		t.Errorf("%g mm², want %g", got, want)
	}
	p.Shape = geom.Rect(0, 0, 180, 1e5) // further than areas are worked out
	rings := Shape(&p).Flatten(1)
	if geom.RingsContain(rings, geom.Vec2{X: 70, Y: 20}) || !geom.RingsContain(rings, geom.Vec2{X: 70, Y: 50}) {
		t.Error("the opening is not open")
	}
}

// The bands of a strip follow its path, end to end, with one direction across.
func TestBandsFollowThePath(t *testing.T) {
	a := compile(t, `{"id":"sail","kind":"slide_tent","on":{"panel":"page.left"},"from":60,"to":110,"fixed_offset":20,"near_width":30,"far_width":35,"travel":30,"strip":{"width":14}}`)
	p := a.NewPose()
	for degrees := 5.0; degrees <= 180; degrees += 25 {
		a.PoseInto(p, kinematics.Drive{Opening: geom.Degrees(degrees)})
		path := p.Strips[0].Path()
		length := 0.0
		for i := range Bands(a, p, 0) {
			b, ok := BandAt(a, p, 0, i)
			if !ok {
				continue
			}
			length += b.Length
			for k, want := range [2]geom.Vec3{path[i], path[i+1]} {
				if d := b.Frame.At(geom.Vec2{X: float64(k) * b.Length, Y: 7}).Sub(want).Norm(); d > 1e-9 {
					t.Errorf("at %g: end %d of part %d is %g mm off the path", degrees, k, i, d)
				}
			}
			if math.Abs(math.Abs(b.Frame.Y.Y)-1) > 1e-12 {
				t.Errorf("at %g: across part %d is %v, want along the gutter", degrees, i, b.Frame.Y)
			}
			if i == 0 && b.Frame.Normal().Dot(p.Panels[0].Normal())*a.Panels[0].Printed < 1-1e-9 {
				t.Errorf("at %g: the part on the page faces away from its printed side", degrees)
			}
		}
		if math.Abs(length-p.Strips[0].Length()) > 1e-3 {
			t.Errorf("at %g: %g mm of bands, want %g", degrees, length, p.Strips[0].Length())
		}
	}
}
