package collide_test

import (
	"fmt"
	"testing"
	"time"

	"foldwright/solver/collide"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// One spread judged three ways, turn by turn in one run: at 181 openings by the
// Flexible Collision Library with its broad phase, at the same openings here, and
// here with proof over the whole range. Pairs joined to each other and layers are
// left out for the library, which has no use for where they touch. It is given
// the poses; here they are worked out.
func BenchmarkBesideAnotherLibrary(b *testing.B) {
	program := judge(b)
	a := collide.Street(b, 12)
	s := wholeDegrees(b, a)
	bodies, pose := collide.Compile(a, nil), a.NewPose()
	const never = 1 << 62
	library, discrete, certified := int64(never), int64(never), int64(never)
	for b.Loop() {
		var took, meetings int64
		if _, err := fmt.Sscan(ask(b, program, s, "time", "5"), &took, &meetings); err != nil {
			b.Fatal(err)
		}
		library = min(library, took)
		discrete = min(discrete, fastest(func() {
			for _, opening := range degrees() {
				a.PoseInto(pose, kinematics.Drive{Opening: opening})
				bodies.At(pose, func(collide.Piece, collide.Piece, collide.Crossing) { b.Fatal("the street collides") })
			}
		}))
		certified = min(certified, fastest(func() {
			if r := collide.Compile(a, nil).Sweep(collide.Options{}); r.Proved != r.Pairs {
				b.Fatalf("%+v", r)
			}
		}))
	}
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(float64(len(a.Panels)), "panels")
	b.ReportMetric(float64(library)/1e3, "library-µs")
	b.ReportMetric(float64(discrete)/1e3, "discrete-µs")
	b.ReportMetric(float64(certified)/1e3, "certified-µs")
	b.ReportMetric(float64(library)/float64(discrete), "discrete-times-faster")
	b.ReportMetric(float64(library)/float64(certified), "certified-times-faster")
}

// fastest is the shortest of as many rounds as the library makes.
func fastest(do func()) int64 {
	best := time.Duration(1 << 62)
	for range 5 {
		start := time.Now()
		do()
		best = min(best, time.Since(start))
	}
	return best.Nanoseconds()
}

// degrees are the openings looked at.
func degrees() []geom.Angle {
	list := make([]geom.Angle, 181)
	for i := range list {
		list[i] = geom.Degrees(float64(i))
	}
	return list
}

// wholeDegrees is the scene of a spread at every whole degree, without the pairs
// that are joined.
func wholeDegrees(b *testing.B, a *kinematics.Assembly) *scene {
	s := folded(b, a, 9)
	for _, j := range a.Joints() {
		p, q := j.Faces[0].Panel, j.Faces[1].Panel
		s.apart = append(s.apart, [2]int{min(p, q), max(p, q)})
	}
	s.poses = nil
	pose := a.NewPose()
	for _, opening := range degrees() {
		a.PoseInto(pose, kinematics.Drive{Opening: opening})
		s.poses = append(s.poses, append([]geom.Frame(nil), pose.Panels...))
	}
	return s
}
