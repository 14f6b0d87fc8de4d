package pattern

import (
	"strings"
	"testing"
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
