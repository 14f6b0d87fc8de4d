package kinematics

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/testdata/designs"
)

// crateDesign is the example of a box with walls and a lid.
func crateDesign(t testing.TB) *design.Design {
	t.Helper()
	data, ok := designs.Read("crate")
	if !ok {
		t.Fatal("no example crate")
	}
	d, err := design.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// Structures with known mobility. The bodies of the formulas are the page they
// are glued to and their panels; f is 1 for a hinge and 3 for a ball.
//
// Source of each count: m(N-1-J) + Σf (Lynch and Park, Modern Robotics, ch. 2),
// m = 3 in the plane or about one point, 6 in space; where it is known to fail,
// the argument given with the row.
const (
	// Three panels and the page in parallel hinges: 3(4-1-4)+4 = 1. In space
	// it says -2.
	planarFourBar = `{"id":"tug","kind":"linkage","on":{"fold":"gutter"},
		"panels":[{"id":"a","outline":[[0,0],[30,0],[30,20],[0,20]]},{"id":"b","outline":[[0,0],[30,0],[30,45],[0,45]]},{"id":"c","outline":[[0,0],[30,0],[30,30],[0,30]]}],
		"hinges":[{"id":"near","between":[{"panel":"a","edge":2},{"panel":"b","edge":0}]},{"id":"far","between":[{"panel":"b","edge":2},{"panel":"c","edge":2}]}],
		"glue":[{"panel":"a","edge":0,"to":"right","at":[[10,20],[40,20]]},{"panel":"c","edge":0,"to":"right","at":[[40,60],[10,60]]}]}`
	// The same with all hinges through one point: 3(4-1-4)+4 = 1.
	sphericalFourBar = `{"id":"tug","kind":"linkage","on":{"fold":"gutter"},
		"panels":[{"id":"a","outline":[[0,0],[40,0],[24,32]]},{"id":"b","outline":[[0,0],[40,0],[0,40]]},{"id":"c","outline":[[0,0],[40,0],[32,24]]}],
		"hinges":[{"id":"near","between":[{"panel":"a","edge":2},{"panel":"b","edge":0}],"reverse":false},{"id":"far","between":[{"panel":"b","edge":2},{"panel":"c","edge":2}],"reverse":true}],
		"glue":[{"panel":"a","edge":0,"to":"page.right","at":[[50,20],[90,20]]},{"panel":"c","edge":0,"to":"page.right","at":[[50,20],[50,60]]}]}`
	// A parallelogram on three legs: 3(5-1-6)+6 = 0 in the plane, but the third
	// leg goes round in the same circle as the others and holds nothing: 1.
	threeLegs = `{"id":"tug","kind":"linkage","on":{"fold":"gutter"},
		"panels":[{"id":"a","outline":[[0,0],[30,0],[30,25],[0,25]]},{"id":"b","outline":[[0,0],[30,0],[30,50],[0,50]]},{"id":"c","outline":[[0,0],[30,0],[30,25],[0,25]]},{"id":"d","outline":[[0,0],[30,0],[30,25],[0,25]]}],
		"hinges":[{"id":"near","between":[{"panel":"a","edge":2},{"panel":"b","edge":0}]},{"id":"far","between":[{"panel":"b","edge":2},{"panel":"c","edge":2}]}],
		"glue":[{"panel":"a","edge":0,"to":"right","at":[[10,20],[40,20]]},{"panel":"c","edge":0,"to":"right","at":[[40,70],[10,70]]},
		        {"panel":"d","edge":0,"to":"right","at":[[10,40],[40,40]]},{"id":"top","panel":"d","edge":2,"to":"tug.b","at":[[30,20],[0,20]]}],
		"start":{"opening":90,"angles":[{"fold":"a_base","angle":70}]}}`
	// A panel on one glued edge: f = 1, and no loop.
	loneFlap = `{"id":"tug","kind":"linkage","on":{"fold":"gutter"},
		"panels":[{"id":"a","outline":[[0,0],[30,0],[30,20],[0,20]]}],
		"glue":[{"panel":"a","edge":0,"to":"right","at":[[10,20],[40,20]]}]}`
	// A panel on one glued point: f = 3.
	oneBall = `{"id":"tug","kind":"linkage","on":{"fold":"gutter"},
		"panels":[{"id":"a","outline":[[0,0],[30,0],[30,20],[0,20]]}],
		"glue":[{"panel":"a","point":[[5,5]],"to":"right","at":[[10,20]]}]}`
	// On two, whose distance is held twice, by the panel and by the page: it
	// turns about the line through them, where the count says 6-6 = 0.
	twoBalls = `{"id":"tug","kind":"linkage","on":{"fold":"gutter"},
		"panels":[{"id":"a","outline":[[0,0],[30,0],[30,20],[0,20]]}],
		"glue":[{"panel":"a","point":[[5,5]],"to":"right","at":[[10,20]]},{"panel":"a","point":[[25,5]],"to":"right","at":[[30,20]]}]}`
	// On three, which hold their triangle twice: fast, with 9-6 repeated.
	threeBalls = `{"id":"tug","kind":"linkage","on":{"fold":"gutter"},
		"panels":[{"id":"a","outline":[[0,0],[30,0],[30,20],[0,20]]}],
		"glue":[{"panel":"a","point":[[5,5]],"to":"right","at":[[10,20]]},{"panel":"a","point":[[25,5]],"to":"right","at":[[30,20]]},{"panel":"a","point":[[5,15]],"to":"right","at":[[10,30]]}]}`
)

// written is an entry as it stands in a document.
func written(t testing.TB, e entry) string {
	t.Helper()
	data, err := json.Marshal(e)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func TestMobility(t *testing.T) {
	for _, row := range []struct {
		name, mechanism               string
		mobility, freedom, redundancy int
	}{
		{"planar four-bar", planarFourBar, -2, 1, 3},
		{"spherical four-bar", sphericalFourBar, -2, 1, 3},
		{"parallelogram on three legs", threeLegs, -6, 1, 7},
		{"flap", loneFlap, 1, 1, 0},
		{"one ball", oneBall, 3, 3, 0},
		{"two balls", twoBalls, 0, 1, 1},
		{"three balls", threeBalls, -3, 0, 3},
		// Driven by the pages: 3(4-1-4)+4 = 1 with the page's own motion, 0 with
		// the book held.
		{"tent", strings.Replace(samples["linkage"], "%s", `"id":"tug","on":{"fold":"gutter"}`, 1), -3, 0, 3},
	} {
		t.Run(row.name, func(t *testing.T) {
			a := assemble(t, row.mechanism)
			r := a.Linkages()[0]
			if !r.Solved || r.From != 0 || r.To != math.Pi || r.LocksShut || r.LocksOpen {
				t.Fatalf("%+v", r)
			}
			if r.Mobility != row.mobility || r.Freedom != row.freedom || r.Redundancy != row.redundancy {
				t.Errorf("mobility %d, freedom %d, redundancy %d; want %d, %d, %d",
					r.Mobility, r.Freedom, r.Redundancy, row.mobility, row.freedom, row.redundancy)
			}
			for _, opening := range []float64{0, 0.1, 30, 90, 150, 180} {
				p := pose(t, a, opening)
				checkRigid(t, a, p, openTolerance)
				state := p.Linkages()[0]
				if opening != 0 && opening != 180 && state.Freedom != row.freedom {
					t.Errorf("freedom %d at %g", state.Freedom, opening)
				}
				if !(state.Residual <= 1e-12*a.Design.Size()) {
					t.Errorf("residual %g mm at %g", state.Residual, opening)
				}
			}
		})
	}
}

// What hinges leave free stays still against its host: the legs of a
// parallelogram on one page keep the slope they start with.
func TestFreedomStaysStill(t *testing.T) {
	a := assemble(t, threeLegs)
	for _, opening := range []float64{0, 1, 90, 180} {
		approx(t, "slope", foldAngle(t, a, pose(t, a, opening), "tug.a_base"), 70, 1e-6)
	}
}

// A layer on one ply in the middle sways: the parallelograms on the two sides
// share the slope of the middle support, which nothing fixes.
func TestFloatingLayerSways(t *testing.T) {
	a := assemble(t, `{"id":"pier","kind":"floating_layer","on":{"fold":"gutter"},"from":10,"to":40,"height":15,"left_extent":50,"right_extent":40,"left_support":50,"right_support":40}`)
	b := assemble(t, written(t, twin(t, a, 0, pose(t, a, 90))))
	if r := b.Linkages()[0]; r.Freedom != 1 {
		t.Errorf("%+v", r)
	}
}

// Locks. Source: the conditions of mech_v_fold and mech_parallel_fold, open = 0
// and shut = 0.
func TestLinkageLocks(t *testing.T) {
	for _, row := range []struct {
		name, original string
		from, to       float64 // rad
	}{
		// C²·sin²a + sin(b-a)·sin(b+a) = 0 with a = 60, b = 40.
		{"opening", `{"id":"sail","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":60,"panel_angle":40,"base_length":40},"ridge_length":50}`,
			0, 2 * math.Acos(math.Sqrt(math.Sin(math.Pi/9)*math.Sin(5*math.Pi/9))/math.Sin(math.Pi/3))},
		// S²·a1·a2 + (δ-ε)(δ+ε) = 0 with δ = 2, ε = 5, a1·a2 = 18·22.
		{"shutting", `{"id":"shed","kind":"parallel_fold","on":{"fold":"gutter"},"from":10,"to":40,"left":{"base_offset":18,"panel_width":30},"right":{"base_offset":22,"panel_width":40}}`,
			2 * math.Asin(math.Sqrt(21.0/396)), math.Pi},
	} {
		t.Run(row.name, func(t *testing.T) {
			a := assemble(t, row.original)
			b := assemble(t, written(t, twin(t, a, 0, pose(t, a, 60))))
			r := b.Linkages()[0]
			approx(t, "from", float64(r.From), row.from, 1e-6)
			approx(t, "to", float64(r.To), row.to, 1e-6)
			if r.LocksShut != (row.from > 0) || r.LocksOpen != (row.to < math.Pi) {
				t.Errorf("%+v", r)
			}
			for opening := 0.0; opening <= 180; opening += 0.5 {
				if got, want := poseAt(b, opening).Reach[0], poseAt(a, opening).Reach[0]; got != want {
					t.Errorf("at %g: %v, want %v", opening, got, want)
				}
			}
		})
	}
}

// Walls that are too far apart for their ends close nowhere.
func TestLinkageThatCannotClose(t *testing.T) {
	a := assemble(t, `{"id":"tug","kind":"linkage","on":{"fold":"gutter"},
		"panels":[{"id":"a","outline":[[0,0],[30,0],[30,20],[0,20]]},{"id":"b","outline":[[0,0],[30,0],[30,20],[0,20]]}],
		"hinges":[{"id":"ridge","between":[{"panel":"a","edge":2},{"panel":"b","edge":2}]}],
		"glue":[{"panel":"a","edge":0,"to":"right","at":[[10,20],[40,20]]},{"panel":"b","edge":0,"to":"right","at":[[40,80],[10,80]]}]}`)
	r := a.Linkages()[0]
	if r.Solved || r.Mobility != -3 {
		t.Errorf("%+v", r)
	}
	for _, opening := range []float64{0, 90, 180} {
		if p := poseAt(a, opening); p.Reach[0] != LockedOpen && p.Reach[0] != LockedShut || p.Has(2) || len(p.Linkages()) != 0 {
			t.Errorf("at %g: %v", opening, p.Reach)
		}
	}
}

// The crate. Source: its ends are rectangles, so the edges of the side walls
// that they join stay parallel, along the bisector of the pages; with offset a,
// height H and half a lid of width b the feet of the walls are at a·(±S, C) and
// the ridge of the lid at a·C + H + √(b² - a²S²). Half an end of width a joins
// feet 2a·S apart, so its crease is a·C in from the corners.
func TestCrate(t *testing.T) {
	const a, H, b = 18.0, 30.0, 24.0
	d := crateDesign(t)
	c := Compile(d)
	for _, opening := range []float64{0, 0.1, 1, 45, 90, 135, 179, 180} {
		p := c.NewPose()
		c.PoseInto(p, Drive{Opening: geom.Degrees(opening)})
		if !p.AllReached {
			t.Fatalf("at %g: %v", opening, p.Reach)
		}
		S, C := math.Sincos(float64(geom.Degrees(opening)) / 2)
		tolerance := 1e-8
		at := func(what, fold string, end int, want geom.Vec3) {
			t.Helper()
			if off := p.FoldEnds(c.FoldIndex(fold))[end].Sub(want).Norm(); !(off <= tolerance) {
				t.Errorf("%s at %g is %g mm off", what, opening, off)
			}
		}
		at("foot of the left wall", "crate.left_base", 0, geom.Vec3{X: -a * S, Y: 95, Z: a * C})
		at("head of the right wall", "crate.lid_right_edge", 0, geom.Vec3{X: a * S, Y: 55, Z: a*C + H})
		at("front crease", "crate.front_crease", 0, geom.Vec3{Y: 55 + a*C, Z: a * C})
		at("back crease", "crate.back_crease", 1, geom.Vec3{Y: 95 - a*C, Z: a*C + H})
		at("ridge of the lid", "crate.lid_ridge", 0, geom.Vec3{Y: 55, Z: a*C + H + math.Sqrt(b*b-a*a*S*S)})
	}
	r := c.Linkages()[0]
	// 6·8 - 5·11; all 8 panels are driven.
	if r.Mobility != -7 || r.Freedom != 0 || r.Redundancy != 7 {
		t.Errorf("%+v", r)
	}
}

// A layer held by two tents of different heights, one edge glued to each.
// Source: in the cross-section, the point at 45 mm from the one glued line and
// at 20 from the other, beyond the line through both all the way.
func TestLayerOnTwoTents(t *testing.T) {
	const deck, post = 25.0, 20.0
	a := assemble(t, `
		{"id":"shed","kind":"parallel_fold","on":{"fold":"gutter"},"from":10,"to":40,"left":{"base_offset":30,"panel_width":50}},
		{"id":"barn","kind":"parallel_fold","on":{"fold":"gutter"},"from":60,"to":90,"left":{"base_offset":45,"panel_width":80}},
		{"id":"roof","kind":"linkage","on":{"fold":"gutter"},
		 "panels":[{"id":"deck","outline":[[0,0],[30,0],[30,20],[80,20],[80,25],[50,25],[0,25]]},{"id":"post","outline":[[0,0],[30,0],[30,20],[0,20]]}],
		 "hinges":[{"id":"ridge","between":[{"panel":"deck","edge":4},{"panel":"post","edge":2}]}],
		 "glue":[{"panel":"deck","edge":0,"to":"shed.right","at":[[0,40],[30,40]]},{"panel":"post","edge":0,"to":"barn.right","at":[[30,70],[0,70]]}]}`)
	r := a.Linkages()[0]
	if !r.Solved || r.From != 0 || r.To != math.Pi || r.Freedom != 0 {
		t.Fatalf("%+v", r)
	}
	side := 0.0
	for _, opening := range []float64{90, 0, 0.1, 1, 20, 60, 120, 150, 179, 180} {
		p := pose(t, a, opening)
		checkRigid(t, a, p, openTolerance)
		from := p.FoldEnds(a.FoldIndex("roof.deck_base"))[0]
		to := p.FoldEnds(a.FoldIndex("roof.post_base"))[0]
		x, z := to.X-from.X, to.Z-from.Z
		apart := math.Hypot(x, z)
		along := (apart*apart + deck*deck - post*post) / (2 * apart)
		across := math.Sqrt(max(0, deck*deck-along*along))
		ridge := p.FoldEnds(a.FoldIndex("roof.ridge"))[0]
		got := (x*(ridge.Z-from.Z) - z*(ridge.X-from.X)) / apart
		if side == 0 {
			side = math.Copysign(1, got)
		}
		approx(t, "ridge across", got, side*across, 2e-7)
		approx(t, "ridge along", (x*(ridge.X-from.X)+z*(ridge.Z-from.Z))/apart, along, 2e-7)
	}
	if hosts := a.Design.HostsOf(2); !slices.Equal(hosts, []int{0, 1}) {
		t.Errorf("hosts %v", hosts)
	}
}

// A figure in two halves glued across the two panels of a tent is a parallel
// fold over its ridge. Source: mech_parallel_fold.
func TestFigureAcrossTwoPanels(t *testing.T) {
	const shed = `{"id":"shed","kind":"parallel_fold","on":{"fold":"gutter"},"from":10,"to":40,"left":{"base_offset":30,"panel_width":50}},`
	a := assemble(t, shed+`{"id":"sign","kind":"parallel_fold","on":{"fold":"shed.ridge","side":"outer"},"from":5,"to":25,
		"left":{"base_offset":20,"panel_width":25},"right":{"base_offset":10,"panel_width":15}}`)
	// Over the top the left face of the ridge is the tent's left panel, 50 wide.
	b := assemble(t, shed+`{"id":"sign","kind":"linkage","on":{"fold":"gutter"},
		"panels":[{"id":"left","outline":[[0,0],[20,0],[20,25],[0,25]]},{"id":"right","outline":[[0,0],[20,0],[20,15],[0,15]]}],
		"hinges":[{"id":"ridge","between":[{"panel":"left","edge":2},{"panel":"right","edge":2}]}],
		"glue":[{"panel":"left","edge":0,"to":"shed.left","at":[[25,30],[5,30]]},{"panel":"right","edge":0,"to":"shed.right","at":[[5,40],[25,40]]}]}`)
	for _, opening := range []float64{0, 0.1, 1, 45, 90, 135, 180} {
		p, q := poseAt(a, opening), poseAt(b, opening)
		if p.Reach[1] != q.Reach[1] {
			t.Fatalf("at %g: %v and %v", opening, p.Reach, q.Reach)
		}
		if p.Reach[1] != Reached {
			continue
		}
		x, z := ridgeInSection(a, p, "sign.ridge")
		u, w := ridgeInSection(b, q, "sign.ridge")
		approx(t, "x", u, x, 1e-7)
		approx(t, "z", w, z, 1e-7)
	}
}

// A pose depends on the opening alone, to the last bit: not on what was posed
// before, nor on which of two compilations.
func TestLinkagePosesAreDeterministic(t *testing.T) {
	d := crateDesign(t)
	a, b := Compile(d), Compile(d)
	used := b.NewPose()
	rapid.Check(t, func(t *rapid.T) {
		opening := geom.Degrees(drawOpening(t))
		fresh := a.NewPose()
		a.PoseInto(fresh, Drive{Opening: opening})
		b.PoseInto(used, Drive{Opening: geom.Degrees(drawOpening(t))})
		b.PoseInto(used, Drive{Opening: opening})
		for i := range a.Panels {
			if fresh.Panels[i] != used.Panels[i] {
				t.Fatalf("%s differs at %g", a.Panels[i].ID, opening.Degrees())
			}
		}
	})
}

func TestPosingCrateDoesNotAllocate(t *testing.T) {
	a := Compile(crateDesign(t))
	p := a.NewPose()
	opening := 0.0
	if n := testing.AllocsPerRun(100, func() {
		opening = math.Mod(opening+0.7, math.Pi)
		a.PoseInto(p, Drive{Opening: geom.Angle(opening)})
	}); n != 0 {
		t.Errorf("PoseInto makes %g allocations", n)
	}
}

// The derivative of the equations against their differences, at closures, where
// what derive leaves out vanishes.
func TestLinkageDerivative(t *testing.T) {
	for _, text := range []string{planarFourBar, sphericalFourBar, threeLegs, twoBalls, threeBalls} {
		a := assemble(t, text)
		l := a.linkages[0]
		p := pose(t, a, 77)
		w := &p.linkages[0]
		l.place(p, w)
		l.derive(p, w)
		slopes := append([]float64(nil), w.slopes...)
		state := append([]float64(nil), w.state...)
		const h = 1e-6
		for col := range l.unknowns {
			var sides [2][]float64
			for k, by := range []float64{h, -h} {
				copy(w.state, state)
				for i := range w.step {
					w.step[i] = 0
				}
				w.step[col] = by
				l.move(w, 1)
				l.place(p, w)
				l.residual(p, w)
				sides[k] = append([]float64(nil), w.rest...)
			}
			for row := range l.equations {
				approx(t, "slope", slopes[col*l.equations+row], (sides[0][row]-sides[1][row])/(2*h), 1e-6)
			}
		}
	}
}

// leastSquares against a singular value decomposition (gonum v0.17), with
// repeated and missing equations.
func TestLeastSquares(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows, cols := rapid.IntRange(1, 9).Draw(t, "rows"), rapid.IntRange(1, 9).Draw(t, "cols")
		rank := rapid.IntRange(1, min(rows, cols)).Draw(t, "rank")
		draw := func(r, c int) *mat.Dense {
			m := mat.NewDense(r, c, nil)
			for i := range r {
				for j := range c {
					m.Set(i, j, decimal(t, "entry", -3, 3))
				}
			}
			return m
		}
		var a mat.Dense
		a.Mul(draw(rows, rank), draw(rank, cols))
		b := draw(rows, 1)
		var svd mat.SVD
		if !svd.Factorize(&a, mat.SVDThin) {
			t.Fatal("no decomposition")
		}
		values := svd.Values(nil)
		held := 0
		for _, v := range values {
			if v > 1e-9*values[0] {
				held++
			}
		}
		if held == 0 || values[held-1] < 1e-4*values[0] {
			t.Skip("hardly held")
		}
		var want mat.Dense
		svd.SolveTo(&want, b, held)
		byColumns := make([]float64, 0, rows*cols)
		for j := range cols {
			byColumns = append(byColumns, mat.Col(nil, j, &a)...)
		}
		q, x := newLeastSquares(rows, cols), make([]float64, cols)
		q.solve(byColumns, mat.Col(nil, 0, b), x)
		if q.rank != held {
			t.Fatalf("rank %d, want %d", q.rank, held)
		}
		for j := range x {
			if off := math.Abs(x[j] - want.At(j, 0)); !(off <= 1e-8*(1+mat.Norm(&want, 2))) {
				t.Fatalf("x[%d] = %g, want %g", j, x[j], want.At(j, 0))
			}
		}
	})
}

