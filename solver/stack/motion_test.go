package stack

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/collide"
	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
	"foldwright/testdata/designs"
)

// assembly decodes and compiles a document and makes its pattern.
func assembly(t rapid.TB, document []byte) (*kinematics.Assembly, *pattern.Pattern) {
	d, err := design.Decode(document)
	if err != nil {
		t.Fatal(err)
	}
	a := kinematics.Compile(d)
	p, err := pattern.Make(a, pattern.DefaultOptions())
	if err != nil {
		t.Fatal(err)
	}
	return a, p
}

func judged(t rapid.TB, document []byte, o Options) (*kinematics.Assembly, *Result) {
	a, p := assembly(t, document)
	r, err := Judge(a, p, o)
	if err != nil {
		t.Fatal(err)
	}
	return a, r
}

// everyDesign runs a check on the examples and on random designs.
func everyDesign(t *testing.T, check func(t rapid.TB, document []byte)) {
	for _, name := range designs.Names() {
		document, _ := designs.Read(name)
		t.Run(name, func(t *testing.T) { check(t, document) })
	}
	t.Run("random", rapid.MakeCheck(func(t *rapid.T) { check(t, []byte(randomDesign(t))) }))
}

func TestExamplesStack(t *testing.T) {
	for _, name := range designs.Names() {
		document, _ := designs.Read(name)
		_, r := judged(t, document, Options{})
		if !r.Complete || !r.Exact || r.Sequence == nil || len(r.LeftOut) > 0 {
			t.Errorf("%s: complete %t, exact %t, sequence %v, left out %v", name, r.Complete, r.Exact, r.Sequence, r.LeftOut)
		}
		for _, f := range r.Faults {
			t.Errorf("%s: %+v", name, f)
		}
	}
}

// plane is how far a panel is to the right of the middle over the page, and how
// that changes with z and y, in a pose.
func plane(p *kinematics.Pose, panel int) func(at geom.Vec2) (x float64, slope geom.Vec2) {
	f := &p.Panels[panel]
	n := f.Normal()
	slope := geom.Vec2{X: -n.Z / n.X, Y: -n.Y / n.X}
	return func(at geom.Vec2) (float64, geom.Vec2) {
		return f.Origin.X + slope.Dot(at.Sub(flat(f.Origin))), slope
	}
}

// The order agrees with where the panels are at small openings, at places all
// over their overlap. A place counts where what the second order can move a
// point by, a page's length times the square of the opening, is less than they
// are apart, and off the line where they cross.
func TestOrderAgreesWithSmallOpenings(t *testing.T) {
	seen := 0
	everyDesign(t, func(t rapid.TB, document []byte) {
		a, r := judged(t, document, Options{})
		p := a.NewPose()
		for _, degrees := range []float64{0.02, 0.5, 1} {
			opening := geom.Degrees(degrees)
			a.PoseInto(p, kinematics.Drive{Opening: opening})
			unsure := 2 * a.Design.Size() * float64(opening*opening)
			s := newStack(a, &pattern.Pattern{}, Options{})
			s.addPanels()
			for _, pair := range r.Pairs {
				i, j := r.Pieces[pair.First].Panel, r.Pieces[pair.Second].Panel
				if pair.Basis != ByMotion || r.Pieces[pair.First].Sort != Panel || r.Pieces[pair.Second].Sort != Panel || !p.Has(i) || !p.Has(j) {
					continue
				}
				below, above := plane(p, i), plane(p, j)
				for _, cell := range s.common(s.pieces[s.pieceOf[i]].parts, s.pieces[s.pieceOf[j]].parts) {
					inner := middle(cell)
					for _, corner := range append(cell, inner) {
						at := corner.Lerp(inner, 0.1)
						x, tilt := below(at)
						y, its := above(at)
						d := y - x
						if math.Abs(d) < unsure+2*grazing*its.Sub(tilt).Norm() {
							continue
						}
						seen++
						if (d > 0) != pair.Above {
							t.Errorf("at %g°, %v: %s is %g mm right of %s, said to be above: %t",
								degrees, at, r.Pieces[pair.Second].ID, d, r.Pieces[pair.First].ID, pair.Above)
							return
						}
					}
				}
			}
		}
	})
	if seen < 1000 {
		t.Errorf("only %d places looked at", seen)
	}
}

// Panels that must pass through each other do so just before they are shut, and
// panels the motion orders do not, by the independent test of package collide.
func TestTrappedPanelsCollide(t *testing.T) {
	trapped := 0
	everyDesign(t, func(t rapid.TB, document []byte) {
		a, r := judged(t, document, Options{})
		p := a.NewPose()
		a.PoseInto(p, kinematics.Drive{Opening: geom.Degrees(0.05)})
		face := func(piece int) *collide.Face {
			panel := r.Pieces[piece].Panel
			f := collide.NewFace(ringsOf(&a.Panels[panel]))
			f.MoveTo(p.Panels[panel])
			return f
		}
		for _, pair := range r.Pairs {
			i, j := &r.Pieces[pair.First], &r.Pieces[pair.Second]
			if i.Sort != Panel || j.Sort != Panel || !p.Has(i.Panel) || !p.Has(j.Panel) {
				continue
			}
			if pair.Basis == InPlaces || pair.Basis == ByMaking || pair.Basis == BySearch {
				continue
			}
			c, cross := collide.Cross(face(pair.First), face(pair.Second))
			if pair.Basis == Trapped {
				trapped++
			}
			// Out of the plane two pages a tenth of a millimetre past each other
			// are apart by that times the opening.
			if deep := cross && c.Depth > 2*grazing*float64(geom.Degrees(0.05)); deep && pair.Basis == ByMotion || !cross && pair.Basis == Trapped {
				t.Errorf("%s and %s: %s, but cross is %t by %g mm at %v in %s", i.ID, j.ID, pair.Basis, cross, c.Depth, c, document)
			}
		}
	})
	if trapped < 20 {
		t.Errorf("only %d trapped", trapped)
	}
}

// In every place the layers have one order, in which each lies above all that
// lie below it.
func TestPilesAreOrders(t *testing.T) {
	everyDesign(t, func(t rapid.TB, document []byte) {
		a, p := assembly(t, document)
		s := newStack(a, p, Options{})
		if _, err := s.judgeAll(); err != nil {
			t.Fatal(err)
		}
		if len(s.faults) > 0 {
			return
		}
		for _, part := range s.pieces {
			at := middle(part.parts[0])
			pile := s.pile(at)
			for k, j := range pile {
				for _, i := range pile[:k] {
					if sign, _ := s.above(i, j, at); sign <= 0 {
						t.Fatalf("%s lies below and above %s", s.pieces[i].ID, s.pieces[j].ID)
					}
				}
			}
		}
	})
}
