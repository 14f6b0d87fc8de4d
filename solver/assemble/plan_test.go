package assemble

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
	designs "foldwright/testdata/designs"
)

// planned makes the parts of a document and plans their assembly.
func planned(t *testing.T, document []byte) (*pattern.Pattern, Plan) {
	t.Helper()
	d, err := design.Decode(document)
	if err != nil {
		t.Fatal(err)
	}
	a := kinematics.Compile(d)
	p, err := pattern.Make(a, pattern.DefaultOptions())
	if err != nil {
		t.Fatal(err)
	}
	return p, Make(a, p)
}

// told is a plan in words, a line for each step.
func told(p *pattern.Pattern, plan Plan) string {
	var out strings.Builder
	for _, s := range plan.Steps {
		where := "bench"
		if s.OnPage {
			where = "page"
		}
		var joints []string
		for _, i := range s.Joints {
			joints = append(joints, p.Joints[i].ID)
		}
		fmt.Fprintf(&out, "%s %s: %s [%s]\n", s.Kind, where, strings.Join(s.Parts, " "), strings.Join(joints, " "))
	}
	return out.String()
}

// stepOf is the step that glues a joint; -1 when none does.
func stepOf(p *pattern.Pattern, plan *Plan, joint string) (int, Kind) {
	for k, s := range plan.Steps {
		for _, i := range s.Joints {
			if p.Joints[i].ID == joint {
				return k, s.Kind
			}
		}
	}
	return -1, ""
}

// TestExamplesCanBePutTogether holds the plan of every example against what any
// order must do: each joint is glued once, each part is scored before it is glued.
func TestExamplesCanBePutTogether(t *testing.T) {
	for _, name := range designs.Names() {
		data, _ := designs.Read(name)
		p, plan := planned(t, data)
		if len(plan.Unreachable) > 0 || len(plan.Undecided) > 0 {
			t.Errorf("%s: unreachable %v, undecided %v\n%s", name, plan.Unreachable, plan.Undecided, told(p, plan))
		}
		checkWhole(t, p, &plan)
	}
}

func checkWhole(t rapid.TB, p *pattern.Pattern, plan *Plan) {
	t.Helper()
	seen := make([]int, len(p.Joints))
	ready := map[string]bool{}
	for _, s := range plan.Steps {
		if s.Kind == Prepare {
			ready[s.Parts[0]] = true
		}
		for _, i := range s.Joints {
			seen[i]++
			for _, id := range []string{p.Joints[i].Part, p.Joints[i].Host} {
				if len(p.Part(id).Creases) > 0 && !ready[id] {
					t.Errorf("%s is glued before it is folded\n%s", id, told(p, *plan))
				}
			}
		}
	}
	for _, i := range append(append([]int{}, plan.Unreachable...), plan.Undecided...) {
		seen[i]++
	}
	for i, n := range seen {
		if n != 1 {
			t.Errorf("joint %s comes %d times\n%s", p.Joints[i].ID, n, told(p, *plan))
		}
	}
}

// TestHabitsOfTheTrade holds plans against common practice.
func TestHabitsOfTheTrade(t *testing.T) {
	for _, c := range []struct {
		why, design   string
		first, second string // joints
		how           Kind   // the second is glued
	}{
		{"the second base line of a V is glued by shutting the page onto it", "lighthouse", "lighthouse.left_base", "lighthouse.right_base", Shut},
		{"the second base line of a tent likewise", "quay", "quay.left_base", "quay.right_base", Shut},
		{"a figure goes on its panel before that stands", "harbour", "lamp.figure", "lighthouse.left_base", Glue},
		{"what stands under a ridge is glued there before that is closed", "harbour", "store.right_base", "quay.left_base", Glue},
		{"what stands on a base line comes after that", "harbour", "lighthouse.right_base", "gull_left.left_base", Glue},
		{"a strip is threaded before the edge with its gap is glued", "regatta", "sail.strip.pull", "sail.near_base", Glue},
		{"and fixed at its other end after that", "regatta", "sail.near_base", "sail.strip.anchor", Glue},
		{"guides go over a strip that is in its place", "ferry", "ferry.runner.strip", "ferry.guide_1", Glue},
		{"a box is closed to a tube before it goes on the page", "shed", "shed.back_right_corner", "shed.left_base", Glue},
		{"a layer is glued to its supports before they go on the page", "deck", "deck.center_right_top", "deck.left_base", Glue},
		{"a hub goes through the disc and is glued behind", "tide_clock", "", "clock.hub", Insert},
	} {
		data, _ := designs.Read(c.design)
		p, plan := planned(t, data)
		second, kind := stepOf(p, &plan, c.second)
		first := -1
		if c.first != "" {
			first, _ = stepOf(p, &plan, c.first)
		}
		if c.first != "" && first < 0 || second < first || kind != c.how {
			t.Errorf("%s: %s in step %d, %s in step %d by %s\n%s", c.why, c.first, first, c.second, second, kind, told(p, plan))
		}
	}
}

// TestStripIsThreadedInTime tells that the strip of a tent lies in its gap when the
// edge round it is glued.
func TestStripIsThreadedInTime(t *testing.T) {
	data, _ := designs.Read("regatta")
	p, plan := planned(t, data)
	edge, _ := stepOf(p, &plan, "sail.near_base")
	if before := plan.Steps[edge-1]; before.Kind != Thread || before.Parts[0] != "sail.strip" {
		t.Errorf("before the edge is glued the strip is not threaded\n%s", told(p, plan))
	}
}

