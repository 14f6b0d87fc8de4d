package collide

import (
	"fmt"
	"math"
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/testdata/designs"
)

func compileExample(t testing.TB, name string) *kinematics.Assembly {
	t.Helper()
	data, ok := designs.Read(name)
	if !ok {
		t.Fatalf("no example %s", name)
	}
	d, err := design.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	return kinematics.Compile(d)
}

func name(a *kinematics.Assembly, p Piece) string {
	if p.Strip != None {
		return a.Strips[p.Strip].ID
	}
	return a.Panels[p.Panel].ID
}

// decode compiles a document of mechanisms on pages of 130 by 180.
func decode(t testing.TB, mechanisms string) *kinematics.Assembly {
	t.Helper()
	d, err := design.Decode([]byte(`{"spread":{"page_width":130,"page_height":180},"mechanisms":[` + mechanisms + `]}`))
	if err != nil {
		t.Fatal(err)
	}
	return kinematics.Compile(d)
}

// contactOf is the contact of two pieces by their names; false when there is none.
func contactOf(a *kinematics.Assembly, r *Result, driver int, p, q string) (Contact, bool) {
	for _, c := range r.Contacts {
		x, y := name(a, c.Pieces[0]), name(a, c.Pieces[1])
		if c.Driver == driver && (x == p && y == q || x == q && y == p) {
			return c, true
		}
	}
	return Contact{}, false
}

// crossing tells whether two pieces pass through each other in the pose.
func crossing(b *Bodies, p *kinematics.Pose, one, other string) bool {
	found := false
	b.At(p, func(x, y Piece, _ Crossing) {
		s, t := name(b.a, x), name(b.a, y)
		found = found || s == one && t == other || s == other && t == one
	})
	return found
}

// The examples clear, wholly proved.
func TestExamplesClear(t *testing.T) {
	for _, example := range designs.Names() {
		t.Run(example, func(t *testing.T) {
			a := compileExample(t, example)
			r := Compile(a, nil).Sweep(Options{})
			for _, c := range r.Contacts {
				t.Errorf("%s passes through %s by %g mm at %g of driver %d", name(a, c.Pieces[0]), name(a, c.Pieces[1]), c.Depth, c.Deepest, c.Driver)
			}
			for _, u := range r.Undecided {
				t.Errorf("%s and %s from %g to %g of driver %d: undecided", name(a, u.Pieces[0]), name(a, u.Pieces[1]), u.From, u.To, u.Driver)
			}
			if r.Proved != r.Pairs {
				t.Errorf("%d of %d pairs proved", r.Proved, r.Pairs)
			}
		})
	}
}

// A half end wall of a box folds in to its crease, over the gutter 30·cos(t/2) from
// the wall's end; the tent's edge, at the end of its run, is in its way from when the
// point of it over the gutter comes above the foot of the crease, and until the
// crease has gone back to it. The run is made such that this is for less than a tenth
// of a degree between two whole degrees.
//
// Source: the box as mech_box.go derives it, with equal offsets; the tent as the
// intersection of two circles (reference sheet 2, parallel folds).
func TestThinContactOfTheOpening(t *testing.T) {
	const offset, height, end, until = 30.0, 20.0, 85.0, 46.55
	underCrease := func(degrees float64) float64 { // of the tent's panel, over the gutter
		sin, cos := math.Sincos(degrees / 2 * math.Pi / 180)
		left, right := geom.Vec2{X: -15 * sin, Y: 15 * cos}, geom.Vec2{X: 9 * sin, Y: 9 * cos}
		apart := right.Sub(left)
		d := apart.Norm()
		along := (31*31 - 37*37 + d*d) / (2 * d)
		ridge := left.Add(apart.Mul(along / d)).Add(apart.Perp().Mul(math.Sqrt(31*31-along*along) / d))
		up := right.Lerp(ridge, right.X/(right.X-ridge.X))
		return offset*cos - up.Y
	}
	begin := fallsTo(underCrease, 40, until)
	to := end - offset*math.Cos(until/2*math.Pi/180)
	a := decode(t, fmt.Sprintf(`
		{"id":"shed","kind":"box","on":{"fold":"gutter"},"from":5,"to":%g,"left_offset":%g,"height":%g},
		{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":35,"to":%.15g,
		 "left":{"base_offset":15,"panel_width":31},"right":{"base_offset":9,"panel_width":37}}`, end, offset, height, to))
	b, p := Compile(a, nil), a.NewPose()
	at := func(degrees float64) bool {
		a.PoseInto(p, kinematics.Drive{Opening: geom.Degrees(degrees)})
		return crossing(b, p, "shed.back_right", "quay.right")
	}
	for degrees := 1.0; degrees <= 180; degrees++ {
		if at(degrees) {
			t.Errorf("found at %g degrees: the contact is not thin", degrees)
		}
	}
	if until-begin > 0.1 || !at((begin+until)/2) {
		t.Fatalf("no thin contact between %g and %g degrees", begin, until)
	}
	r := b.Sweep(Options{})
	c, ok := contactOf(a, &r, None, "shed.back_right", "quay.right")
	if !ok {
		t.Fatalf("the sweep misses it: %+v", r)
	}
	from, last := geom.Angle(c.From).Degrees(), geom.Angle(c.To).Degrees()
	if math.Abs(from-begin) > 1e-5 || math.Abs(last-until) > 1e-4 {
		t.Errorf("from %.9g to %.9g degrees, want %.9g to %.9g", from, last, begin, until)
	}
}

