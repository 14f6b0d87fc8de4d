package layout

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/geom"
)

func rectangle(w, h float64) []geom.Vec2 {
	return []geom.Vec2{{}, {X: w}, {X: w, Y: h}, {Y: h}}
}

func oneRing(points ...geom.Vec2) [][]geom.Vec2 { return [][]geom.Vec2{points} }

func angle(degrees float64) *geom.Angle {
	a := geom.Degrees(degrees)
	return &a
}

// assertLayout holds a layout on sheets against its promises.
func assertLayout(t reporter, items []Item, kinds []Sheet, spacing float64, l *Layout) {
	t.Helper()
	var boxes []geom.Box2
	used := make([]int, len(kinds))
	for _, u := range l.Used {
		k := &kinds[u.Kind]
		boxes = append(boxes, geom.Box2{Max: geom.Vec2{X: k.Width, Y: k.Height}}.Grow(-k.Margin))
		used[u.Kind]++
		if u.Parts == 0 {
			t.Error("an empty sheet is used")
		}
	}
	for i, k := range kinds {
		if k.Count > 0 && used[i] > k.Count {
			t.Errorf("%d sheets %q used of %d", used[i], k.ID, k.Count)
		}
	}
	assertPlacements(t, items, l.Placements, boxes, spacing)
	want := 0
	for i := range items {
		want += items[i].count()
	}
	if got := len(l.Placements) + len(l.Unplaced); got != want {
		t.Errorf("%d placed and %d unplaced of %d", len(l.Placements), len(l.Unplaced), want)
	}
	groups := map[string]int{}
	area := 0.0
	for i := range l.Placements {
		p := &l.Placements[i]
		it := &items[p.Item]
		k := &kinds[l.Used[p.Sheet].Kind]
		area += Area(it.Rings)
		if it.Stock != k.Stock {
			t.Errorf("item %q of stock %q lies on %q", it.ID, it.Stock, k.Stock)
		}
		if it.Group != "" {
			if s, ok := groups[it.Group+"\x00"+it.Stock]; ok && s != p.Sheet {
				t.Errorf("group %q is on sheets %d and %d", it.Group, s, p.Sheet)
			}
			groups[it.Group+"\x00"+it.Stock] = p.Sheet
		}
		if it.Grain != nil && k.Grain != nil {
			if s := math.Sin(float64(p.Rotation + *it.Grain - *k.Grain)); math.Abs(s) > grainTolerance {
				t.Errorf("item %q lies across the grain, sine %g", it.ID, s)
			}
		}
		if len(it.Rotations) > 0 && !slices.Contains(it.Rotations, p.Rotation) {
			t.Errorf("item %q is turned by %v", it.ID, p.Rotation)
		}
		rings := p.Apply(it.Rings)
		for _, r := range k.KeepOut {
			barred := rectangle(r.Max.X-r.Min.X, r.Max.Y-r.Min.Y)
			for j := range barred {
				barred[j] = barred[j].Add(r.Min)
			}
			for _, a := range rings[0] {
				if geom.PolygonContains(barred, a) && geom.PolygonDistance(barred, a) > OverlapTolerance {
					t.Errorf("item %q lies in a barred place", it.ID)
				}
			}
			for _, a := range barred {
				edge := math.Inf(1)
				for _, ring := range rings {
					edge = min(edge, geom.PolygonDistance(ring, a))
				}
				if geom.RingsContain(rings, a) && edge > OverlapTolerance {
					t.Errorf("item %q lies over a barred place at %v", it.ID, a)
				}
			}
		}
	}
	if math.Abs(area-l.Area) > 1e-6*max(1, area) {
		t.Errorf("area %g, want %g", l.Area, area)
	}
}

func mustSheets(t reporter, items []Item, kinds []Sheet, o Options) *Layout {
	t.Helper()
	l, err := Sheets(items, kinds, o)
	if err != nil {
		t.Fatal(err)
	}
	assertLayout(t, items, kinds, o.Spacing, l)
	return l
}