// narrow is a steep tent with a small one over its ridge, whose tabs go through
// slots. The roof of the tent, 46 wide on bases 8 from the gutter, opens to 20
// degrees: 2 asin(8/46). The tabs of the small tent lie 12 to 20 below the ridge,
// where the faces are 4 to 7 mm apart, so that no finger gets between them.
const narrow = `{"spread":{"page_width":130,"page_height":180},"mechanisms":[
  {"id":"mast","kind":"parallel_fold","on":{"fold":"gutter"},"from":20,"to":150,"left":{"base_offset":8,"panel_width":46}},
  {"id":"hood","kind":"parallel_fold","on":{"fold":"mast.ridge","side":"outer"},"from":40,"to":80,
   "left":{"base_offset":12,"panel_width":10},"joint":{"fix":%q,"tab_side":"outer","tab_depth":8}}]}`

func TestTabInsideASteepTentIsOutOfReach(t *testing.T) {
	for fix, out := range map[string]int{"slot": 1, "surface": 0} {
		p, plan := planned(t, fmt.Appendf(nil, narrow, fix))
		if len(plan.Unreachable) != out || len(plan.Undecided) != 0 {
			t.Errorf("%s: unreachable %v, undecided %v\n%s", fix, plan.Unreachable, plan.Undecided, told(p, plan))
		}
		checkWhole(t, p, &plan)
	}
}

// TestStopLeavesTheRestUndecided holds the stop to its word.
func TestStopLeavesTheRestUndecided(t *testing.T) {
	data, _ := designs.Read("harbour")
	d, _ := design.Decode(data)
	a := kinematics.Compile(d)
	p, _ := pattern.Make(a, pattern.DefaultOptions())
	asked := 0
	plan := MakeUntil(a, p, func() bool { asked++; return asked > 4 })
	if len(plan.Undecided) == 0 || len(plan.Unreachable) != 0 {
		t.Errorf("undecided %v, unreachable %v", plan.Undecided, plan.Unreachable)
	}
	checkWhole(t, p, &plan)
}

// TestNoOrderIsMissed tries every order of small designs: where one reaches all
// joints, so does the plan.
func TestNoOrderIsMissed(t *testing.T) {
	joints := []string{"surface", "slot"}
	sides := []string{"inner", "outer"}
	rapid.Check(t, func(t *rapid.T) {
		one := func(name string, of []string) string { return rapid.SampledFrom(of).Draw(t, name) }
		width, offset := rapid.Float64Range(15, 60).Draw(t, "width"), rapid.Float64Range(0.15, 0.95).Draw(t, "offset")
		document := fmt.Sprintf(`{"spread":{"page_width":130,"page_height":180},"mechanisms":[
		  {"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":20,"to":120,"left":{"base_offset":%g,"panel_width":%g},"joint":{"fix":%q,"tab_side":%q}},
		  {"id":"hood","kind":"parallel_fold","on":{"fold":%q,"side":%q},"from":30,"to":70,"left":{"base_offset":%g,"panel_width":%g},"joint":{"fix":%q,"tab_side":%q,"tab_depth":6}},
		  {"id":"buoy","kind":"strap","on":{"fold":"quay.left_base","side":%q},"from":20,"to":80,"left_offset":%g,"right_offset":6,"joint":{"fix":%q,"tab_side":%q,"tab_depth":5}}]}`,
			width*offset, width, one("fix", joints), one("tab", sides),
			one("on", []string{"quay.ridge", "gutter"}), one("side", sides), width*0.3, width*0.35, one("fix 2", joints), one("tab 2", sides),
			one("side 3", sides), width*0.2, one("fix 3", joints), one("tab 3", sides))
		d, err := design.Decode([]byte(document))
		if err != nil {
			t.Skip(err)
		}
		a := kinematics.Compile(d)
		p, err := pattern.Make(a, pattern.DefaultOptions())
		if err != nil {
			t.Fatal(err)
		}
		plan := Make(a, p)
		checkWhole(t, p, &plan)
		if least := leastLeft(newBuild(a, p, func() bool { return false }), map[string]int{}); (least == 0) != (len(plan.Unreachable) == 0) {
			t.Fatalf("some order leaves %d joints, the plan %d\n%s\n%s", least, len(plan.Unreachable), document, told(p, plan))
		}
	})
}

// leastLeft is the least number of joints left by any order of taking apart.
func leastLeft(b *build, known map[string]int) int {
	key := fmt.Sprint(b.placed)
	if n, ok := known[key]; ok {
		return n
	}
	least := 0
	for _, placed := range b.placed {
		if placed {
			least++
		}
	}
	for i := range b.joints {
		if !b.placed[i] || b.needed(i) {
			continue
		}
		b.rings = b.findRings()
		taken, ok := b.reachable(i)
		if !ok {
			continue
		}
		for _, k := range taken.joints {
			b.placed[k] = false
		}
		least = min(least, leastLeft(b, known))
		for _, k := range taken.joints {
			b.placed[k] = true
		}
	}
	known[key] = least
	return least
}

func BenchmarkPlan(b *testing.B) {
	data, _ := designs.Read("harbour")
	d, _ := design.Decode(data)
	a := kinematics.Compile(d)
	p, _ := pattern.Make(a, pattern.DefaultOptions())
	for b.Loop() {
		Make(a, p)
	}
}
