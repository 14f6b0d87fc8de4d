package model

import (
	"bytes"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/paper"
)

func posed(a *kinematics.Assembly, opening geom.Angle) *kinematics.Pose {
	p := a.NewPose()
	a.PoseInto(p, kinematics.Drive{Opening: opening})
	return p
}

// inMetres is a place of the design in the axes of glTF.
func inMetres(p geom.Vec3) geom.Vec3 {
	return geom.Vec3{X: p.X / 1000, Y: p.Z / 1000, Z: -p.Y / 1000}
}

func area(list [][3]geom.Vec3) float64 {
	sum := 0.0
	for _, t := range list {
		sum += t[1].Sub(t[0]).Cross(t[2].Sub(t[0])).Norm() / 2
	}
	return sum
}

// Each face of each panel has the area of the panel's shape, its paper the
// volume of that by the caliper, and no gap.
func TestPaperIsSolid(t *testing.T) {
	each(t, func(t *testing.T, a *kinematics.Assembly) {
		r := readBack(t, write(t, a, Options{}))
		found := 0
		for i := range r.doc.Nodes {
			n := &r.doc.Nodes[i]
			panel := a.PanelIndex(n.Name)
			if panel < 0 {
				continue
			}
			found++
			tri := r.triangles(n)
			shape, err := geom.Union(paper.Shape(&a.Panels[panel]))
			if err != nil {
				t.Fatal(err)
			}
			want := math.Abs(shape.Area())
			perimeter := 0.0
			for _, ring := range shape.Flatten(0.01) {
				for k, p := range ring {
					perimeter += ring[(k+1)%len(ring)].Sub(p).Norm()
				}
			}
			// Chords stray by at most the flatness along the whole outline.
			tolerance := DefaultFlatness*perimeter + 1e-4*want
			caliper := a.Design.Paper.Caliper
			for _, material := range []int{printedPaper, reversePaper} {
				if got := area(tri[material]) * 1e6; math.Abs(got-want) > tolerance {
					t.Errorf("%s: %s face of %.6g mm², want %.6g", n.Name, materialList[material].Name, got, want)
				}
			}
			volume, sides := 0.0, map[[2]geom.Vec3]int{}
			for _, list := range tri {
				for _, x := range list {
					volume += x[0].Dot(x[1].Cross(x[2])) / 6 * 1e9
					for k := range 3 {
						sides[[2]geom.Vec3{x[k], x[(k+1)%3]}]++
						sides[[2]geom.Vec3{x[(k+1)%3], x[k]}]--
					}
				}
			}
			if math.Abs(volume-want*caliper) > (tolerance+1e-3*want)*caliper {
				t.Errorf("%s: %.6g mm³, want %.6g", n.Name, volume, want*caliper)
			}
			for side, balance := range sides {
				if balance != 0 {
					t.Errorf("%s: the side from %v to %v has paper on one side only", n.Name, side[0], side[1])
					break
				}
			}
		}
		if found < 2 {
			t.Errorf("%d panels", found)
		}
	})
}

// The printed face of a panel points to the side printed faces are on, and lies
// on the surface of the design or within the paper on it.
func TestPrintedFaces(t *testing.T) {
	each(t, func(t *testing.T, a *kinematics.Assembly) {
		r := readBack(t, write(t, a, Options{}))
		for i := range r.doc.Nodes {
			n := &r.doc.Nodes[i]
			panel := a.PanelIndex(n.Name)
			if panel < 0 {
				continue
			}
			printed := a.Panels[panel].Printed
			tri := r.triangles(n)
			for _, x := range tri[printedPaper] {
				normal := x[1].Sub(x[0]).Cross(x[2].Sub(x[0])).Unit()
				if normal.Z*printed < 0.999 {
					t.Fatalf("%s: a printed triangle looks along %v", n.Name, normal)
				}
			}
			height := tri[printedPaper][0][0].Z * 1000 * printed
			if low := tri[reversePaper][0][0].Z * 1000 * printed; math.Abs(height-low-a.Design.Paper.Caliper) > 1e-4 {
				t.Errorf("%s: from %g to %g mm", n.Name, low, height)
			}
			if under := a.Panels[panel].Mechanism == kinematics.Spread || a.Panels[panel].Behind; under != (height < 1e-6) {
				t.Errorf("%s: the printed face is %g mm off the surface", n.Name, height)
			}
		}
	})
}

// What lies on a panel lies on its paper; what overlaps lies on each other.
func TestLayersOfPaper(t *testing.T) {
	a := compile(t, spread(others["knot"]))
	lift := lifts(a)
	for id, want := range map[string]int{"page.right": -1, "knot.figure": 0, "rope.figure": 1, "eye.figure": 2} {
		if got := lift.panels[a.PanelIndex(id)]; got != want {
			t.Errorf("%s: %d sheets up, want %d", id, got, want)
		}
	}
}