// A hinge joins panels as they lie side by side in the flat; reversed, it turns
// the second over, so that its u runs the other way.
func TestReverse(t *testing.T) {
	for reverse, want := range map[string]float64{"false": 1, "true": -1} {
		a := assemble(t, `{"id":"tug","kind":"linkage","on":{"fold":"gutter"},
			"panels":[{"id":"a","outline":[[0,0],[30,0],[30,20],[0,20]]},{"id":"b","outline":[[0,0],[30,0],[30,20],[0,20]]}],
			"hinges":[{"id":"crease","between":[{"panel":"a","edge":2},{"panel":"b","edge":0}],"reverse":`+reverse+`}],
			"glue":[{"panel":"a","edge":0,"to":"right","at":[[10,20],[40,20]]}],
			"start":{"opening":90,"angles":[{"fold":"a_base","angle":90},{"fold":"crease","angle":90}]}}`)
		p := pose(t, a, 90)
		first, second := &p.Panels[2], &p.Panels[3]
		approx(t, "crease", foldAngle(t, a, p, "tug.crease"), 90, 1e-9)
		// Square to the first, with its free edge on the reverse of the first.
		approx(t, "side", second.Y.Dot(first.Normal()), -1, 1e-12)
		approx(t, "u against u, reverse "+reverse, first.X.Dot(second.X), want, 1e-12)
	}
}

