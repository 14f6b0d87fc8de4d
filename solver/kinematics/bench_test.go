package kinematics

import (
	"testing"

	"foldwright/solver/geom"
)

func BenchmarkPoseVFold(b *testing.B) {
	a := assemble(b, `{"id":"sail","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":45,"panel_angle":60,"base_length":40},"ridge_length":50}`)
	p := a.NewPose()
	vertices := make([]geom.Vec3, 0, 6)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		a.PoseInto(p, Drive{Opening: geom.Angle(0.5 + float64(i%1000)*0.002)})
		vertices = p.AppendVertices(vertices[:0], 2)
		vertices = p.AppendVertices(vertices, 3)
	}
}
