package stack

import (
	"fmt"
	"testing"

	"foldwright/solver/geom"
)

// faultsOf judges mechanisms on a page of 130 by 180.
func faultsOf(t *testing.T, mechanisms string) []Fault {
	t.Helper()
	_, r := judged(t, []byte(`{"spread":{"page_width":130,"page_height":180},"mechanisms":[`+mechanisms+`]}`), Options{})
	return r.Faults
}

func tentAt(id string, from float64) string {
	return fmt.Sprintf(`{"id":%q,"kind":"parallel_fold","on":{"fold":"gutter"},"from":%g,"to":%g,"left":{"base_offset":30,"panel_width":40},"joint":{"tab_depth":10,"tab_taper":0}}`, id, from, from+40)
}

// Two tents of one size that overlap by 15 mm are glued there twice on either
// page, on tabs 10 mm deep: 150 mm² each, in the middle of the overlap.
func TestGluedTwice(t *testing.T) {
	faults := faultsOf(t, tentAt("quay", 20)+","+tentAt("mole", 45))
	seen := map[string]bool{}
	for _, f := range faults {
		if f.Kind != GluedTwice {
			t.Errorf("%+v", f)
			continue
		}
		seen[f.Panel] = true
		approx(t, "area", f.Area, 15*10, 1e-6)
		approx(t, "z", f.Point.Z, 25, 1e-6)
		approx(t, "y", f.Point.Y, 52.5, 1e-6)
		if !f.Grave || fmt.Sprint(f.Mechanisms) != "[0 1]" {
			t.Errorf("%+v", f)
		}
	}
	if !seen["page.left"] || !seen["page.right"] {
		t.Errorf("glued twice on %v", seen)
	}
	if faults := faultsOf(t, tentAt("quay", 20)+","+tentAt("mole", 61)); len(faults) > 0 {
		t.Errorf("side by side: %+v", faults)
	}
}

// A figure that reaches 6 mm below its panel's base line would stand through the
// page.
func TestFigureThroughThePage(t *testing.T) {
	figure := func(v float64) string {
		return tentAt("quay", 20) + fmt.Sprintf(`,{"id":"lamp","kind":"figure","on":{"panel":"quay.left"},"outline":"M0 0 H10 V20 H0 Z","place":{"u":10,"v":%g}}`, v)
	}
	faults := faultsOf(t, figure(-6))
	found := false
	for _, f := range faults {
		if f.Kind == MustPass && f.IDs[0] == "page.left" && f.IDs[1] == "lamp.figure" {
			found = true
			approx(t, "amount", f.Amount, 6, 1e-6)
			approx(t, "z", f.Point.Z, 24, 1e-6)
			if fmt.Sprint(f.Mechanisms) != "[1]" {
				t.Errorf("%+v", f)
			}
		}
	}
	if !found {
		t.Errorf("not found in %+v", faults)
	}
	if faults := faultsOf(t, figure(1)); len(faults) > 0 {
		t.Errorf("above the base line: %+v", faults)
	}
}

// Figures on both panels that cross over the ridge lie one above the other on
// one side of it and the other way round beyond. Where their necks pass the
// ridge at different places they never meet; where they share a place they must
// pass through each other.
func TestCrossedFigures(t *testing.T) {
	// Panels are 60 mm wide, their ridge is at v = 60. A figure rises from its
	// panel through the ridge and widens beyond.
	figure := func(id, panel string, u float64) string {
		return fmt.Sprintf(`{"id":%q,"kind":"figure","on":{"panel":%q},"outline":"M0 0 H6 V30 H0 Z","place":{"u":%g,"v":45}}`, id, panel, u)
	}
	stand := `{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":20,"to":80,"left":{"base_offset":30,"panel_width":60}},`
	if faults := faultsOf(t, stand+figure("sail", "quay.left", 10)+","+figure("jib", "quay.right", 30)); len(faults) > 0 {
		t.Errorf("necks apart: %+v", faults)
	}
	crossed := false
	for _, f := range faultsOf(t, stand+figure("sail", "quay.left", 10)+","+figure("jib", "quay.right", 13)) {
		crossed = crossed || f.Kind == MustPass && fmt.Sprint(f.IDs) == "[sail.figure jib.figure]"
	}
	if !crossed {
		t.Error("necks in one place are not found")
	}
}

// A flap that lies across the gutter keeps the pages from shutting: it is
// between them where they are joined.
func TestFlapAcrossTheGutter(t *testing.T) {
	faults := faultsOf(t, `{"id":"hatch","kind":"flap","on":{"panel":"page.left"},"hinge_length":20,"depth":30,"place":{"u":80,"v":10,"rotate":180}}`)
	if len(faults) != 1 || faults[0].Kind != ThroughCrease || faults[0].Point.Z > grazing {
		t.Errorf("%+v", faults)
	}
}

// Fixed and free: what hangs on both sides of a panel keeps its side.
func TestLayersOnBothSides(t *testing.T) {
	a, p := assembly(t, []byte(`{"spread":{"page_width":130,"page_height":180},"mechanisms":[
		{"id":"tide","kind":"wheel","on":{"panel":"page.right"},"radius":25,"place":{"u":90,"v":60}},
		{"id":"moon","kind":"wheel","on":{"panel":"page.right"},"radius":20,"place":{"u":90,"v":60}},
		{"id":"hatch","kind":"flap","on":{"panel":"page.right"},"hinge_length":30,"depth":30,"place":{"u":75,"v":45}},
		{"id":"lamp","kind":"figure","on":{"panel":"page.right"},"outline":"M0 0 H20 V20 H0 Z","place":{"u":80,"v":50}}]}`))
	s := newStack(a, p, Options{})
	if _, err := s.judgeAll(); err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, i := range s.pile(geom.Vec2{X: 66, Y: 96}) { // off the hubs
		names = append(names, s.pieces[i].ID)
	}
	// The figure is glued to the page and lies under the flap, though made later.
	if want := "[page.left hatch.flap lamp.figure page.right tide.disc moon.disc]"; fmt.Sprint(names) != want {
		t.Errorf("%v, want %s", names, want)
	}
}