func BenchmarkLinkage(b *testing.B) {
	for _, row := range []struct{ name, original string }{
		{"v_fold", `{"id":"sail","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":45,"panel_angle":60,"base_length":40},"ridge_length":50}`},
		{"parallel_fold", `{"id":"shed","kind":"parallel_fold","on":{"fold":"gutter"},"from":10,"to":40,"left":{"base_offset":30,"panel_width":55},"right":{"base_offset":45,"panel_width":40}}`},
		{"box", `{"id":"crate","kind":"box","on":{"fold":"gutter"},"from":10,"to":80,"left_offset":20,"right_offset":30,"height":25,"lid":true}`},
	} {
		a := assemble(b, row.original)
		c := assemble(b, written(b, twin(b, a, 0, pose(b, a, 90))))
		for _, way := range []struct {
			name string
			a    *Assembly
		}{{"closed form", a}, {"linkage", c}} {
			b.Run(row.name+"/"+way.name, func(b *testing.B) {
				p := way.a.NewPose()
				b.ReportAllocs()
				for i := 0; b.Loop(); i++ {
					way.a.PoseInto(p, Drive{Opening: geom.Angle(0.5 + float64(i%1000)*0.002)})
				}
			})
		}
		b.Run(row.name+"/compile linkage", func(b *testing.B) {
			for b.Loop() {
				Compile(c.Design)
			}
		})
	}
}