// Squares of 30 with a gap of 2 go 3 by 3 on 100 with a margin of 3: 3·30 + 2·2
// = 94. Nineteen need three sheets.
func TestSheetsOfSquares(t *testing.T) {
	items := []Item{{ID: "square", Rings: oneRing(rectangle(30, 30)...), Count: 19}}
	kinds := []Sheet{{ID: "s", Width: 100, Height: 100, Margin: 3}}
	l := mustSheets(t, items, kinds, Options{Spacing: 2, Iterations: 50})
	if len(l.Used) != 3 || len(l.Unplaced) != 0 {
		t.Fatalf("%d sheets, %d unplaced", len(l.Used), len(l.Unplaced))
	}
	if l.Used[0].Parts != 9 || l.Used[1].Parts != 9 {
		t.Errorf("the first sheets are not full: %+v", l.Used)
	}
	if want := 19 * 900 / 30000.0; math.Abs(l.Utilisation-want) > 1e-9 {
		t.Errorf("utilisation %g, want %g", l.Utilisation, want)
	}
}

func TestGrainChoosesTurn(t *testing.T) {
	// 80 by 40 with the grain along its length, sheet grain along y.
	items := []Item{{ID: "p", Rings: oneRing(rectangle(80, 40)...), Count: 2, Grain: angle(0)}}
	kinds := []Sheet{{ID: "s", Width: 100, Height: 100, Grain: angle(90)}}
	l := mustSheets(t, items, kinds, Options{Iterations: 20})
	if len(l.Used) != 1 || len(l.Unplaced) != 0 {
		t.Fatalf("%+v", l)
	}
	// Turns that miss the grain leave nothing.
	items[0].Rotations = []geom.Angle{0, geom.Degrees(180)}
	l = mustSheets(t, items, kinds, Options{Iterations: 20})
	if len(l.Unplaced) != 2 || l.Unplaced[0].Reason != TooLarge {
		t.Errorf("unplaced %+v", l.Unplaced)
	}
}

func TestGroupsStayTogether(t *testing.T) {
	// Each card is two pieces that take 60 % of a sheet.
	var items []Item
	for _, g := range []string{"one", "two", "three"} {
		items = append(items,
			Item{ID: g + " page", Rings: oneRing(rectangle(60, 60)...), Group: g},
			Item{ID: g + " tent", Rings: oneRing(rectangle(60, 30)...), Group: g, Rotations: Steps(geom.Degrees(90))},
			Item{ID: g + " tag", Rings: oneRing(rectangle(20, 20)...), Group: g, Count: 2})
	}
	l := mustSheets(t, items, []Sheet{{ID: "s", Width: 100, Height: 100}}, Options{Iterations: 100})
	if len(l.Used) != 3 || len(l.Unplaced) != 0 {
		t.Errorf("%d sheets, unplaced %v", len(l.Used), l.Unplaced)
	}
}

func TestSheetsRunOut(t *testing.T) {
	items := []Item{{ID: "a", Rings: oneRing(rectangle(90, 90)...), Count: 3}, {ID: "big", Rings: oneRing(rectangle(200, 10)...)}}
	l := mustSheets(t, items, []Sheet{{ID: "s", Width: 100, Height: 100, Count: 2}}, Options{Iterations: 20})
	reasons := map[Reason]int{}
	for _, u := range l.Unplaced {
		reasons[u.Reason]++
	}
	if len(l.Placements) != 2 || reasons[NoSheets] != 1 || reasons[TooLarge] != 1 {
		t.Errorf("%d placed, %v", len(l.Placements), reasons)
	}
}

