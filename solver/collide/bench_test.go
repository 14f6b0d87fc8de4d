package collide

import (
	"fmt"
	"math"
	"testing"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// fleet is n mechanisms that crowd a spread: V-folds and tents along the gutter, with
// small ones on their base folds, many of which are in the way of others.
func fleet(b *testing.B, n int) *kinematics.Assembly {
	b.Helper()
	var list []entry
	for i := range n {
		id := fmt.Sprintf("boat%d", i)
		at := 10 + 150*math.Mod(float64(i)*0.381966, 1)
		e := entry{"kind": "parallel_fold", "from": at, "to": at + 12, "left": entry{"base_offset": 12, "panel_width": 18}}
		on := entry{"fold": "gutter"}
		switch i % 4 {
		case 1:
			e = entry{"kind": "v_fold", "at": at, "left": entry{"base_angle": 55, "panel_angle": 80, "base_length": 40}, "ridge_length": 40}
		case 2: // on the V before
			e = entry{"kind": "v_fold", "at": 15, "left": entry{"base_angle": 50, "panel_angle": 75, "base_length": 12}, "ridge_length": 14}
			on = entry{"fold": fmt.Sprintf("boat%d.left_base", i-1), "side": "outer"}
		case 3:
			e = entry{"kind": "figure", "outline": "M0 0 H8 V10 L4 14 L0 10 Z", "place": entry{"u": 6, "v": 4}}
			on = entry{"panel": fmt.Sprintf("boat%d.right", i-2)}
		}
		e["id"], e["on"] = id, on
		list = append(list, e)
	}
	return assemble(b, list)
}

// street is n mechanisms that clear: houses side by side along the gutter, each with a
// step on either base fold and a sign.
func street(b *testing.B, n int) *kinematics.Assembly {
	b.Helper()
	wide := 170 / float64(n/4+1)
	var list []entry
	for i := range n {
		id, house := fmt.Sprintf("boat%d", i), fmt.Sprintf("boat%d", i-i%4)
		var e entry
		switch i % 4 {
		case 0:
			at := 5 + wide*float64(i/4)
			e = entry{"kind": "parallel_fold", "on": entry{"fold": "gutter"}, "from": at, "to": at + 0.8*wide, "left": entry{"base_offset": 30, "panel_width": 40}}
		case 1, 2:
			side := []string{"left", "right"}[i%4-1]
			e = entry{"kind": "strap", "on": entry{"fold": house + "." + side + "_base"}, "from": 0.1 * wide, "to": 0.7 * wide, "left_offset": 6, "right_offset": 8}
		case 3:
			e = entry{"kind": "figure", "on": entry{"panel": house + ".left"}, "outline": "M0 0 H2 V8 L1 10 L0 8 Z", "place": entry{"u": 0.2 * wide, "v": 25}}
		}
		e["id"] = id
		list = append(list, e)
	}
	return assemble(b, list)
}

// All pairs at 181 openings, for a design of 24 panels.
func BenchmarkAt(b *testing.B) {
	a := fleet(b, 12)
	if n := len(a.Panels); n != 23 {
		b.Fatalf("%d panels", n)
	}
	bodies, p := Compile(a, nil), a.NewPose()
	found := 0
	b.ReportAllocs()
	for b.Loop() {
		for degrees := range 181 {
			a.PoseInto(p, kinematics.Drive{Opening: geom.Degrees(float64(degrees))})
			bodies.At(p, func(Piece, Piece, Crossing) { found++ })
		}
	}
}

// The same with proof over the whole range.
func BenchmarkSweep(b *testing.B) {
	sweep := func(b *testing.B, a *kinematics.Assembly) {
		var r Result
		b.ReportAllocs()
		for b.Loop() {
			r = Compile(a, nil).Sweep(Options{})
		}
		b.ReportMetric(float64(len(a.Panels)), "panels")
		b.ReportMetric(float64(r.Pairs), "pairs")
		b.ReportMetric(float64(r.Pairs-r.Proved), "open")
	}
	for _, n := range []int{12, 10, 50, 100, 200} {
		b.Run(fmt.Sprintf("fleet/%d", n), func(b *testing.B) { sweep(b, fleet(b, n)) })
		b.Run(fmt.Sprintf("street/%d", n), func(b *testing.B) { sweep(b, street(b, n)) })
	}
}

func BenchmarkCompile(b *testing.B) {
	a := fleet(b, 200)
	for b.Loop() {
		Compile(a, nil)
	}
}
