package kinematics

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// slidingEdge is the distance of the sliding edge of a tent from the gutter.
func slidingEdge(a *Assembly, p *Pose, id string) float64 {
	o := p.Panels[a.PanelIndex(id+".far")].Origin
	return math.Hypot(o.X, o.Z)
}

// An unguided strip is the rod of an in-line slider-crank.
func TestUnguidedTentIsASliderCrank(t *testing.T) {
	for _, row := range []struct {
		crank, rod, opening, x, tol float64
		source                      string
	}{
		{
			10, 20, 45, 25.7794, 5e-5,
			"a published course worksheet gives v = 9.744 and θ3 = 159.295 for θ2 = 45; its lengths are inferred, 10 and 20, " +
				"and x = a·cos θ + √(b² - a²·sin² θ) computed from them at 30 digits",
		},
		{10, 20, 45, 25.8211, 0.05, "a·cos θ + b - a²/4b·(1 - cos 2θ), the textbook approximation, which neglects terms of a⁴/b³"},
		{10, 20, 180, 10, 1e-12, "rod less crank at the outer dead point"},
		{10, 20, 0, 30, 1e-12, "rod and crank in line"},
		{40, 120, 60, 20 + math.Sqrt(120*120-1200), 1e-12, "the same with a·sin 60 = 34.64: in-line case of a worked example with offset"},
	} {
		t.Run(fmt.Sprintf("%g and %g at %g", row.crank, row.rod, row.opening), func(t *testing.T) {
			width := (row.crank + row.rod - 2) / 2
			a := assemble(t, fmt.Sprintf(`{"id":"sail","kind":"slide_tent","page":"right","from":10,"to":40,"guided":false,
				"fixed_offset":2,"near_width":%g,"far_width":%g,"travel":%g}`, width, width, 2*row.crank))
			p := pose(t, a, row.opening)
			approx(t, "x ("+row.source+")", slidingEdge(a, p, "sail"), row.x, row.tol)
			approx(t, "travel", p.Strips[0].Travel, row.crank+row.rod-slidingEdge(a, p, "sail"), 1e-12)
		})
	}
}

// A guided strip draws as a pull strip across a fold, from either page.
func TestGuidedTentIsAPullStrip(t *testing.T) {
	const source = "√(u²+v²-2uv·cos φ) - |u-v|, computed at 30 digits; at most 2·min(u, v)"
	for _, row := range []struct{ u, v, opening, travel float64 }{
		{20, 30, 0, 0},
		{20, 30, 60, 16.45751311064590590},
		{20, 30, 90, 26.05551275463989294},
		{20, 30, 120, 33.58898943540673552},
		{20, 30, 180, 40},
		{20, 20, 60, 20},
		{20, 20, 180, 40},
		{20, 20, 1e-6, 20 * 1e-6 * math.Pi / 180},
		{15, 10, 180, 20},
	} {
		for _, page := range []string{"left", "right"} {
			a := assemble(t, fmt.Sprintf(`{"id":"sail","kind":"slide_tent","page":%q,"from":10,"to":40,
				"fixed_offset":%g,"near_width":45,"far_width":30,"travel":%g}`, page, row.v, 2*row.u))
			p := pose(t, a, row.opening)
			approx(t, fmt.Sprintf("travel at %g (%s)", row.opening, source), p.Strips[0].Travel, row.travel, 1e-13*(1+row.travel))
			approx(t, "sliding edge", slidingEdge(a, p, "sail"), row.v+75-row.travel, 1e-11)
			if row.opening == 180 {
				approx(t, "most", a.Strips[0].Most, row.travel, 0)
			}
		}
	}
}

// The ridge is the apex of a triangle with sides 30 and 40 on a base of 50.
func TestTentIsATriangle(t *testing.T) {
	// Source: the 3-4-5 triangle. The strip must draw 20 of 70: u = v = 20 at 60.
	a := assemble(t, `{"id":"sail","kind":"slide_tent","page":"right","from":10,"to":40,
		"fixed_offset":20,"near_width":30,"far_width":40,"travel":40}`)
	p := pose(t, a, 60)
	approx(t, "base", foldAngle(t, a, p, "sail.near_base"), 180-math.Acos(0.6)*180/math.Pi, 1e-9)
	approx(t, "ridge", foldAngle(t, a, p, "sail.ridge"), 90, 1e-9)
	shut := pose(t, a, 0)
	approx(t, "shut base", foldAngle(t, a, shut, "sail.near_base"), 180, 1e-6)
	approx(t, "shut ridge", foldAngle(t, a, shut, "sail.ridge"), 180, 1e-6)
}

