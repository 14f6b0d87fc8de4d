package layout

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"foldwright/solver/geom"
)

// cardParts are parts like those of a pop-up card, with rounded corners and
// wavy edges flattened to many points.
func cardParts() []Item {
	var items []Item
	wave := func(w, h float64, waves int) []geom.Vec2 {
		r := []geom.Vec2{{}, {X: w}}
		for i := range 60 {
			x := w * (1 - float64(i)/59)
			r = append(r, geom.Vec2{X: x, Y: h + 4*math.Sin(2*math.Pi*float64(waves)*x/w)})
		}
		return r
	}
	round := func(w, h, radius float64) []geom.Vec2 {
		var r []geom.Vec2
		for k, c := range []geom.Vec2{{X: w - radius, Y: h - radius}, {X: radius, Y: h - radius}, {X: radius, Y: radius}, {X: w - radius, Y: radius}} {
			for i := range 12 {
				s, q := math.Sincos((float64(k) + float64(i)/11) * math.Pi / 2)
				r = append(r, geom.Vec2{X: c.X + radius*q, Y: c.Y + radius*s})
			}
		}
		return r
	}
	grain := geom.Degrees(90)
	for k := range 6 {
		f := float64(k)
		items = append(items,
			Item{ID: "panel", Rings: oneRing(wave(50+7*f, 30+3*f, 2+k%3)...), Count: 3, Grain: &grain},
			Item{ID: "tab", Rings: oneRing(round(12+2*f, 18, 3)...), Count: 4, Rotations: Steps(geom.Degrees(90))})
	}
	frame, window := round(90, 70, 6), round(60, 40, 4)
	for i := range window {
		window[i] = window[i].Add(geom.Vec2{X: 15, Y: 15})
	}
	return append(items, Item{ID: "frame", Rings: [][]geom.Vec2{frame, window}, Count: 2})
}

func cardSheet() Sheet {
	s := Sheet{ID: "bed", Width: 300, Height: 210, Margin: 5, Grain: angle(90)}
	for _, m := range Marks(&s, 8, 3) {
		s.KeepOut = append(s.KeepOut, m.Box())
	}
	return s
}

func TestCardParts(t *testing.T) {
	items, kinds := cardParts(), []Sheet{cardSheet()}
	l := mustSheets(t, items, kinds, Options{Spacing: 2, Slack: 0.1, Seed: 3, Iterations: 60})
	if len(l.Unplaced) > 0 {
		t.Errorf("unplaced: %v", l.Unplaced)
	}
	t.Logf("%d sheets, %.1f %%", len(l.Used), 100*l.Utilisation)
	for i := range l.Used {
		strokes := strokesOf(items, l.Placements, i, "cut")
		assertPlan(t, strokes, OrderStrokes(strokes, nil, geom.Vec2{}), geom.Vec2{})
		if *nestingSVG != "" {
			writeSVG(t, *nestingSVG+"/card"+string(rune('0'+i))+".svg", items, l.Placements, i, 300, 210)
		}
	}
}

// strokesOf makes strokes of the outlines of the placements on a sheet: holes as
// inner cuts, outer rings as the outlines that free the parts.
func strokesOf(items []Item, placements []Placement, sheet int, operation string) []Stroke {
	var out []Stroke
	for i := range placements {
		p := &placements[i]
		if p.Sheet != sheet {
			continue
		}
		for k, r := range p.Apply(items[p.Item].Rings) {
			out = append(out, Stroke{Part: i, Operation: operation, Outline: k == 0, Closed: true, Points: r})
		}
	}
	slices.SortStableFunc(out, func(a, b Stroke) int { return cmp.Compare(a.Part, b.Part) })
	return out
}

func BenchmarkFill(b *testing.B) {
	items, kinds := cardParts(), []Sheet{cardSheet()}
	stop := 0
	for b.Loop() {
		stop = 0
		n, err := newNest(items, kinds, &Options{Spacing: 2, Slack: 0.1, Stop: func() bool { stop++; return false }})
		if err != nil {
			b.Fatal(err)
		}
		n.fillAll()
	}
}

// BenchmarkRelocate moves one part after another on a layout without overlap.
func BenchmarkRelocate(b *testing.B) {
	items, width := readSet(b, "shirts")
	var bed *bed
	s, err := newStrip(items, width, &Options{Seed: 1})
	if err != nil {
		b.Fatal(err)
	}
	if !s.start() {
		b.Fatal("no start")
	}
	bed = s.bed
	bed.restore(s.best)
	bed.w = s.length * 0.97
	bed.clampAll()
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		bed.relocate(i%len(bed.parts), true)
	}
}
