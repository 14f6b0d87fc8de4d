package kinematics

import (
	"maps"
	"math"
	"testing"

	"foldwright/solver/geom"
)

// FuzzPose poses any measurements the document allows, one mechanism on another
// of the same kind, at any opening. What is said to be reached has finite
// vertices and is rigid and joined.
func FuzzPose(f *testing.F) {
	f.Add(uint8(0), uint8(0), 45.0, 60.0, 45.0, 60.0, 40.0, 50.0, 1.5)
	f.Add(uint8(3), uint8(1), 90.0, 90.0, 90.0, 90.0, 40.0, 50.0, math.Pi)
	f.Add(uint8(1), uint8(2), 30.0, 55.0, 45.0, 40.0, 10.0, 40.0, 0.0)
	f.Add(uint8(0), uint8(3), 60.0, 90.0, 90.0, 120.0, 10.0, 40.0, 3.1415926)
	f.Add(uint8(2), uint8(4), 20.0, 0.0, 30.0, 0.0, 10.0, 40.0, 1e-9)
	f.Add(uint8(0), uint8(5), 0.5, 179.5, 179.5, 0.5, 0.1, 2000.0, 1e-300)
	places := []entry{
		{"fold": "tug.left_base", "side": "outer"}, {"fold": "tug.left_base", "side": "inner"},
		{"fold": "tug.ridge", "side": "inner"}, {"fold": "tug.ridge", "side": "outer"},
		{"fold": "tug.right_base", "side": "outer"}, {"fold": "tug.right_base", "side": "inner"},
	}
	f.Fuzz(func(t *testing.T, kind, place uint8, a1, p1, a2, p2, x, y, opening float64) {
		if !(opening >= 0 && opening <= math.Pi) {
			t.Skip("no opening")
		}
		within := func(v, lo, hi float64) float64 {
			if !(math.Abs(v) <= hi) {
				v = 0
			}
			return max(math.Abs(v), lo)
		}
		angle := func(v float64) float64 { return within(v, 0.5, 179.5) }
		length := func(v float64) float64 { return within(v, 0.1, 900) }
		e := entry{"kind": "v_fold", "at": length(x), "ridge_length": length(y),
			"left": vSide(angle(a1), angle(p1), length(x)), "right": vSide(angle(a2), angle(p2), length(y))}
		switch kind % 4 {
		case 1:
			e = entry{"kind": "parallel_fold", "from": -length(x), "to": length(y),
				"left": parallelSide(length(a1), length(p1)), "right": parallelSide(length(a2), length(p2))}
		case 2:
			e = entry{"kind": "strap", "from": -length(x), "to": length(y), "left_offset": length(a1), "right_offset": length(a2)}
		case 3:
			e["lean"] = "toward"
		}
		child := entry{"id": "barge", "on": places[int(place)%len(places)]}
		maps.Copy(child, e)
		e["id"], e["on"] = "tug", entry{"fold": "gutter"}
		a := (&document{mechanisms: []entry{e, child}}).compile(t)
		p := a.NewPose()
		a.PoseInto(p, Drive{Opening: geom.Angle(opening)})
		for i := range a.Panels {
			for _, v := range p.AppendVertices(nil, i) {
				if p.Has(i) && !(v.Norm() < 1e5) {
					t.Fatalf("%s has a vertex at %v", a.Panels[i].ID, v)
				}
			}
		}
		// Slivers of half a degree next to a lock magnify reachRounding.
		checkRigid(t, a, p, 1e-4)
	})
}