// The strip keeps its length, starts at the sliding edge and ends at its
// anchor, and what it has drawn only grows.
func TestStripsKeepTheirLength(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := drawSlideTent(t)
		e["id"] = "sail"
		a := (&document{mechanisms: []entry{e}}).compile(t)
		s := &a.Strips[0]
		if s.ID != "sail.strip" || s.Mechanism != 0 {
			t.Fatalf("strip %q of mechanism %d", s.ID, s.Mechanism)
		}
		size := a.Design.Size()
		last := -1.0
		for degrees := 0.0; degrees <= 180; degrees += 7.5 {
			p := poseAt(a, degrees)
			if !p.AllReached {
				t.Fatalf("locked at %g degrees", degrees)
			}
			state := &p.Strips[0]
			path := state.Path()
			if off := math.Abs(state.Length() - s.Length); !(off <= openTolerance*size) {
				t.Fatalf("%g mm longer at %g degrees", off, degrees)
			}
			for end, face := range map[int]Face{0: s.Pulls, len(path) - 1: s.Anchor} {
				if off := p.Panels[face.Panel].At(face.Origin).Sub(path[end]).Norm(); !(off <= openTolerance*size) {
					t.Fatalf("end %d is %g mm off at %g degrees", end, off, degrees)
				}
			}
			if state.Travel < last {
				t.Fatalf("travel falls from %g to %g at %g degrees", last, state.Travel, degrees)
			}
			last = state.Travel
		}
		if off := math.Abs(last - s.Most); !(off <= openTolerance*size) {
			t.Fatalf("draws %g in all, want %g", last, s.Most)
		}
	})
}

// Next to shut the travel keeps its digits.
func TestTravelNextToShut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := drawSlideTent(t)
		e["id"] = "sail"
		a := (&document{mechanisms: []entry{e}}).compile(t)
		spec := a.Design.Mechanisms[0].Spec.(*design.SlideTent)
		p := a.NewPose()
		const opening = 1e-7
		a.PoseInto(p, Drive{Opening: opening})
		// The first term in t: u·v·t²/(2|u-v|) or, unguided, d·t²/2·(1 + d/r).
		u, v := spec.Anchor(), spec.FixedOffset
		want := u * v * opening * opening / (2 * math.Abs(u-v))
		if !spec.Guided {
			r := v + spec.NearWidth + spec.FarWidth - u
			want = u * opening * opening / 2 * (1 + u/r)
		} else if math.Abs(u-v) < 0.01 {
			t.Skip("the first term is another one")
		}
		if got := p.Strips[0].Travel; !(math.Abs(got/want-1) < 1e-6) {
			t.Fatalf("travel %g, want %g", got, want)
		}
	})
}

// Source: a strip of u = v = d draws 2d·sin φ/2; the tent locks at twice the
// narrower panel. An unguided strip of rod r binds at d·sin φ = r.
func TestTentLocks(t *testing.T) {
	for _, row := range []struct {
		fields  string
		opening float64
	}{
		{`"fixed_offset":30,"near_width":15,"far_width":50,"travel":60`, 60},
		{`"fixed_offset":30,"near_width":50,"far_width":15,"travel":60`, 60},
		{`"fixed_offset":30,"near_width":15,"far_width":15,"travel":60`, 60},
		{`"fixed_offset":4,"near_width":28,"far_width":28,"travel":80,"guided":false`, 30},
	} {
		a := assemble(t, `{"id":"sail","kind":"slide_tent","page":"right","from":10,"to":40,`+row.fields+`}`)
		for _, side := range []struct {
			by   float64
			want Reach
		}{{-1e-6, Reached}, {1e-6, LockedOpen}} {
			if got := poseAt(a, row.opening+side.by).Reach[0]; got != side.want {
				t.Errorf("%s: %v at %g degrees, want %v", row.fields, got, row.opening+side.by, side.want)
			}
		}
	}
	a := assemble(t, `{"id":"sail","kind":"slide_tent","page":"right","from":10,"to":40,"fixed_offset":5,"near_width":5,"far_width":5,"travel":40,"guided":false}`)
	if got := poseAt(a, 0).Reach[0]; got != LockedOpen {
		t.Errorf("an anchor beyond the sliding edge: %v, want %v", got, LockedOpen)
	}
}

// Where the strip passes the near panel.
func TestStripGap(t *testing.T) {
	a := assemble(t, `
		{"id":"sail","kind":"slide_tent","page":"right","from":10,"to":50,"fixed_offset":20,"near_width":40,"far_width":35,"travel":38,"strip":{"width":10,"at":25}},
		{"id":"jib","kind":"slide_tent","page":"left","from":60,"to":100,"fixed_offset":2,"near_width":40,"far_width":35,"travel":38,"guided":false}`)
	if got, want := a.Strips[0].Gap, (StripGap{Panel: a.PanelIndex("sail.near"), From: 10, To: 20}); got != want {
		t.Errorf("gap %+v, want %+v", got, want)
	}
	if got, want := a.Strips[0].Anchor, edge(pageLeft, 25, 19, 1, 0, 0, 1); got != want {
		t.Errorf("anchor %+v, want %+v", got, want)
	}
	rise := a.Strips[1].Gap.Rise
	highest := 0.0
	for degrees := 0.5; degrees < 180; degrees += 0.5 {
		p := pose(t, a, degrees)
		near := &p.Panels[a.PanelIndex("jib.near")]
		path := p.Strips[1].Path()
		// The path through the plane of the near panel.
		from, to := near.Local(path[0]), near.Local(path[1])
		at := geom.Vec2{X: from.X, Y: from.Y}.Lerp(geom.Vec2{X: to.X, Y: to.Y}, from.Z/(from.Z-to.Z))
		highest = max(highest, at.Y)
	}
	approx(t, "rise", rise, highest, 0.01)
	approx(t, "middle", (a.Strips[1].Gap.From+a.Strips[1].Gap.To)/2, 20, 0)
}
