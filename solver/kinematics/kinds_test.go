package kinematics

import (
	"fmt"
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// samples is one mechanism of each kind; %s is its id and what it stands on.
var samples = map[design.Kind]string{
	"v_fold":         `{%s,"kind":"v_fold","at":100,"left":{"base_angle":45,"panel_angle":60,"base_length":40},"ridge_length":50}`,
	"parallel_fold":  `{%s,"kind":"parallel_fold","from":10,"to":40,"left":{"base_offset":30,"panel_width":50}}`,
	"strap":          `{%s,"kind":"strap","from":10,"to":40,"left_offset":20,"right_offset":30}`,
	"cut_step":       `{%s,"kind":"cut_step","from":10,"to":40,"left_offset":20,"right_offset":30}`,
	"cut_v":          `{%s,"kind":"cut_v","at":100,"left":{"base_angle":45,"base_length":40},"ridge_length":50}`,
	"box":            `{%s,"kind":"box","from":10,"to":80,"left_offset":20,"right_offset":30,"height":25,"lid":true}`,
	"floating_layer": `{%s,"kind":"floating_layer","from":10,"to":40,"height":15,"left_extent":50,"right_extent":40}`,
	"slide_tent":     `{%s,"kind":"slide_tent","from":10,"to":40,"fixed_offset":20,"near_width":40,"far_width":35,"travel":38}`,
	"flap":           `{%s,"kind":"flap","hinge_length":30,"depth":20,"place":{"u":30,"v":20,"rotate":15}}`,
	"wheel":          `{%s,"kind":"wheel","radius":20,"place":{"u":30,"v":20,"rotate":15}}`,
	"pivot_arm":      `{%s,"kind":"pivot_arm","outline":"M-2 -2 H30 V2 H-2 Z","crank":8,"link_length":20,"stroke":5,"place":{"u":30,"v":20}}`,
	"pull_tab":       `{%s,"kind":"pull_tab","moves":"tent","tent":{"near_width":20,"far_width":25,"along":30},"stroke":15,"place":{"u":30,"v":50}}`,
	"linkage":        `{%s,"kind":"linkage","panels":[{"id":"left","outline":[[0,0],[30,0],[30,50],[0,50]]},{"id":"right","outline":[[0,0],[30,0],[30,-50],[0,-50]]}],"hinges":[{"id":"ridge","between":[{"panel":"left","edge":2},{"panel":"right","edge":2}]}],"glue":[{"panel":"left","edge":0,"to":"left","at":[[10,30],[40,30]]},{"panel":"right","edge":0,"to":"right","at":[[10,30],[40,30]]}]}`,
	"figure":         `{%s,"kind":"figure","outline":"M0 0 H14 V20 H0 Z","place":{"u":30,"v":20,"rotate":15}}`,
}

// sample is one mechanism of the kind on the bare spread.
func sample(t testing.TB, info *design.KindInfo) string {
	t.Helper()
	text, ok := samples[info.Kind]
	if !ok {
		t.Fatalf("no sample of kind %s", info.Kind)
	}
	on := `"id":"tug","on":{"fold":"gutter"}`
	if info.Stands != design.OnFold {
		on = `"id":"tug","on":{"panel":"page.right"}`
	}
	return fmt.Sprintf(text, on)
}

// forEveryKind runs a test for each kind of the catalogue.
func forEveryKind(t *testing.T, test func(t *testing.T, a *Assembly, info *design.KindInfo)) {
	for _, info := range design.Kinds() {
		t.Run(string(info.Kind), func(t *testing.T) { test(t, assemble(t, sample(t, info)), info) })
	}
}

// Every kind of the catalogue has a poser, which makes the panels and folds the
// catalogue names, and no others.
func TestEveryKindIsPosed(t *testing.T) {
	forEveryKind(t, func(t *testing.T, a *Assembly, info *design.KindInfo) {
		panels, folds := a.Design.Mechanisms[0].Makes()
		for _, name := range panels {
			if a.PanelIndex("tug."+name) < 0 {
				t.Errorf("no panel %s", name)
			}
		}
		for _, name := range folds {
			if a.FoldIndex("tug."+name) < 0 {
				t.Errorf("no fold %s", name)
			}
		}
		if made, folded := len(a.Panels)-2, len(a.Folds)-1; made != len(panels) || folded != len(folds) {
			t.Errorf("%d panels and %d folds, the mechanism names %d and %d", made, folded, len(panels), len(folds))
		}
		for _, degrees := range []float64{0, 90, 180} {
			checkRigid(t, a, pose(t, a, degrees), openTolerance)
		}
	})
}

func TestPosingDoesNotAllocate(t *testing.T) {
	forEveryKind(t, func(t *testing.T, a *Assembly, _ *design.KindInfo) {
		p := a.NewPose()
		if n := testing.AllocsPerRun(100, func() { a.PoseInto(p, Drive{Opening: 1}) }); n != 0 {
			t.Errorf("PoseInto makes %g allocations", n)
		}
	})
}

// Nor does posing what stands on folds seen from all their sides.
func TestPosingGenerationsDoesNotAllocate(t *testing.T) {
	a := assemble(t, fleet)
	p := a.NewPose()
	if n := testing.AllocsPerRun(100, func() { a.PoseInto(p, Drive{Opening: 1}) }); n != 0 {
		t.Errorf("PoseInto makes %g allocations", n)
	}
}

// fleet stands on every kind of fold, from every side.
const fleet = `
	{"id":"hull","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":45,"panel_angle":70,"base_length":60},"ridge_length":80},
	{"id":"port","kind":"v_fold","on":{"fold":"hull.left_base","side":"outer"},"at":20,"left":{"base_angle":45,"panel_angle":70,"base_length":20},"ridge_length":30},
	{"id":"hold","kind":"strap","on":{"fold":"hull.right_base","side":"inner"},"from":10,"to":20,"left_offset":8,"right_offset":9},
	{"id":"keel","kind":"parallel_fold","on":{"fold":"hull.ridge","side":"inner"},"from":10,"to":20,"left":{"base_offset":8,"panel_width":15}},
	{"id":"mast","kind":"v_fold","on":{"fold":"hull.ridge","side":"outer"},"at":40,"left":{"base_angle":40,"panel_angle":80,"base_length":20},"ridge_length":30},
	{"id":"flag","kind":"figure","on":{"panel":"mast.left"},"outline":"M0 0 H14 V20 H0 Z"}`

// PoseEach visits the openings in turn, each as PoseInto poses it.
func TestPoseEach(t *testing.T) {
	a := assemble(t, fleet)
	openings := []geom.Angle{0, 0.5, 1, 2, 3, 0.25}
	visited := 0
	a.PoseEach(openings, func(i int, p *Pose) {
		if i != visited || p.Drive.Opening != openings[i] {
			t.Fatalf("visit %d is of opening %d, at %g", visited, i, p.Drive.Opening)
		}
		visited++
		alone := a.NewPose()
		a.PoseInto(alone, Drive{Opening: openings[i]})
		for j := range a.Panels {
			if p.Has(j) != alone.Has(j) || p.Has(j) && p.Panels[j] != alone.Panels[j] {
				t.Fatalf("%s at %g differs from the pose alone", a.Panels[j].ID, openings[i])
			}
		}
	})
	if visited != len(openings) {
		t.Errorf("visited %d of %d openings", visited, len(openings))
	}

	// The pose is made once, however many openings there are.
	nothing := func(int, *Pose) {}
	few := testing.AllocsPerRun(10, func() { a.PoseEach(openings[:1], nothing) })
	many := testing.AllocsPerRun(10, func() { a.PoseEach(openings, nothing) })
	if few != many {
		t.Errorf("%g allocations for one opening, %g for six", few, many)
	}
}