func TestStocksAreKeptApart(t *testing.T) {
	items := []Item{
		{ID: "card", Rings: oneRing(rectangle(20, 20)...), Count: 3, Stock: "card"},
		{ID: "film", Rings: oneRing(rectangle(20, 20)...), Count: 2, Stock: "film"},
	}
	kinds := []Sheet{{ID: "c", Stock: "card", Width: 100, Height: 100}, {ID: "f", Stock: "film", Width: 50, Height: 50}}
	if l := mustSheets(t, items, kinds, Options{Iterations: 20}); len(l.Used) != 2 || len(l.Unplaced) != 0 {
		t.Errorf("%+v", l.Used)
	}
	items[1].Stock = "wood"
	_, err := Sheets(items, kinds, Options{})
	var f *Fault
	if !errors.As(err, &f) || f.Code != NoSuchStock || f.Item != 1 {
		t.Errorf("error %v", err)
	}
}

// The cheapest sheet that holds everything is taken, not the largest.
func TestCheapestSheet(t *testing.T) {
	items := []Item{{ID: "a", Rings: oneRing(rectangle(40, 40)...), Count: 2}}
	kinds := []Sheet{{ID: "large", Width: 300, Height: 300, Price: 5}, {ID: "small", Width: 100, Height: 100, Price: 1}}
	l := mustSheets(t, items, kinds, Options{Iterations: 50})
	if len(l.Used) != 1 || l.Used[0].ID != "small" || l.Price != 1 {
		t.Errorf("%+v", l.Used)
	}
}

// A frame of 100 with a hole of 70 takes four squares of 30 inside, so that
// all fit a sheet of 100.
func TestHolesAreUsed(t *testing.T) {
	hole := rectangle(70, 70)
	for i := range hole {
		hole[i] = hole[i].Add(geom.Vec2{X: 15, Y: 15})
	}
	items := []Item{
		{ID: "frame", Rings: [][]geom.Vec2{rectangle(100, 100), hole}},
		{ID: "square", Rings: oneRing(rectangle(30, 30)...), Count: 4},
	}
	l := mustSheets(t, items, []Sheet{{ID: "s", Width: 100, Height: 100}}, Options{Spacing: 2, Iterations: 100})
	if len(l.Used) != 1 || len(l.Unplaced) != 0 {
		t.Errorf("%d sheets, %d unplaced", len(l.Used), len(l.Unplaced))
	}
}

func TestMarksAreKeptFree(t *testing.T) {
	s := Sheet{ID: "s", Width: 200, Height: 150, Margin: 5}
	marks := Marks(&s, 10, 4)
	if len(marks) != 3 {
		t.Fatalf("%d marks", len(marks))
	}
	for _, m := range marks {
		s.KeepOut = append(s.KeepOut, m.Box())
		for _, l := range m.Lines() {
			if l[0].Add(l[1]).Mul(0.5) != m.At || math.Abs(l[1].Sub(l[0]).Norm()-8) > 1e-12 {
				t.Errorf("line %v of mark %v", l, m)
			}
		}
	}
	if c := marks[1].At.Sub(marks[0].At).Cross(marks[2].At.Sub(marks[0].At)); c <= 0 {
		t.Errorf("the marks do not fix a side: %v", marks)
	}
	// Without marks three rows of four go. With them the row between A and B
	// has 170 left, too little for four.
	items := []Item{{ID: "a", Rings: oneRing(rectangle(44, 44)...), Count: 12}}
	bare := Sheet{ID: "bare", Width: 200, Height: 150, Margin: 5, Count: 1}
	if l := mustSheets(t, items, []Sheet{bare}, Options{Spacing: 1, Iterations: 100}); len(l.Unplaced) != 0 {
		t.Errorf("without marks: unplaced %v", l.Unplaced)
	}
	s.Count = 1
	l := mustSheets(t, items, []Sheet{s}, Options{Spacing: 1, Iterations: 2000})
	if len(l.Unplaced) != 1 {
		t.Errorf("unplaced %v, want one", l.Unplaced)
	}
	if Marks(&Sheet{Width: 20, Height: 100}, 10, 4) != nil {
		t.Error("marks on a sheet too narrow for them")
	}
}

