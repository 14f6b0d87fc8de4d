package pattern

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// sheets has mechanisms that do not lie flat in one piece or that stand on a
// crease.
const sheets = `{
  "spread": {"page_width": 130, "page_height": 180, "margin": 5},
  "mechanisms": [
    {"id": "warehouse", "kind": "box", "on": {"fold": "gutter"}, "from": 10, "to": 70, "left_offset": 20, "right_offset": 30, "height": 25, "lid": true},
    {"id": "deck", "kind": "floating_layer", "on": {"fold": "gutter"}, "from": 100, "to": 150, "height": 15, "left_extent": 50, "right_extent": 40}
  ]
}`

// A box with a lid is one sheet: its walls and ends in a row, the lid beside a
// wall. It closes with one corner and one edge of the lid glued.
func TestBoxUnfolds(t *testing.T) {
	a, p := cleanPattern(t, sheets)
	box := p.Part("warehouse")
	if len(box.Panels) != 8 {
		t.Fatalf("%d panels in the box, want 2 walls, 4 half ends and 2 of the lid", len(box.Panels))
	}
	glued, scored := 0, 0
	for i := range a.Folds {
		f := &a.Folds[i]
		if !strings.HasPrefix(f.ID, "warehouse.") {
			continue
		}
		c := box.crease(f.ID)
		if c == nil {
			t.Errorf("%s is not scored", f.ID)
			continue
		}
		tabbed := false
		for _, j := range p.Joints {
			tabbed = tabbed || j.ID == f.ID
		}
		if tabbed {
			glued++
		} else {
			scored++
		}
	}
	// 11 folds in all; 8 panels in one sheet hang by 7 of them.
	if glued != 4 || scored != 7 {
		t.Errorf("%d glued and %d scored folds, want 4 (two bases, a corner, the lid) and 7", glued, scored)
	}
}

// The layer is one sheet, the supports are three; the centre has two tabs at its
// foot and two at its head, one to either side, which take turns.
func TestFloatingLayerSheets(t *testing.T) {
	_, p := cleanPattern(t, sheets)
	for id, tabs := range map[string]int{"deck.layer_left": 0, "deck.center": 4, "deck.support_left": 2, "deck.support_right": 2} {
		part := p.Part(id)
		if part == nil {
			t.Errorf("no part %s", id)
			continue
		}
		n := 0
		for _, j := range p.Joints {
			if j.Part == id {
				n++
				if c := part.crease(j.ID); c == nil || c.Length() != j.Length {
					t.Errorf("%s: crease %+v of a tab %g long", j.ID, c, j.Length)
				}
			}
		}
		if n != tabs {
			t.Errorf("%s has %d tabs, want %d", id, n, tabs)
		}
	}
	// 50 mm shared by two tabs with 1 mm between.
	for _, j := range p.Joints {
		if strings.HasPrefix(j.ID, "deck.center") {
			approx(t, j.ID, j.Length, 24.5, 1e-9)
		}
	}
	// What holds the layer from below is glued to its reverse.
	for _, g := range p.Part("deck.layer_left").Glue {
		if !g.OnBack {
			t.Errorf("mark %s is on top of the layer", g.Label)
		}
	}
}

// Two panels on a hinge between printed face and reverse unfold like any other:
// one lies beyond the hinge and is seen from its reverse. 50 by 40 each, so 80
// from base line to base line without the tabs.
const turnedOver = `{"spread":{"page_width":130,"page_height":180},"mechanisms":[
  {"id":"k","kind":"linkage","on":{"fold":"gutter"},
   "panels":[{"id":"l","outline":[[0,0],[50,0],[50,40],[0,40]]},{"id":"r","outline":[[0,0],[50,0],[50,40],[0,40]]}],
   "hinges":[{"id":"top","between":[{"panel":"l","edge":2},{"panel":"r","edge":2}],"reverse":true}],
   "glue":[{"panel":"l","edge":0,"to":"left","at":[[30,25],[80,25]]},{"panel":"r","edge":0,"to":"right","at":[[30,25],[80,25]]}]},
  {"id":"lamp","kind":"figure","on":{"panel":"k.l"},"place":{"u":10,"v":10},"outline":"M0 0 H14 V14 H0 Z"},
  {"id":"crab","kind":"figure","on":{"panel":"k.r"},"place":{"u":10,"v":10},"outline":"M0 0 H14 V14 H0 Z"}]}`

func TestReversedHingeUnfolds(t *testing.T) {
	a, p := cleanPattern(t, turnedOver)
	k := p.Part("k")
	if len(k.Panels) != 2 {
		t.Fatalf("%d panels in the part, want both", len(k.Panels))
	}
	if area, _ := geom.Intersection(inPart(a, &k.Panels[0]), inPart(a, &k.Panels[1])); math.Abs(area.Area()) > sliver {
		t.Errorf("the panels overlap by %g mm²", area.Area())
	}
	if k.Panels[0].Place.Mirror == k.Panels[1].Place.Mirror {
		t.Error("both panels are seen from the printed face across a hinge that turns one over")
	}
	approx(t, "area of both panels", k.Area()-k.glue("A").Path.Area()-k.glue("B").Path.Area(), 2*50*40, 1e-3)
	if c := k.crease("k.top"); c == nil || c.Length() != 50 {
		t.Errorf("the hinge is scored as %+v", c)
	}
	// Figures lie on the printed faces, of which one is the reverse of the part.
	for i, id := range []string{"lamp", "crab"} {
		mark := k.glue(p.Part(id).Glue[0].Label)
		if want := k.Panels[i].Place.Mirror; mark == nil || mark.OnBack != want {
			t.Errorf("%s is glued at %+v, want on the reverse: %v", id, mark, want)
		}
	}
}

