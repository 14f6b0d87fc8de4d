package kinematics

import (
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// benchmarkPose measures one pose with the world vertices of every panel of
// the mechanisms, and reports the time per panel.
func benchmarkPose(b *testing.B, a *Assembly) {
	p := a.NewPose()
	var vertices []geom.Vec3
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		a.PoseInto(p, Drive{Opening: geom.Angle(0.5 + float64(i%1000)*0.002)})
		vertices = vertices[:0]
		for panel := pageRight + 1; panel < len(a.Panels); panel++ {
			vertices = p.AppendVertices(vertices, panel)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(a.Panels)-2), "ns/panel")
}

func BenchmarkPoseVFold(b *testing.B) {
	benchmarkPose(b, assemble(b, `{"id":"sail","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":45,"panel_angle":60,"base_length":40},"ridge_length":50}`))
}

func BenchmarkPose(b *testing.B) {
	for _, info := range design.Kinds() {
		b.Run(string(info.Kind), func(b *testing.B) { benchmarkPose(b, assemble(b, sample(b, info))) })
	}
	b.Run("fleet", func(b *testing.B) { benchmarkPose(b, assemble(b, fleet)) })
}

func BenchmarkPoseEach(b *testing.B) {
	a := assemble(b, fleet)
	openings := make([]geom.Angle, 1000)
	for i := range openings {
		openings[i] = geom.Angle(float64(i) * 0.003)
	}
	height := 0.0
	b.ReportAllocs()
	for b.Loop() {
		a.PoseEach(openings, func(_ int, p *Pose) { height += p.Panels[2].Origin.Z })
	}
}