// A run that is stopped at once still gives a valid layout and says what is
// missing.
func TestStopAtOnce(t *testing.T) {
	items := []Item{{ID: "a", Rings: oneRing(rectangle(30, 30)...), Count: 30}}
	asked := 0
	l := mustSheets(t, items, []Sheet{{ID: "s", Width: 100, Height: 100}}, Options{Stop: func() bool { asked++; return asked > 12 }})
	if len(l.Placements) == 0 || len(l.Unplaced) == 0 || l.Unplaced[0].Reason != Stopped {
		t.Errorf("%d placed, %d unplaced", len(l.Placements), len(l.Unplaced))
	}
	r, err := Strip(items, 100, Options{Stop: func() bool { return true }})
	if err != nil {
		t.Fatal(err)
	}
	assertStrip(t, items, 100, 0, r)
}

func TestFaults(t *testing.T) {
	ok := rectangle(10, 10)
	bow := []geom.Vec2{{}, {X: 10, Y: 10}, {X: 10}, {Y: 10}}
	far := []geom.Vec2{{X: 20}, {X: 25}, {X: 25, Y: 5}}
	for _, c := range []struct {
		name  string
		item  Item
		width float64
		want  Code
	}{
		{"no rings", Item{}, 50, BadOutline},
		{"two points", Item{Rings: oneRing(ok[:2]...)}, 50, BadOutline},
		{"crossing itself", Item{Rings: oneRing(bow...)}, 50, BadOutline},
		{"not a number", Item{Rings: oneRing(geom.Vec2{X: math.NaN()}, ok[1], ok[2])}, 50, BadOutline},
		{"hole outside", Item{Rings: [][]geom.Vec2{ok, far}}, 50, BadHole},
		{"negative count", Item{Rings: oneRing(ok...), Count: -1}, 50, BadCount},
		{"too wide", Item{Rings: oneRing(ok...)}, 9, TooWide},
		{"no width", Item{Rings: oneRing(ok...)}, 0, BadSheet},
	} {
		_, err := Strip([]Item{c.item}, c.width, Options{Iterations: 1})
		var f *Fault
		if !errors.As(err, &f) || f.Code != c.want {
			t.Errorf("%s: %v, want %s", c.name, err, c.want)
		}
	}
	if _, err := Strip(nil, 10, Options{Spacing: -1}); err == nil {
		t.Error("a negative spacing is taken")
	}
	if _, err := Sheets(nil, []Sheet{{Width: 10, Height: 10, Margin: 5}}, Options{}); err == nil {
		t.Error("a sheet that is all margin is taken")
	}
}

// star draws a random star-shaped polygon about the origin, without crossings,
// convex or not.
func star(t *rapid.T, label string) []geom.Vec2 {
	n := rapid.IntRange(3, 9).Draw(t, label+" corners")
	out := make([]geom.Vec2, n)
	for i := range out {
		a := (float64(i) + rapid.Float64Range(0.05, 0.9).Draw(t, label+" angle")) * 2 * math.Pi / float64(n)
		r := rapid.Float64Range(4, 20).Draw(t, label+" radius")
		out[i] = geom.Vec2{X: r * math.Cos(a), Y: r * math.Sin(a)}
	}
	return out
}

func drawItems(t *rapid.T) []Item {
	var items []Item
	for range rapid.IntRange(1, 5).Draw(t, "items") {
		it := Item{
			Rings: oneRing(star(t, "outline")...), Count: rapid.IntRange(1, 4).Draw(t, "count"),
			Rotations: Steps(geom.Degrees(rapid.SampledFrom([]float64{0, 180, 90, 45}).Draw(t, "step"))),
			Group:     rapid.SampledFrom([]string{"", "", "g"}).Draw(t, "group"),
		}
		if rapid.IntRange(0, 3).Draw(t, "with hole") == 0 {
			o := rectangle(80, 60)
			for i := range o {
				o[i] = o[i].Sub(geom.Vec2{X: 40, Y: 30})
			}
			it.Rings = append(oneRing(o...), it.Rings[0])
			it.Count = 1
		}
		items = append(items, it)
	}
	return items
}