// drawLinkage draws rectangles joined and glued at random, with no regard to
// whether they close.
func drawLinkage(t *rapid.T) entry {
	sizes := []float64{10, 20, 30}
	type edge struct {
		panel, edge int
		length      float64
	}
	var edges []edge
	panels, hinges, glue := []entry{}, []entry{}, []entry{}
	name := func(panel int) string { return harbour[panel] }
	place := func(e edge) entry {
		// Glued lines along the gutter are as likely as others; only they make
		// loops that close more than by chance.
		turn := 0.0
		if rapid.IntRange(0, 2).Draw(t, "slanting") == 0 {
			turn = decimal(t, "turn", 0, 6.28)
		}
		x, y := rapid.SampledFrom(sizes).Draw(t, "x"), rapid.SampledFrom(sizes).Draw(t, "y")
		return entry{
			"id": "foot" + harbour[len(glue)], "panel": name(e.panel), "edge": e.edge,
			"to": rapid.SampledFrom([]string{"left", "right", "page.left"}).Draw(t, "to"),
			"at": [][2]float64{{x, y}, {x + e.length*math.Cos(turn), y + e.length*math.Sin(turn)}},
		}
	}
	for i := range rapid.IntRange(1, 6).Draw(t, "panels") {
		w, h := rapid.SampledFrom(sizes).Draw(t, "w"), rapid.SampledFrom(sizes).Draw(t, "h")
		panels = append(panels, entry{"id": name(i), "outline": [][2]float64{{0, 0}, {w, 0}, {w, h}, {0, h}}})
		own := []edge{{i, 0, w}, {i, 1, h}, {i, 2, w}, {i, 3, h}}
		joined := false
		for range 2 {
			a := rapid.SampledFrom(own).Draw(t, "edge")
			k := rapid.IntRange(-1, len(edges)-1).Draw(t, "other")
			if k < 0 || edges[k].length != a.length {
				continue
			}
			hinges = append(hinges, entry{
				"id": "crease" + harbour[len(hinges)], "reverse": rapid.Bool().Draw(t, "reverse"),
				"between": []entry{{"panel": name(edges[k].panel), "edge": edges[k].edge}, {"panel": name(i), "edge": a.edge}},
			})
			joined = true
		}
		if !joined || rapid.IntRange(0, 3).Draw(t, "glued") == 0 {
			glue = append(glue, place(rapid.SampledFrom(own).Draw(t, "edge")))
		}
		if rapid.IntRange(0, 3).Draw(t, "tied") == 0 {
			glue = append(glue, entry{
				"panel": name(i), "point": [][2]float64{{decimal(t, "u", 0, 30), decimal(t, "v", 0, 30)}},
				"to": rapid.SampledFrom([]string{"left", "right"}).Draw(t, "to"),
				"at": [][2]float64{{decimal(t, "x", 0, 60), decimal(t, "y", 0, 40)}},
			})
		}
		edges = append(edges, own...)
	}
	return entry{"id": "tug", "kind": "linkage", "on": entry{"fold": "gutter"}, "panels": panels, "hinges": hinges, "glue": glue}
}

