package check

import (
	"fmt"
	"foldwright/solver/finding"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// harbour draws a design of a few mechanisms, some standing on others, with
// sizes and angles that break every rule now and then.
func harbour(t *rapid.T) (spread, mechanisms string) {
	spread = fmt.Sprintf(`"page_width":%d,"page_height":%d,"margin":%d,"corner_radius":%d`,
		rapid.IntRange(90, 160).Draw(t, "width"), rapid.IntRange(120, 240).Draw(t, "height"),
		rapid.IntRange(0, 8).Draw(t, "margin"), rapid.IntRange(0, 12).Draw(t, "radius"))
	folds := []string{"gutter"}
	var list []string
	for i := range rapid.IntRange(1, 4).Draw(t, "mechanisms") {
		id := fmt.Sprintf("m%d", i)
		n := func(name string, lo, hi int) int { return rapid.IntRange(lo, hi).Draw(t, id+name) }
		on := rapid.SampledFrom(folds).Draw(t, id+"on")
		scale := 1
		if on != "gutter" {
			scale = 2
		}
		head := fmt.Sprintf(`{"id":%q,"on":{"fold":%q},`, id, on)
		switch n("kind", 0, 5) {
		case 0:
			right := ""
			if n("uneven", 0, 1) == 1 {
				right = fmt.Sprintf(`"right":{"base_angle":%d,"panel_angle":%d,"base_length":%d},`, n("a2", 30, 80), n("b2", 40, 100), n("l2", 10, 60)/scale)
			}
			a1, b1 := n("a1", 30, 80), n("b1", 40, 100)
			if n("tight", 0, 3) == 1 {
				b1 = a1 + 1
			}
			list = append(list, head+fmt.Sprintf(`"kind":"v_fold","at":%d,"left":{"base_angle":%d,"panel_angle":%d,"base_length":%d},%s"ridge_length":%d}`,
				n("at", 10, 120)/scale, a1, b1, n("l1", 10, 60)/scale, right, n("r", 10, 120)/scale))
		case 1:
			right := ""
			if n("uneven", 0, 1) == 1 {
				right = fmt.Sprintf(`,"right":{"base_offset":%d,"panel_width":%d}`, n("a2", 10, 60)/scale, n("p2", 10, 90)/scale)
			}
			from := n("from", -10, 100) / scale
			list = append(list, head+fmt.Sprintf(`"kind":"parallel_fold","from":%d,"to":%d,"left":{"base_offset":%d,"panel_width":%d}%s}`,
				from, from+n("long", 5, 60)/scale, n("a1", 10, 60)/scale, n("p1", 10, 90)/scale, right))
		case 2:
			from := n("from", -10, 100) / scale
			list = append(list, head+fmt.Sprintf(`"kind":"strap","from":%d,"to":%d,"left_offset":%d,"right_offset":%d}`,
				from, from+n("long", 5, 60)/scale, n("a1", 5, 80)/scale, n("a2", 5, 80)/scale))
		case 3:
			from := n("from", -10, 100) / scale
			list = append(list, head+fmt.Sprintf(`"kind":"floating_layer","from":%d,"to":%d,"height":%d,"left_extent":%d}`,
				from, from+n("long", 5, 60)/scale, n("h", 5, 50)/scale, n("x", 10, 110)/scale))
			folds = append(folds, id+".left_base", id+".layer_fold")
			continue
		case 4:
			from := n("from", -10, 100) / scale
			list = append(list, head+fmt.Sprintf(`"kind":"box","from":%d,"to":%d,"height":%d,"left_offset":%d,"lid":%t,"ends":%q}`,
				from, from+n("long", 5, 60)/scale, n("h", 5, 50)/scale, n("x", 10, 80)/scale, n("lid", 0, 1) == 1,
				rapid.SampledFrom([]string{"in", "out"}).Draw(t, id+"ends")))
			folds = append(folds, id+".left_base", id+".front_crease")
			continue
		case 5:
			from := n("from", -10, 100)
			list = append(list, fmt.Sprintf(`{"id":%q,"kind":"slide_tent","page":"left","from":%d,"to":%d,"fixed_offset":%d,"near_width":%d,"far_width":%d,"travel":%d,"guided":%t}`,
				id, from, from+n("long", 12, 60), n("x0", 5, 60), n("n", 10, 60), n("f", 10, 60), 2*n("d", 5, 90), n("guided", 0, 1) == 1))
			continue
		}
		folds = append(folds, id+".left_base", id+".ridge", id+".right_base")
	}
	return spread, strings.Join(list, ",")
}

// A mechanism that may go either way goes the shorter one: the second tent is glued
// over the end of the first by some 10 of its 50, and is moved by about that.
func TestRemedyGoesTheShorterWay(t *testing.T) {
	d := decode(t, pageOf130, `{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":40,"to":90,"left":{"base_offset":22,"panel_width":34}},
		{"id":"mole","kind":"parallel_fold","on":{"fold":"gutter"},"from":80,"to":130,"left":{"base_offset":22,"panel_width":34}}`)
	f := only(t, check(d), finding.GluedTwice)
	requireCure(t, d, f)
	if to := f.Remedy.Changes[0]; to.Pointer != "/mechanisms/1/from" || to.Value < 80 || to.Value > 95 {
		t.Errorf("%s", f.Remedy.Text)
	}
}

// Figures that pass a ridge at one place are moved along it, and go on crossing it.
func TestNecksAreMovedAlongTheRidge(t *testing.T) {
	d := decode(t, pageOf130, `{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":40,"to":90,"left":{"base_offset":30,"panel_width":40}},
		{"id":"one","kind":"figure","on":{"panel":"quay.left"},"outline":"M0 0 H10 V60 H0 Z","place":{"u":10,"v":5}},
		{"id":"two","kind":"figure","on":{"panel":"quay.right"},"outline":"M0 0 H10 V60 H0 Z","place":{"u":10,"v":5}}`)
	f := only(t, check(d), finding.NecksMeet)
	requireCure(t, d, f)
	if f.Remedy.Changes[0].Pointer != "/mechanisms/2/place/u" || !strings.HasPrefix(f.Message, "one and two") {
		t.Errorf("%s %s", f.Message, f.Remedy.Text)
	}
}

// Every remedy offered cures its finding and breaks nothing; and at least nine in ten
// finding has one.
func TestRemediesCure(t *testing.T) {
	findings, without, layersWithout := map[finding.Code]int{}, 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		spread, mechanisms := harbour(rt)
		d := decode(t, spread, mechanisms)
		for _, f := range check(d) {
			findings[f.Code]++
			if f.Remedy == nil && (ofLayers(f.Code) || ofSweep(f.Code)) {
				layersWithout++
				continue
			}
			if f.Remedy == nil && f.Code.OfParts() {
				continue // TestEveryCode has them
			}
			if f.Remedy == nil {
				without++
				rt.Logf("no remedy: %s", f.Message)
				continue
			}
			requireCure(t, d, f)
			if t.Failed() {
				rt.Fatalf("design: %s", mechanisms)
			}
		}
	})
	total, layers := 0, 0
	for _, info := range finding.Catalogue() {
		if ofLayers(info.Code) || ofSweep(info.Code) {
			layers += findings[info.Code]
			continue
		}
		if info.Code.OfParts() {
			continue
		}
		total += findings[info.Code]
		// These have tables of their own; what breaks them is not drawn here.
		if findings[info.Code] == 0 && info.Code != finding.CutOffHost && info.Code != finding.ThroughHost {
			t.Errorf("the generator never broke the rule %s", info.Code)
		}
	}
	t.Logf("%v, %d without a remedy, and %d of layers", findings, without, layersWithout)
	// Mechanisms drawn at random lie in each other's way in ways no one number cures.
	if layersWithout*2 > layers {
		t.Errorf("%d of %d findings of layers have no remedy", layersWithout, layers)
	}
	if without*10 > total {
		t.Errorf("%d of %d findings have no remedy", without, total)
	}
}
