package layout

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/geom"
)

func shifted(r []geom.Vec2, x, y float64) []geom.Vec2 {
	out := slices.Clone(r)
	for i := range out {
		out[i] = out[i].Add(geom.Vec2{X: x, Y: y})
	}
	return out
}

// assertPlan checks that every stroke is there once, that nothing is done
// before what must come first, and that the travel adds up.
func assertPlan(t reporter, strokes []Stroke, plan *ToolPlan, home geom.Vec2) {
	place := make([]int, len(strokes))
	for i := range place {
		place[i] = -1
	}
	up, at := 0.0, home
	for k, s := range plan.Steps {
		if place[s.Stroke] >= 0 {
			t.Errorf("stroke %d comes twice", s.Stroke)
		}
		place[s.Stroke] = k
		p := strokes[s.Stroke].Points
		from, to := p[s.Start], p[s.Start]
		if !strokes[s.Stroke].Closed {
			from, to = p[0], p[len(p)-1]
			if s.Reverse {
				from, to = to, from
			}
		}
		up, at = up+from.Sub(at).Norm(), to
	}
	up += at.Sub(home).Norm()
	if math.Abs(up-plan.PenUp) > 1e-6*(1+up) {
		t.Errorf("pen-up distance %g, want %g", plan.PenUp, up)
	}
	for i := range strokes {
		if place[i] < 0 {
			t.Errorf("stroke %d is missing", i)
		}
		for j := range strokes {
			if strokes[i].Outline && strokes[i].Part == strokes[j].Part && !strokes[j].Outline && place[j] > place[i] {
				t.Errorf("stroke %d comes after the outline of its part", j)
			}
		}
	}
}

// Four unit squares in a row, listed out of order, from home at the left:
// travel 1 between neighbours (entered at the nearest corner, closed squares
// end where they begin), and back.
func TestStrokesInARow(t *testing.T) {
	var strokes []Stroke
	for i, x := range []float64{6, 0, 4, 2} {
		strokes = append(strokes, Stroke{Part: i, Operation: "cut", Outline: true, Closed: true, Points: shifted(rectangle(1, 1), x, 0)})
	}
	plan := OrderStrokes(strokes, []string{"cut"}, geom.Vec2{})
	assertPlan(t, strokes, plan, geom.Vec2{})
	// Out along the row and back: no order needs less than twice the distance
	// to the near corner of the last square.
	if math.Abs(plan.PenUp-12) > 1e-9 {
		t.Errorf("pen-up %g, want 12", plan.PenUp)
	}
}

func TestInsideFirst(t *testing.T) {
	frame, hole := rectangle(100, 100), shifted(rectangle(60, 60), 20, 20)
	strokes := []Stroke{
		{Part: 0, Operation: "cut", Outline: true, Closed: true, Points: frame},
		{Part: 0, Operation: "cut", Closed: true, Points: hole},
		{Part: 0, Operation: "score", Points: []geom.Vec2{{X: 5, Y: 5}, {X: 95, Y: 5}}},
		// A part in the hole of the other, with a hole of its own.
		{Part: 1, Operation: "cut", Outline: true, Closed: true, Points: shifted(rectangle(20, 20), 40, 40)},
		{Part: 1, Operation: "cut", Closed: true, Points: shifted(rectangle(5, 5), 45, 45)},
	}
	plan := OrderStrokes(strokes, []string{"score", "cut"}, geom.Vec2{})
	assertPlan(t, strokes, plan, geom.Vec2{})
	var order []int
	for _, s := range plan.Steps {
		order = append(order, s.Stroke)
	}
	if want := []int{2, 4, 3, 1, 0}; !slices.Equal(order, want) {
		t.Errorf("order %v, want %v", order, want)
	}
	// Scores after cuts, as asked, still come before the outline.
	plan = OrderStrokes(strokes, []string{"cut", "score"}, geom.Vec2{})
	assertPlan(t, strokes, plan, geom.Vec2{})
}

func TestRandomStrokes(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var strokes []Stroke
		for i := range rapid.IntRange(0, 12).Draw(rt, "parts") {
			x, y := rapid.Float64Range(0, 200).Draw(rt, "x"), rapid.Float64Range(0, 200).Draw(rt, "y")
			strokes = append(strokes, Stroke{Part: i, Operation: "cut", Outline: true, Closed: true, Points: shifted(rectangle(10, 8), x, y)})
			if rapid.Bool().Draw(rt, "scored") {
				strokes = append(strokes, Stroke{
					Part: i, Operation: rapid.SampledFrom([]string{"score", "cut", "other"}).Draw(rt, "operation"),
					Points: shifted([]geom.Vec2{{X: 1, Y: 1}, {X: 9, Y: 7}}, x, y),
				})
			}
		}
		plan := OrderStrokes(strokes, []string{"score", "cut"}, geom.Vec2{})
		assertPlan(rt, strokes, plan, geom.Vec2{})
		// Never further than by taking the nearest each time.
		cuts := slices.DeleteFunc(slices.Clone(strokes), func(s Stroke) bool { return !s.Outline })
		up, at, left := 0.0, geom.Vec2{}, slices.Clone(cuts)
		for len(left) > 0 {
			best, least, to := 0, math.Inf(1), at
			for i := range left {
				for _, p := range left[i].Points {
					if d := p.Sub(at).Norm(); d < least {
						best, least, to = i, d, p
					}
				}
			}
			up, at, left = up+least, to, slices.Delete(left, best, best+1)
		}
		if p := OrderStrokes(cuts, nil, geom.Vec2{}); p.PenUp > up+at.Norm()+1e-6 {
			rt.Errorf("pen-up %g, by the nearest %g", p.PenUp, up+at.Norm())
		}
	})
}