// drawBand draws a band of two to four panels from one page to the other, which
// may hang, stand tight or lock, with a flap on it.
func drawBand(t *rapid.T) entry {
	panels, hinges := []entry{}, []entry{}
	count := rapid.IntRange(2, 4).Draw(t, "panels")
	for i := range count {
		h := decimal(t, "width", 8, 60)
		panels = append(panels, entry{"id": harbour[i], "outline": [][2]float64{{0, 0}, {20, 0}, {20, h}, {0, h}}})
		if i > 0 {
			hinges = append(hinges, entry{"id": "crease" + harbour[i], "between": []entry{{"panel": harbour[i-1], "edge": 2}, {"panel": harbour[i], "edge": 0}}})
		}
	}
	panels = append(panels, entry{"id": "flap", "outline": [][2]float64{{0, 0}, {20, 0}, {10, 15}}})
	y1, y2 := decimal(t, "left", 5, 50), decimal(t, "right", 5, 50)
	return entry{
		"id": "tug", "kind": "linkage", "on": entry{"fold": "gutter"}, "panels": panels, "hinges": hinges,
		"glue": []entry{
			{"panel": harbour[0], "edge": 0, "to": "left", "at": [][2]float64{{30, y1}, {10, y1}}},
			{"id": "end", "panel": harbour[count-1], "edge": 2, "to": "right", "at": [][2]float64{{10, y2}, {30, y2}}},
			{"panel": "flap", "edge": 0, "to": "tug." + harbour[0], "at": [][2]float64{{0, 4}, {20, 4}}},
		},
	}
}