// inPart is a panel as it lies in its part.
func inPart(a *kinematics.Assembly, pl *PanelPlacement) geom.Path {
	return a.Panels[pl.Panel].Shape.Transform(pl.Place)
}

// No two panels of a part overlap, nor a tab and a panel or another tab, whichever
// way a set of panels hangs together.
// Squares and triangles of one side, joined at random, come back onto themselves
// in a few steps.
func TestPanelsOfAPartDoNotOverlap(t *testing.T) {
	check := func(t rapid.TB, document string) {
		a := assembly(t, document)
		p := mustMake(t, a, DefaultOptions())
		for i := range p.Parts {
			var paper []geom.Path // of tabs
			list := p.Parts[i].Panels
			for _, g := range p.Parts[i].Glue {
				if g.Tab {
					paper = append(paper, g.Path)
				}
			}
			for k := range paper {
				others := paper[:k:k]
				for j := range list {
					others = append(others, inPart(a, &list[j]))
				}
				for _, other := range others {
					if both, err := geom.Intersection(paper[k], other); err != nil || math.Abs(both.Area()) > 1e-2 {
						t.Errorf("tab %d of %s lies %g mm² on other paper (%v)", k, p.Parts[i].ID, both.Area(), err)
					}
				}
			}
			for k := range list {
				if m := a.Panels[list[k].Panel].Mechanism; m >= 0 && a.Design.Mechanisms[m].Info().OneSheet {
					continue // cut out of the others
				}
				for j := range k {
					both, err := geom.Intersection(inPart(a, &list[j]), inPart(a, &list[k]))
					if err != nil || math.Abs(both.Area()) > 1e-2 {
						t.Errorf("%s and %s overlap by %g mm² in %s (%v)", a.Panels[list[j].Panel].ID, a.Panels[list[k].Panel].ID, both.Area(), p.Parts[i].ID, err)
					}
				}
			}
		}
	}
	t.Run("linkage", rapid.MakeCheck(func(t *rapid.T) { check(t, randomLinkage(t)) }))
	t.Run("box", rapid.MakeCheck(func(t *rapid.T) {
		number := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		ways := rapid.SampledFrom([][2]string{{"in", "out"}, {"out", "in"}, {"out", "out"}}).Draw(t, "ends and lid fold")
		check(t, one(fmt.Sprintf(`{"id":"shed","kind":"box","on":{"fold":"gutter"},"from":100,"to":%g,"left_offset":%g,"right_offset":%g,"height":%g,"lid":%v,"ends":%q,"lid_fold":%q}`,
			number("to", 105, 250), number("left", 5, 80), number("right", 5, 80), number("height", 5, 120), rapid.Bool().Draw(t, "lid"), ways[0], ways[1])))
	}))
}

// randomLinkage draws a tree of panels, each on a free edge of one before.
func randomLinkage(t *rapid.T) string {
	const side = 30
	var panels, hinges []string
	var free [][2]int // panel, edge
	for i := range rapid.IntRange(2, 8).Draw(t, "panels") {
		outline, edges := fmt.Sprintf(`[[0,0],[%d,0],[%d,%d],[0,%d]]`, side, side, side, side), 4
		if i > 0 && rapid.Bool().Draw(t, "triangle") {
			outline, edges = fmt.Sprintf(`[[0,0],[%d,0],[%d,%.12f]]`, side, side/2, side*math.Sqrt(3)/2), 3
		}
		panels = append(panels, fmt.Sprintf(`{"id":"p%d","outline":%s}`, i, outline))
		own := -1
		if i > 0 {
			on := rapid.IntRange(0, len(free)-1).Draw(t, "on")
			own = rapid.IntRange(0, edges-1).Draw(t, "edge")
			hinges = append(hinges, fmt.Sprintf(`{"id":"h%d","between":[{"panel":"p%d","edge":%d},{"panel":"p%d","edge":%d}],"reverse":%v}`,
				i, free[on][0], free[on][1], i, own, rapid.Bool().Draw(t, "reverse")))
			free = slices.Delete(free, on, on+1)
		}
		for e := range edges {
			if e != own && (i > 0 || e > 0) { // the first edge is glued to the page
				free = append(free, [2]int{i, e})
			}
		}
	}
	return one(fmt.Sprintf(`{"id":"k","kind":"linkage","on":{"fold":"gutter"},"panels":[%s],"hinges":[%s],
		"glue":[{"id":"foot","panel":"p0","edge":0,"to":"left","at":[[60,40],[30,40]]}]}`, strings.Join(panels, ","), strings.Join(hinges, ",")))
}