func TestRandomSheets(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		items := drawItems(rt)
		kinds := []Sheet{
			{ID: "a", Width: 100, Height: 90, Margin: 3, Count: rapid.IntRange(0, 2).Draw(rt, "sheets")},
			{ID: "b", Width: 140, Height: 120, Margin: 5, KeepOut: []geom.Box2{{Min: geom.Vec2{X: 60, Y: 60}, Max: geom.Vec2{X: 70, Y: 70}}}},
		}
		o := Options{
			Spacing: rapid.SampledFrom([]float64{0, 0.5, 3}).Draw(rt, "spacing"),
			Slack:   rapid.SampledFrom([]float64{0, 0.2}).Draw(rt, "slack"),
			Seed:    rapid.Uint64().Draw(rt, "seed"), Iterations: rapid.IntRange(1, 15).Draw(rt, "iterations"),
		}
		l := mustSheets(rt, items, kinds, o)
		again := mustSheets(rt, items, kinds, o)
		if !slices.Equal(l.Placements, again.Placements) {
			rt.Fatal("the same run gave another layout")
		}
	})
}

func TestRandomStrips(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		items := drawItems(rt)
		o := Options{
			Spacing: rapid.SampledFrom([]float64{0, 2}).Draw(rt, "spacing"),
			Seed:    rapid.Uint64().Draw(rt, "seed"), Iterations: rapid.IntRange(1, 15).Draw(rt, "iterations"),
		}
		r, err := Strip(items, 95, o)
		if err != nil {
			rt.Fatal(err)
		}
		assertStrip(rt, items, 95, o.Spacing, r)
		again, err := Strip(items, 95, o)
		if err != nil || !slices.Equal(r.Placements, again.Placements) {
			rt.Fatal("the same run gave another layout")
		}
	})
}

// A search that has to make its no-fit polygons again and again lays out all the
// same, and alike every time.
func TestForgottenNoFits(t *testing.T) {
	items, kinds := []Item{
		{ID: "quay", Rings: oneRing(rectangle(60, 40)...), Count: 2},
		{ID: "gull", Rings: oneRing(geom.Vec2{}, geom.Vec2{X: 50}, geom.Vec2{X: 10, Y: 30}), Count: 2},
		{ID: "boat", Rings: oneRing(geom.Vec2{}, geom.Vec2{X: 40}, geom.Vec2{X: 55, Y: 20}, geom.Vec2{X: -10, Y: 20}), Count: 2},
	}, []Sheet{{Width: 150, Height: 120}}
	laid := func(most int) (*Layout, int) {
		n, err := newNest(items, kinds, &Options{Spacing: 2, Slack: 0.1, Seed: 1, Iterations: 2})
		if err != nil {
			t.Fatal(err)
		}
		n.cat.most = most
		n.fillAll()
		n.improve()
		return n.result(), n.cat.held
	}
	const little = 1000
	kept, all := laid(mostHeld)
	forgotten, held := laid(little)
	if again, _ := laid(little); !reflect.DeepEqual(again, forgotten) {
		t.Error("another layout")
	}
	if all < 2*little || held >= all {
		t.Errorf("holds %d of %d words", held, all)
	}
	if len(forgotten.Placements) != len(kept.Placements) || len(forgotten.Unplaced) != len(kept.Unplaced) {
		t.Errorf("%d placed, %d not", len(forgotten.Placements), len(forgotten.Unplaced))
	}
	assertLayout(t, items, kinds, 2, forgotten)
}