// Whatever is asked for, what is reached is rigid and joined, closes to
// rounding away from the ends, and does not jump.
func TestWildLinkages(t *testing.T) {
	// A linkage that fits together only over less than this, radians, between two
	// locks moves as a square root from both ends: there is no smooth stretch
	// to follow it along.
	const sliver = 0.01

	solved, free, locked := 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		e := drawLinkage
		if rapid.Bool().Draw(t, "band") {
			e = drawBand
		}
		a := (&document{mechanisms: []entry{e(t)}}).compile(t)
		r := a.Linkages()[0]
		if !r.Solved {
			return
		}
		solved++
		if r.Freedom > 0 {
			free++
		}
		if r.LocksOpen || r.LocksShut {
			locked++
		}
		if r.Redundancy < 0 || r.Residual > 1e-9*a.Design.Size() {
			t.Fatalf("%+v", r)
		}
		if r.To-r.From < sliver {
			return
		}
		p, q := a.NewPose(), a.NewPose()
		for range 10 {
			opening := r.From + geom.Angle(rapid.Float64Range(0, 1).Draw(t, "share"))*(r.To-r.From)
			a.PoseInto(p, Drive{Opening: opening})
			if p.Reach[0] != Reached {
				t.Fatalf("not reached at %v; %+v", opening, r)
			}
			checkRigid(t, a, p, shutTolerance)
			// Next to a lock the motion is that of a square root.
			a.PoseInto(q, Drive{Opening: min(opening+1e-10, r.To)})
			for i := range a.Panels {
				if by := p.Panels[i].Origin.Sub(q.Panels[i].Origin).Norm(); !(by <= 1e-3*a.Design.Size()) {
					t.Fatalf("%s jumps by %g mm at %v", a.Panels[i].ID, by, opening)
				}
			}
		}
	})
	if solved == 0 || free == 0 || locked == 0 {
		t.Errorf("%d solved, %d free, %d locked: nothing was tried", solved, free, locked)
	}
}