// What lies behind a panel is under its paper: a disc with a figure on it leaves
// room for that, a panel that has a disc behind it leaves room for the disc, and
// the link of an arm lies under its strip.
func TestLayersBehindPaper(t *testing.T) {
	a := compile(t, spread(`
		{"id":"clock","kind":"wheel","on":{"panel":"page.right"},"place":{"u":60,"v":60},"radius":30},
		{"id":"hand","kind":"figure","on":{"panel":"clock.disc"},"outline":"M0 -3 H20 V3 H0 Z","place":{"u":5,"v":0}},
		{"id":"moon","kind":"wheel","on":{"panel":"page.right"},"place":{"u":80,"v":60},"radius":30},
		{"id":"card","kind":"figure","on":{"panel":"page.left"},"outline":"M0 0 H80 V80 H0 Z","place":{"u":10,"v":10}},
		{"id":"dial","kind":"wheel","on":{"panel":"card.figure"},"place":{"u":40,"v":40},"radius":30},
		{"id":"signal","kind":"pivot_arm","on":{"panel":"page.right"},"place":{"u":140,"v":30,"rotate":90},
		 "outline":"M-6 -6 H6 V30 H-6 Z","crank":14,"crank_angle":120,"link_length":42,"stroke":18}`))
	lift := lifts(a)
	for id, want := range map[string]int{
		"page.right": -1, "hand.figure": -2, "clock.disc": -3, "moon.disc": -4,
		"page.left": -1, "dial.disc": 0, "card.figure": 1, "signal.arm": 0,
	} {
		if got := lift.panels[a.PanelIndex(id)]; got != want {
			t.Errorf("%s: %d sheets up, want %d", id, got, want)
		}
	}
	if strip, link := lift.strip(0, 1), lift.strip(0, 0); strip != -2 || link != -3 {
		t.Errorf("strip and link %d and %d sheets up, want -2 and -3", strip, link)
	}
}

// At rest and at any moment of the animation, every panel is where the solver
// has it.
func TestPanelsMoveAsSolved(t *testing.T) {
	each(t, func(t *testing.T, a *kinematics.Assembly) {
		random := rand.New(rand.NewPCG(3, 4))
		o := Options{Rest: geom.Degrees(100)}
		r := readBack(t, write(t, a, o))
		check := func(opening geom.Angle, tolerance float64, at func(number int) state) {
			p := posed(a, opening)
			for number := range r.doc.Nodes {
				panel := a.PanelIndex(r.doc.Nodes[number].Name)
				if panel < 0 {
					continue
				}
				s := at(number)
				if !p.Has(panel) {
					if s.scale != (geom.Vec3{}) {
						t.Errorf("%s at %.4g: seen, but not reached", a.Panels[panel].ID, opening.Degrees())
					}
					continue
				}
				if s.scale != (geom.Vec3{X: 1, Y: 1, Z: 1}) {
					t.Errorf("%s at %.4g: scale %v", a.Panels[panel].ID, opening.Degrees(), s.scale)
				}
				for _, q := range a.Panels[panel].Outline {
					got := s.apply(geom.Vec3{X: q.X / 1000, Y: q.Y / 1000})
					if d := got.Sub(inMetres(p.Panels[panel].At(q))).Norm() * 1000; d > tolerance {
						t.Errorf("%s at %.4g: %.3g mm off", a.Panels[panel].ID, opening.Degrees(), d)
						break
					}
				}
			}
		}
		check(o.Rest, 1e-4, func(n int) state { return r.doc.Nodes[n].rest() })
		opens := a.Design.Spread.OpensTo
		for range 50 {
			f := random.Float64()
			// Between samples the error can be larger than at them, but not by
			// much: there are far more samples than keys.
			check(geom.Angle(f)*opens, 1.3*DefaultTolerance, func(n int) state { return r.play(n, f*DefaultSeconds) })
		}
	})
}

// Strips follow their path.
func TestStripsMoveAsSolved(t *testing.T) {
	a := compile(t, spread(others["tent"]))
	r := readBack(t, write(t, a, Options{}))
	for _, f := range []float64{0, 0.1, 0.37, 0.71, 1} {
		p := posed(a, geom.Angle(f)*math.Pi)
		for number := range r.doc.Nodes {
			id, part, _ := strings.Cut(r.doc.Nodes[number].Name, ".strip.")
			if id != "sail" || part == "" {
				continue
			}
			band, ok := paper.BandAt(a, p, 0, int(part[0]-'0'))
			if !ok {
				continue
			}
			s := r.play(number, f*DefaultSeconds)
			for _, q := range [][2]geom.Vec2{{{}, {}}, {{X: 0.001, Y: 0.014}, {X: band.Length, Y: band.Width}}} {
				got := s.apply(geom.Vec3{X: q[0].X, Y: q[0].Y})
				if d := got.Sub(inMetres(band.Frame.At(q[1]))).Norm() * 1000; d > 1.3*DefaultTolerance {
					t.Errorf("part %s at %g: %.3g mm off", part, f, d)
				}
			}
		}
	}
	strips := 0
	for i := range r.doc.Nodes {
		if strings.Contains(r.doc.Nodes[i].Name, ".strip.") {
			strips++
		}
	}
	if strips < 2 {
		t.Errorf("%d parts of strips, want the one on the page and the one across the gutter", strips)
	}
}

