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
	p.OpenedBy = []int{0}
	if got, want := math.Abs(Shape(&p).Area()), 130.0*180-40*30; math.Abs(got-want) > 1e-6 {
		t.Errorf("%g mm², want %g", got, want)
	}
	p.Openings, p.OpenedBy = append(p.Openings, geom.Rect(80, 20, 110, 50)...), []int{0, 1}
	if got, want := math.Abs(Shape(&p).Area()), 130.0*180-40*30-30*30+10*20; math.Abs(got-want) > 1e-6 {
		t.Errorf("%g mm² where two openings overlap, want %g", got, want)
	}
	p.Openings, p.OpenedBy = p.Openings[:1], p.OpenedBy[:1]
	p.Shape = geom.Rect(0, 0, 180, 1e5) // further than areas are worked out
	rings := Shape(&p).Flatten(1)
	if geom.RingsContain(rings, geom.Vec2{X: 70, Y: 20}) || !geom.RingsContain(rings, geom.Vec2{X: 70, Y: 50}) {
		t.Error("the opening is not open")
	}
}

// The link of an arm turns on its strip: both lie behind the page, unfolded and
// as wide as the strip all over, whatever the angle between them.
func TestBandsBehindAPanelLieFlat(t *testing.T) {
	a := compile(t, `{"id":"signal","kind":"pivot_arm","on":{"panel":"page.right"},"place":{"u":80,"v":30,"rotate":90},
		"outline":"M-6 -6 H6 V56 H-6 Z","crank":14,"crank_angle":120,"link_length":42,"stroke":18}`)
	p := a.NewPose()
	a.PoseInto(p, kinematics.Drive{Opening: geom.Degrees(150)})
	printed := p.Panels[1].Normal().Mul(a.Panels[1].Printed)
	if n := Bands(a, p, 0); n != 2 {
		t.Fatalf("%d bands, want link and strip", n)
	}
	for i := range 2 {
		b, ok := BandAt(a, p, 0, i)
		if !ok || b.Before || b.After || b.Frame.Normal().Sub(printed).Norm() > 1e-9 {
			t.Errorf("part %d: %+v looks along %v, want %v", i, b, b.Frame.Normal(), printed)
		}
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
