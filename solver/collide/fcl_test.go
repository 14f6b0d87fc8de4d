package collide_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"foldwright/solver/collide"
	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/paper"
	"foldwright/testdata/designs"
	"foldwright/testdata/outside"
)

// scene is bodies and the poses they take, for both judges.
type scene struct {
	rings [][][]geom.Vec2 // by body
	poses [][]geom.Frame
	apart [][2]int // pairs that are not looked at
}

// write gives the scene in the form the outside program reads.
func (s *scene) write(b *bytes.Buffer) {
	fmt.Fprintln(b, "bodies", len(s.rings))
	for _, rings := range s.rings {
		var corners []geom.Vec2
		for _, area := range geom.Areas(rings) {
			for _, t := range area.Triangles() {
				corners = append(corners, t[:]...)
			}
		}
		fmt.Fprintln(b, "corners", len(corners), "triangles", len(corners)/3)
		for _, p := range corners {
			fmt.Fprintf(b, "%.17g %.17g 0\n", p.X, p.Y)
		}
		for i := 0; i < len(corners); i += 3 {
			fmt.Fprintln(b, i, i+1, i+2)
		}
	}
	fmt.Fprintln(b, "apart", len(s.apart))
	for _, pair := range s.apart {
		fmt.Fprintln(b, pair[0], pair[1])
	}
	fmt.Fprintln(b, "poses", len(s.poses))
	for _, pose := range s.poses {
		for _, f := range pose {
			n := f.Normal()
			fmt.Fprintf(b, "%.17g %.17g %.17g %.17g %.17g %.17g %.17g %.17g %.17g %.17g %.17g %.17g\n",
				f.X.X, f.Y.X, n.X, f.X.Y, f.Y.Y, n.Y, f.X.Z, f.Y.Z, n.Z, f.Origin.X, f.Origin.Y, f.Origin.Z)
		}
	}
}

// judge builds the program around the Flexible Collision Library, or skips the
// test where that is not possible.
func judge(t testing.TB) (program string) {
	t.Helper()
	program = filepath.Join(t.TempDir(), "pairs")
	build := exec.Command("g++", "-std=c++17", "-O2", "-I/usr/include/eigen3", filepath.Join("testdata", "fcl", "pairs.cpp"), "-o", program, "-lfcl", "-lccd")
	if out, err := build.CombinedOutput(); err != nil {
		outside.Missing(t, "the outside judge cannot be built, which takes g++ and libfcl-dev: %v\n%s", err, out)
	}
	return program
}

func ask(t testing.TB, program string, s *scene, args ...string) string {
	t.Helper()
	var in, errors bytes.Buffer
	s.write(&in)
	cmd := exec.Command(program, args...)
	cmd.Stdin, cmd.Stderr = &in, &errors
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, errors.Bytes())
	}
	return string(out)
}

// agreement counts how the two judges' verdicts compare.
type agreement struct{ apart, crossing, touching int }

// compare holds the package's verdict against the outside one, pair by pair. The
// library says that two pieces meet also where they only touch, which here is no
// passing through: such pairs must be at no distance.
func compare(t *testing.T, program string, s *scene) (a agreement) {
	t.Helper()
	faces := make([]*collide.Face, len(s.rings))
	for i, rings := range s.rings {
		faces[i] = collide.NewFace(rings)
	}
	posed := -1
	for line := range strings.SplitSeq(strings.TrimSpace(ask(t, program, s, "verdict")), "\n") {
		var pose, i, j, meets int
		var distance float64
		if _, err := fmt.Sscan(line, &pose, &i, &j, &meets, &distance); err != nil {
			t.Fatalf("%q: %v", line, err)
		}
		for posed < pose {
			posed++
			for b, f := range faces {
				f.MoveTo(s.poses[posed][b])
			}
		}
		crossing, crosses := collide.Cross(faces[i], faces[j])
		gap := math.Sqrt(collide.Gap2(faces[i], faces[j], math.Inf(1)))
		switch {
		case meets == 0 && crosses && crossing.Depth > sameDistance:
			t.Errorf("pose %d: %d and %d pass through each other by %g here, and are %g apart there", pose, i, j, crossing.Depth, distance)
		case meets == 0:
			a.apart++
			if math.Abs(gap-distance) > sameDistance {
				t.Errorf("pose %d: %d and %d are %g apart here, %g there", pose, i, j, gap, distance)
			}
		case crosses:
			a.crossing++
		default:
			a.touching++
			if gap > sameDistance {
				t.Errorf("pose %d: %d and %d are %g apart here and meet there", pose, i, j, gap)
			}
		}
	}
	return a
}

