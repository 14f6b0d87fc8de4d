package kinematics

import (
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// BenchmarkRate measures what a rate by the opening costs on top of a pose.
func BenchmarkRate(b *testing.B) {
	run := func(name string, a *Assembly) {
		b.Run(name, func(b *testing.B) {
			p, r, w := a.NewPose(), a.NewRate(), a.SeedOpening()
			a.PoseInto(p, Drive{Opening: 1, Hand: midway(a)})
			b.ReportAllocs()
			for b.Loop() {
				a.RateInto(r, p, w)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(a.Panels)-2), "ns/panel")
		})
	}
	for _, info := range design.Kinds() {
		run(string(info.Kind), assemble(b, sample(b, info)))
	}
	run("fleet", assemble(b, fleet))
}

// BenchmarkSeedNumber measures making a seed, once for each number of a design.
func BenchmarkSeedNumber(b *testing.B) {
	a := assemble(b, fleet)
	for b.Loop() {
		a.SeedNumber("/mechanisms/0/left/base_angle")
	}
}

// BenchmarkClosedFormAgainstLoops runs the closed form of every kind and, where
// there are loops to close, two generic solvers on the same design at the same
// openings, side by side: least squares on the loop of two panels as the tests
// follow it, warm from the opening before; and the least squares that pose a
// linkage, warm from its way.
func BenchmarkClosedFormAgainstLoops(b *testing.B) {
	opening := func(i int) float64 { return 0.5 + float64(i%1000)*0.002 }
	for _, info := range design.Kinds() {
		a := assemble(b, sample(b, info))
		perPanel := func(b *testing.B) {
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(a.Panels)-2), "ns/panel")
		}
		b.Run(string(info.Kind)+"/posed", func(b *testing.B) {
			p, hand := a.NewPose(), midway(a)
			for i := 0; b.Loop(); i++ {
				a.PoseInto(p, Drive{Opening: geom.Angle(opening(i)), Hand: hand})
			}
			perPanel(b)
		})
		if info.Stands != design.OnFold || info.Panels == nil || info.Kind == "floating_layer" {
			continue // explicit, already numeric, or free to sway but for its rule
		}
		b.Run(string(info.Kind)+"/linkage", func(b *testing.B) {
			start := a.NewPose()
			a.PoseInto(start, Drive{Opening: 1.5})
			e := twin(b, a, 0, start)
			e["id"] = "tug"
			l := (&document{mechanisms: []entry{e}}).compile(b)
			p := l.NewPose()
			for i := 0; b.Loop(); i++ {
				l.PoseInto(p, Drive{Opening: geom.Angle(opening(i))})
			}
			if !p.AllReached {
				b.Fatalf("not reached: %v", p.Reach)
			}
			perPanel(b)
		})
		if len(info.Panels) != 2 {
			continue
		}
		b.Run(string(info.Kind)+"/loops", func(b *testing.B) {
			// The loops are closed again from the turns at the opening before.
			host := loopFold{along: vec(geom.Vec3{Y: 1})}
			p := a.NewPose()
			a.PoseInto(p, Drive{Opening: geom.Angle(opening(0))})
			m := &a.Design.Mechanisms[0]
			var turn [2]float64
			for i := 0; b.Loop(); i++ {
				half := &Hinge{}
				half.open(geom.Angle(opening(i)))
				host.left = vec(geom.Vec3{X: -half.Sin, Z: half.Cos})
				host.right = vec(geom.Vec3{X: half.Sin, Z: half.Cos})
				s := sides(m, host)
				if i%1000 == 0 {
					a.PoseInto(p, Drive{Opening: geom.Angle(opening(i))})
					turn = standAs(a, p, 0, s)
				}
				turn, _, _ = closeLoop(s, turn)
			}
			perPanel(b)
		})
	}
}
