package kinematics

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/geom"
)

// The layer is its host moved along the bisector. Source: opposite sides of
// parallelograms.
func TestLayerIsItsHostMoved(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e, _, _, _ := drawFloatingLayer(t, shut)
		e["id"], e["on"] = "deck", entry{"fold": "gutter"}
		a := (&document{mechanisms: []entry{e}}).compile(t)
		p := poseAt(a, drawOpening(t))
		by := geom.Vec3{Y: e["from"].(float64), Z: e["height"].(float64)}
		for side, name := range []string{"deck.layer_left", "deck.layer_right"} {
			layer, page := &p.Panels[a.PanelIndex(name)], &p.Panels[side]
			if layer.X != page.X || layer.Y != page.Y {
				t.Fatalf("%s is not parallel to its page", name)
			}
			if off := layer.Origin.Sub(page.Origin).Sub(by).Norm(); !(off <= 1e-12) {
				t.Fatalf("%s is %g mm off", name, off)
			}
		}
		if off := math.Abs(float64(p.FoldAngle(a.FoldIndex("deck.layer_fold")) - p.FoldAngle(gutterFold))); !(off <= 1e-12) {
			t.Fatalf("the fold of the layer is %g rad off its host", off)
		}
	})
}

// What stands on the layer stands as it does on the gutter, higher up.
func TestLayerIsAGutter(t *testing.T) {
	const mast = `"kind":"v_fold","at":30,"left":{"base_angle":45,"panel_angle":70,"base_length":20},"ridge_length":25`
	a := assemble(t, `
		{"id":"deck","kind":"floating_layer","on":{"fold":"gutter"},"from":40,"to":120,"height":15,"left_extent":50},
		{"id":"mast","on":{"fold":"deck.layer_fold"},`+mast+`},
		{"id":"pole","on":{"fold":"gutter"},`+mast+`}`)
	for _, degrees := range []float64{0, 45, 90, 180} {
		p := pose(t, a, degrees)
		high, low := panelAt(a, p, "mast.left", 10, 10), panelAt(a, p, "pole.left", 10, 10)
		checkAt(t, "mast", high, low.Add(geom.Vec3{Y: 40, Z: 15}))
	}
}

// The default places of the supports, and the folds below the layer.
func TestLayerSupports(t *testing.T) {
	a := assemble(t, `{"id":"deck","kind":"floating_layer","on":{"fold":"gutter"},"from":40,"to":120,"height":15,"left_extent":60,"right_extent":40,"left_support":50}`)
	p := pose(t, a, 180)
	checkAt(t, "left support", panelAt(a, p, "deck.support_left", 0, 15), geom.Vec3{X: -50, Y: 40, Z: 15})
	checkAt(t, "right support", panelAt(a, p, "deck.support_right", 0, 0), geom.Vec3{X: 30, Y: 40})
	p = pose(t, a, 100)
	for fold, want := range map[string]float64{
		"deck.left_base": 50, "deck.right_base": 50, "deck.left_top": 50, "deck.right_top": 50,
		"deck.center_left_base": 50, "deck.center_right_base": 50, "deck.center_left_top": 130, "deck.center_right_top": 130,
		"deck.layer_fold": 100,
	} {
		approx(t, fold, foldAngle(t, a, p, fold), want, 1e-9)
	}
}