// sameDistance is what two ways of working out a distance of some 100 mm may
// differ by, mm: the library iterates to 1e-6.
const sameDistance = 1e-5

// Source: Flexible Collision Library 0.7, triangle meshes and their distances.
func TestVerdictsOfAnotherLibrary(t *testing.T) {
	program := judge(t)
	t.Run("thrown pieces", func(t *testing.T) { testThrownPieces(t, program) })
	t.Run("folded spreads", func(t *testing.T) { testFoldedSpreads(t, program) })
}

// Pieces thrown about at random all but never just touch, so there the verdicts
// must be the same.
func testThrownPieces(t *testing.T, program string) {
	draw := rand.New(rand.NewPCG(1, 2))
	s := &scene{poses: make([][]geom.Frame, 40)}
	for range 12 {
		s.rings = append(s.rings, thrownRings(draw))
		for k := range s.poses {
			s.poses[k] = append(s.poses[k], thrownFrame(draw))
		}
	}
	a := compare(t, program, s)
	t.Logf("%+v", a)
	if a.touching > 0 || a.crossing < 200 || a.apart < 200 {
		t.Errorf("%+v: want no pair touching, and many of either other kind", a)
	}
}

// thrownRings is a star-shaped outline, which may turn in, around a hole.
func thrownRings(draw *rand.Rand) [][]geom.Vec2 {
	ring := make([]geom.Vec2, 3+draw.IntN(7))
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(ring)))
		r := 12 + 28*draw.Float64()
		ring[i] = geom.Vec2{X: r * cos, Y: r * sin}
	}
	if len(ring) < 5 {
		return [][]geom.Vec2{ring}
	}
	return [][]geom.Vec2{ring, {{X: -3, Y: -3}, {X: -3, Y: 3}, {X: 3, Y: 3}, {X: 3, Y: -3}}}
}

func thrownFrame(draw *rand.Rand) geom.Frame {
	vector := func() geom.Vec3 {
		return geom.Vec3{X: draw.NormFloat64(), Y: draw.NormFloat64(), Z: draw.NormFloat64()}
	}
	x := vector().Unit()
	z := x.Cross(vector()).Unit()
	return geom.Frame{Origin: vector().Mul(35), X: x, Y: z.Cross(x)}
}

// In a folded spread panels touch at creases and apexes, and in the examples
// none passes through another.
func testFoldedSpreads(t *testing.T, program string) {
	for _, name := range designs.Names() {
		document, _ := designs.Read(name)
		d, err := design.Decode(document)
		if err != nil {
			t.Fatal(err)
		}
		s := folded(t, kinematics.Compile(d), 17)
		a := compare(t, program, s)
		t.Logf("%s: %+v", name, a)
		if a.crossing > 0 {
			t.Errorf("%s: %+v: want no pair passing through another", name, a)
		}
	}
}

// folded is the panels of a spread at evenly spaced openings, all but shut to
// all but flat. Layers, in one plane at every opening, are not looked at.
func folded(t testing.TB, a *kinematics.Assembly, openings int) *scene {
	t.Helper()
	s := &scene{}
	for i := range a.Panels {
		rings, err := paper.Rings(&a.Panels[i], kinematics.OutlineTolerance)
		if err != nil {
			t.Fatal(err)
		}
		s.rings = append(s.rings, rings)
	}
	pose := a.NewPose()
	opensTo := float64(a.Design.Spread.OpensTo)
	for k := range openings {
		opening := opensTo * (0.05 + 0.9*float64(k)/float64(openings-1))
		a.PoseInto(pose, kinematics.Drive{Opening: geom.Angle(opening)})
		s.poses = append(s.poses, append([]geom.Frame(nil), pose.Panels...))
	}
	for j := range s.rings {
		for i := range j {
			if layers(s, i, j) {
				s.apart = append(s.apart, [2]int{i, j})
			}
		}
	}
	return s
}

// layers tells whether two bodies lie in one plane in every pose.
func layers(s *scene, i, j int) bool {
	for _, pose := range s.poses {
		n := pose[i].Normal()
		if math.Abs(n.Dot(pose[j].Normal())) < 1-1e-9 || math.Abs(n.Dot(pose[j].Origin.Sub(pose[i].Origin))) > 1e-6 {
			return false
		}
	}
	return true
}