// Fewer keys do when more error is allowed, and a tight tolerance is kept.
func TestKeysFollowTheTolerance(t *testing.T) {
	a := example(t, "harbour")
	last := math.MaxInt
	for _, tolerance := range []float64{0.005, 0.05, 0.5} {
		r := readBack(t, write(t, a, Options{Tolerance: tolerance}))
		keys := 0
		for _, s := range r.doc.Animations[0].Samplers {
			keys += r.doc.Accessors[s.Input].Count
		}
		if keys >= last {
			t.Errorf("%d keys at %g mm, %d at less", keys, tolerance, last)
		}
		last = keys
	}
}

// A design that never reaches a mechanism has none of it.
func TestNeverReachedIsLeftOut(t *testing.T) {
	a := compile(t, spread(others["locked"]))
	whole := readBack(t, write(t, a, Options{}))
	// It reaches as far as its panels let it: 2·40 degrees between base lines.
	part := readBack(t, write(t, a, Options{From: geom.Degrees(170), To: geom.Degrees(180)}))
	if len(whole.doc.Nodes) != 5 || len(part.doc.Nodes) != 3 {
		t.Errorf("%d nodes in all, %d where it is not reached", len(whole.doc.Nodes), len(part.doc.Nodes))
	}
}

func TestBytesAreTheSame(t *testing.T) {
	each(t, func(t *testing.T, a *kinematics.Assembly) {
		first := write(t, a, Options{})
		if !bytes.Equal(first, write(t, a, Options{})) {
			t.Error("different bytes the second time")
		}
		if len(first) > 400_000 {
			t.Errorf("%d bytes", len(first))
		}
	})
}

func TestOptionsAreChecked(t *testing.T) {
	a := compile(t, spread(""))
	for _, c := range []struct {
		o    Options
		want string
	}{
		{Options{From: geom.Angle(math.NaN())}, "From"},
		{Options{To: geom.Angle(math.Inf(1))}, "To"},
		{Options{From: 1, To: 1}, "To"},
		{Options{Rest: geom.Angle(math.Inf(-1))}, "Rest"},
		{Options{Hand: []float64{1}}, "Hand"},
		{Options{Seconds: -1}, "Seconds"},
		{Options{Tolerance: math.NaN()}, "Tolerance"},
		{Options{Tolerance: MinTolerance / 2}, "Tolerance"},
		{Options{Flatness: 11}, "Flatness"},
	} {
		var fault *OptionError
		var b bytes.Buffer
		if err := WriteGLB(&b, a, c.o); !errors.As(err, &fault) || fault.Option != c.want || b.Len() > 0 {
			t.Errorf("%+v: %v, want a fault of %s", c.o, err, c.want)
		}
	}
}

type brokenWriter struct{}

var errBroken = errors.New("broken")

func (brokenWriter) Write([]byte) (int, error) { return 0, errBroken }

func TestWriteErrorsAreReported(t *testing.T) {
	if err := WriteGLB(brokenWriter{}, example(t, "harbour"), Options{}); !errors.Is(err, errBroken) {
		t.Error(err)
	}
}

func BenchmarkWriteGLB(b *testing.B) {
	a := example(b, "harbour")
	b.ReportAllocs()
	for b.Loop() {
		if err := WriteGLB(io.Discard, a, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// A strip whose panel is not there when the book is open flat is behind it too.
func TestStripsBehindLockedPanels(t *testing.T) {
	a := compile(t, spread(others["locked"]+`,
		{"id":"signal","kind":"pivot_arm","on":{"panel":"bow.left"},"place":{"u":25,"v":10},
		 "outline":"M-2 -2 H2 V10 H-2 Z","crank":5,"crank_angle":120,"link_length":12,"stroke":4}`))
	lift := lifts(a)
	host := lift.panels[a.PanelIndex("bow.left")]
	if strip, link := lift.strip(0, 1), lift.strip(0, 0); strip >= host || link >= strip {
		t.Errorf("strip and link %d and %d sheets up, on a panel that is %d up", strip, link, host)
	}
}