// A tent whose right foot is tied by one point only: the parallel hinges keep
// it straight all the same. Source: mech_parallel_fold.
func TestFootTiedByOnePoint(t *testing.T) {
	a := assemble(t, `{"id":"shed","kind":"parallel_fold","on":{"fold":"gutter"},"from":10,"to":40,"left":{"base_offset":30,"panel_width":55},"right":{"base_offset":45,"panel_width":40}}`)
	b := assemble(t, `{"id":"shed","kind":"linkage","on":{"fold":"gutter"},
		"panels":[{"id":"left","outline":[[0,0],[30,0],[30,55],[0,55]]},{"id":"right","outline":[[0,0],[30,0],[30,40],[0,40]]}],
		"hinges":[{"id":"ridge","between":[{"panel":"left","edge":2},{"panel":"right","edge":2}]}],
		"glue":[{"panel":"left","edge":0,"to":"left","at":[[40,30],[10,30]]},{"panel":"right","point":[[7,0]],"to":"right","at":[[17,45]]}]}`)
	for _, opening := range []float64{0, 0.1, 1, 45, 90, 135, 180} {
		x, z := ridgeInSection(a, pose(t, a, opening), "shed.ridge")
		u, w := ridgeInSection(b, pose(t, b, opening), "shed.ridge")
		approx(t, "x", u, x, 1e-7)
		approx(t, "z", w, z, 1e-7)
	}
	// 6·2 - 5·2 - 3: the point's place along the fold is held twice.
	if r := b.Linkages()[0]; r.Mobility != -1 || r.Freedom != 0 || r.Redundancy != 1 {
		t.Errorf("%+v", r)
	}
}