// fallsTo is where a function falls through zero between two values.
func fallsTo(f func(float64) float64, lo, hi float64) float64 {
	for range 60 {
		if mid := (lo + hi) / 2; f(mid) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// A flap under a tent, with the spread flat, turns about a line 10 from the gutter;
// the tent's panel runs from (-30, 0) up to (0, 40), which is 40x - 30z + 1200 = 0
// over 50, so it is 16 from that line, square to it at acos(0.8) from the page. A flap
// deeper by a hair pokes through there for as long as its edge, on a circle of its
// depth, is past 16: acos(16/depth) on either side.
func TestThinContactOfAHand(t *testing.T) {
	const half = 0.04 // degrees
	square := math.Acos(0.8) * 180 / math.Pi
	depth := 16 / math.Cos(half*math.Pi/180)
	a := decode(t, fmt.Sprintf(`
		{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":20,"to":70,"left":{"base_offset":30,"panel_width":50}},
		{"id":"hatch","kind":"flap","on":{"panel":"page.left"},"place":{"u":30,"v":10},"hinge_length":20,"depth":%.15g}`, depth))
	b, p := Compile(a, nil), a.NewPose()
	at := func(degrees float64) bool {
		a.PoseInto(p, kinematics.Drive{Opening: math.Pi, Hand: []float64{degrees * math.Pi / 180}})
		return crossing(b, p, "quay.left", "hatch.flap")
	}
	for degrees := 0.0; degrees < 90; degrees++ {
		if at(degrees) {
			t.Errorf("found at %g degrees: the contact is not thin", degrees)
		}
	}
	if !at(square) {
		t.Fatal("no contact")
	}
	r := b.Sweep(Options{})
	c, ok := contactOf(a, &r, 0, "quay.left", "hatch.flap")
	if !ok {
		t.Fatalf("the sweep misses it: %+v", r)
	}
	for _, got := range []struct {
		what      string
		got, want float64
		tolerance float64
	}{
		{"from", c.From * 180 / math.Pi, square - half, 1e-3},
		{"to", c.To * 180 / math.Pi, square + half, 1e-3},
		{"depth", c.Depth, depth - 16, 1e-7},
		{"across", c.Point.X, -10 - 16*0.8, 0.02},
		{"along", c.Point.Y, 40, 1e-6},
		{"above", c.Point.Z, 16 * 0.6, 0.02},
	} {
		if math.Abs(got.got-got.want) > got.tolerance {
			t.Errorf("%s %.9g, want %.9g", got.what, got.got, got.want)
		}
	}
}

// A chain of three panels between the pages, which has a freedom to spare: the way it
// takes as the spread opens turns its last panel through the page it is glued to. That
// is seen in its dihedral alone, which leaps from a full turn to none.
func TestPanelsTurnThrough(t *testing.T) {
	a := decode(t, `{"id":"tug","kind":"linkage","on":{"fold":"gutter"},
		"panels":[{"id":"a","outline":[[0,0],[20,0],[20,31],[0,31]]},{"id":"b","outline":[[0,0],[20,0],[20,26],[0,26]]},{"id":"c","outline":[[0,0],[20,0],[20,31],[0,31]]}],
		"hinges":[{"id":"ab","between":[{"panel":"a","edge":2},{"panel":"b","edge":0}]},{"id":"bc","between":[{"panel":"b","edge":2},{"panel":"c","edge":2}]}],
		"glue":[{"id":"la","panel":"a","edge":0,"to":"left","at":[[60,31],[40,31]]},{"id":"rc","panel":"c","edge":0,"to":"right","at":[[40,15],[60,15]]}]}`)
	fold, p := a.FoldIndex("tug.rc"), a.NewPose()
	dihedral := func(degrees float64) float64 {
		a.PoseInto(p, kinematics.Drive{Opening: geom.Degrees(degrees)})
		return float64(p.FoldAngle(fold))
	}
	at := 0.0
	for degrees := 5.0; degrees < 180; degrees += 0.001 {
		if at == 0 && dihedral(degrees) > 6 && dihedral(degrees+0.001) < 0.3 {
			at = degrees
		}
	}
	if at == 0 {
		t.Fatal("it does not turn through: the test shows nothing")
	}
	r := Compile(a, nil).Sweep(Options{})
	for _, c := range r.Contacts {
		if c.Fold == fold {
			if got := geom.Angle(c.From).Degrees(); math.Abs(got-at) > 0.01 || c.Depth <= 0 || c.Driver != None {
				t.Errorf("from %g degrees, %g deep; want %g", got, c.Depth, at)
			}
			return
		}
	}
	t.Errorf("not found at %g: %+v", at, r)
}