// Two panels hinged together that hang by a point on each page: they follow the
// book and are left free to swing.
func TestHungByTwoPoints(t *testing.T) {
	a := assemble(t, `{"id":"net","kind":"linkage","on":{"fold":"gutter"},
		"panels":[{"id":"port","outline":[[0,0],[30,0],[30,40],[0,40]]},{"id":"starboard","outline":[[0,0],[30,0],[30,40],[0,40]]}],
		"hinges":[{"id":"seam","between":[{"panel":"port","edge":1},{"panel":"starboard","edge":3}]}],
		"glue":[{"panel":"port","point":[[0,0]],"to":"left","at":[[50,25]]},{"panel":"starboard","point":[[30,0]],"to":"right","at":[[50,25]]}]}`)
	r := a.Linkages()[0]
	// 6·2 - 5 - 3·2, all independent: one freedom of the seam's angle taken by
	// the distance, the rest is swinging.
	if !r.Solved || r.Mobility != 1 || r.Freedom != 1 || r.Redundancy != 0 {
		t.Errorf("%+v", r)
	}
	for _, opening := range []float64{1, 45, 90, 135, 170} {
		p := pose(t, a, opening)
		checkRigid(t, a, p, openTolerance)
		for i, panel := range []int{pageLeft, pageRight} {
			at := p.Panels[panel].At(geom.Vec2{X: 50, Y: 25})
			if off := p.Panels[2+i].At(geom.Vec2{X: 30 * float64(i)}).Sub(at).Norm(); !(off <= 1e-9) {
				t.Errorf("point %d is %g mm off at %g", i, off, opening)
			}
		}
	}
}

// between undoes move.
func TestStepBetweenStates(t *testing.T) {
	a := assemble(t, threeBalls)
	l := a.linkages[0]
	w := l.newWork()
	rapid.Check(t, func(t *rapid.T) {
		draw := func() float64 { return decimal(t, "number", -1, 1) }
		from := []float64{1 + draw()/2, draw(), draw(), draw()}
		l.normalize(from)
		copy(w.state, from)
		want := [3]float64{draw(), draw(), draw()}
		copy(w.step, want[:])
		l.move(&w, 1)
		l.between(w.step, from, w.state)
		for i := range want {
			if !(math.Abs(w.step[i]-want[i]) <= 1e-12) {
				t.Fatalf("step %v, want %v", w.step, want)
			}
		}
	})
}
