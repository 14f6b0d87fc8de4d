package guide

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/assemble"
	"foldwright/solver/design"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
	"foldwright/testdata/designs"
)

// made is the guide of a document, with what it was made from.
func made(t rapid.TB, document []byte, o Options) (*Guide, *pattern.Pattern) {
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
	plan := assemble.Make(a, p)
	g, err := Make(a, p, &plan, o)
	if err != nil {
		t.Fatal(err)
	}
	return g, p
}

func example(t *testing.T, name string, o Options) (*Guide, *pattern.Pattern) {
	t.Helper()
	document, ok := designs.Read(name)
	if !ok {
		t.Fatalf("no example %s", name)
	}
	return made(t, document, o)
}

// checkWhole holds a guide to what any must do: each joint of the pattern is in
// one step, with its letter in the words; each part is on the list; what is glued
// is scored before, and goes to what is the page or was handled by then.
func checkWhole(t rapid.TB, g *Guide, p *pattern.Pattern) {
	t.Helper()
	in := map[string]int{}
	scored := map[string]bool{}
	for i, s := range g.Steps {
		if s.Number != i+1 || s.Title == "" || len(s.Text) == 0 || strings.ContainsAny(s.Title+strings.Join(s.Text, "")+strings.Join(s.Checks, ""), "{}") {
			t.Errorf("step %d reads %+v", i+1, s)
		}
		if s.Kind == assemble.Prepare {
			scored[s.Parts[0]] = true
		}
		for _, j := range s.Joints {
			in[j.ID]++
			for _, id := range []string{j.Part, j.Host} {
				if part := p.Part(id); len(part.Creases) > 0 && !scored[id] {
					t.Errorf("step %d glues %s, which is not scored yet", s.Number, id)
				}
				if !slices.Contains(s.Parts, id) {
					t.Errorf("step %d glues %s, which is not among its parts", s.Number, id)
				}
			}
			if !strings.Contains(strings.Join(s.Text, " "), j.Letter) {
				t.Errorf("step %d does not say %s: %q", s.Number, j.Letter, s.Text)
			}
		}
	}
	for _, j := range p.Joints {
		if in[j.ID] != 1 {
			t.Errorf("joint %s (%s) is in %d steps", j.Label, j.ID, in[j.ID])
		}
	}
	if len(g.Parts) != len(p.Parts) || len(g.Steps[0].Parts) != len(p.Parts) {
		t.Errorf("%d and %d parts on the lists, %d in the pattern", len(g.Parts), len(g.Steps[0].Parts), len(p.Parts))
	}
}

func TestExamplesAreWhole(t *testing.T) {
	for _, name := range designs.Names() {
		t.Run(name, func(t *testing.T) {
			g, p := example(t, name, Options{Pictures: true})
			checkWhole(t, g, p)
			for _, s := range g.Steps[1:] {
				if s.Picture == nil || s.Caption == "" || len(s.Picture.Shapes) == 0 {
					t.Errorf("step %d has no picture", s.Number)
				}
			}
			if len(g.Notices) > 0 {
				t.Errorf("notices %q", g.Notices)
			}
		})
	}
}

// TestDrawnDesignsAreWhole draws designs of tents, V-folds, straps, figures and
// strips on one another, also such that cannot be put together.
func TestDrawnDesignsAreWhole(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := func(name string, from, to float64) float64 { return rapid.Float64Range(from, to).Draw(t, name) }
		fix := rapid.SampledFrom([]string{"surface", "slot"})
		var list []string
		folds, panels := []string{"gutter"}, []string{"page.left", "page.right"}
		for i := range rapid.IntRange(1, 5).Draw(t, "mechanisms") {
			id, on := fmt.Sprintf("m%d", i), rapid.SampledFrom(folds).Draw(t, "on")
			joint := fmt.Sprintf(`"joint":{"fix":%q,"tab_depth":6}`, fix.Draw(t, "fix"))
			switch rapid.IntRange(0, 3).Draw(t, "kind") {
			case 0:
				list = append(list, fmt.Sprintf(`{"id":%q,"kind":"parallel_fold","on":{"fold":%q},"from":%g,"to":%g,"left":{"base_offset":%g,"panel_width":%g},%s}`,
					id, on, num("from", 0, 40), num("to", 60, 120), num("offset", 5, 30), num("width", 31, 60), joint))
			case 1:
				list = append(list, fmt.Sprintf(`{"id":%q,"kind":"v_fold","on":{"fold":%q},"at":%g,"left":{"base_angle":%g,"panel_angle":%g,"base_length":%g},"ridge_length":%g,%s}`,
					id, on, num("at", 10, 90), num("base", 30, 60), num("panel", 61, 110), num("length", 20, 60), num("ridge", 20, 60), joint))
			case 2:
				list = append(list, fmt.Sprintf(`{"id":%q,"kind":"strap","on":{"fold":%q},"from":%g,"to":%g,"left_offset":%g,"right_offset":%g,%s}`,
					id, on, num("from", 0, 40), num("to", 60, 120), num("left", 6, 40), num("right", 6, 40), joint))
			case 3:
				list = append(list, fmt.Sprintf(`{"id":%q,"kind":"figure","on":{"panel":%q},"outline":"M0 0 H14 V20 H0 Z","place":{"u":%g,"v":%g}}`,
					id, rapid.SampledFrom(panels).Draw(t, "panel"), num("u", 5, 60), num("v", 2, 20)))
				continue
			}
			folds = append(folds, id+".ridge", id+".left_base")
			panels = append(panels, id+".left", id+".right")
		}
		document := `{"spread":{"page_width":130,"page_height":180,"opens_to":` + fmt.Sprint(num("opens", 60, 180)) + `},"mechanisms":[` + strings.Join(list, ",") + `]}`
		if _, err := design.Decode([]byte(document)); err != nil {
			t.Skip(err)
		}
		g, p := made(t, []byte(document), Options{Pictures: true, Copies: rapid.IntRange(1, 3).Draw(t, "copies")})
		checkWhole(t, g, p)
	})
}

// TestNumbersOfATent holds what the maker measures against closed forms, derived
// here: base lines 30 from the gutter and panels 50 wide have their ridge on the
// bisector, 30·cos(t/2) + √(50² − (30·sin(t/2))²) from the gutter, which is 40 at
// 180 degrees and 66.4901 at 90, and open at the ridge to 2·asin(30/50) = 73.7398
// degrees at 180. The creases lie where the design says.
func TestNumbersOfATent(t *testing.T) {
	const tent = `{"units":%q,"spread":{"page_width":%g,"page_height":%g},"mechanisms":[
	  {"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":%g,"to":%g,"left":{"base_offset":%g,"panel_width":%g}}]}`
	for _, row := range []struct {
		units, stands, half string
		scale, gutter, foot float64
	}{
		{"mm", "quay stands 40 mm above the page", "66.5 mm from the gutter", 1, 30, 20},
		{"in", "quay stands 1.57 in above the page", "2.62 in from the gutter", 1 / 25.4, 30 / 25.4, 20 / 25.4},
	} {
		k := row.scale
		g, _ := made(t, fmt.Appendf(nil, tent, row.units, 130*k, 180*k, 20*k, 70*k, 30*k, 50*k), Options{})
		last := strings.Join(g.Steps[len(g.Steps)-1].Checks, "\n")
		for _, want := range []string{row.stands, "quay ridge stands at 73.7°"} {
			if !strings.Contains(last, want) {
				t.Errorf("%s: no %q in %s", row.units, want, last)
			}
		}
		if final := strings.Join(g.Final, "\n"); !strings.Contains(final, row.half) {
			t.Errorf("%s: no %q in %s", row.units, row.half, final)
		}
		for i, page := range []string{"left", "right"} {
			j := g.Jigs[i]
			for _, end := range []Place{j.From, j.To} {
				if !j.Line || end.Page != page || !near(end.FromGutter, row.gutter) || !near(end.FromFoot, row.foot) && !near(end.FromFoot, 70*k) {
					t.Errorf("%s: jig %+v", row.units, j)
				}
			}
		}
	}
}

func near(a, b float64) bool { return a-b < 1e-9 && b-a < 1e-9 }

// TestCautionsFollowTheTools shows those of the tools that are used and no others.
func TestCautionsFollowTheTools(t *testing.T) {
	for _, tool := range AllTools() {
		g, _ := example(t, "lighthouse", Options{Tools: []Tool{tool}})
		for _, c := range g.Cautions {
			if c.Tool != "" && c.Tool != tool || c.Text == "" {
				t.Errorf("%s: caution %+v", tool, c)
			}
		}
		if len(g.Cautions) != 3 {
			t.Errorf("%s: %d cautions", tool, len(g.Cautions))
		}
	}
	g, _ := example(t, "lighthouse", Options{Tools: []Tool{HotGlue}})
	if last := g.Steps[len(g.Steps)-1]; last.Wait != english.waitHot {
		t.Errorf("hot glue waits %q", last.Wait)
	}
}

// TestSeveralCopies counts parts for all and advises on the run.
func TestSeveralCopies(t *testing.T) {
	one, _ := example(t, "harbour", Options{})
	ten, _ := example(t, "harbour", Options{Copies: 10})
	for i := range one.Parts {
		if ten.Parts[i].Count != 10*one.Parts[i].Count {
			t.Errorf("%s: %d and %d", one.Parts[i].ID, one.Parts[i].Count, ten.Parts[i].Count)
		}
	}
	if len(one.Run) > 0 || !strings.Contains(strings.Join(ten.Run, " "), "For 10 copies") {
		t.Errorf("advice %q and %q", one.Run, ten.Run)
	}
}

// TestOutOfReachIsSaid tells of joints that no order reaches, at the start and in
// a step of their own.
func TestOutOfReachIsSaid(t *testing.T) {
	const narrow = `{"spread":{"page_width":130,"page_height":180},"mechanisms":[
  {"id":"mast","kind":"parallel_fold","on":{"fold":"gutter"},"from":20,"to":150,"left":{"base_offset":8,"panel_width":46}},
  {"id":"hood","kind":"parallel_fold","on":{"fold":"mast.ridge","side":"outer"},"from":40,"to":80,
   "left":{"base_offset":12,"panel_width":10},"joint":{"fix":"slot","tab_side":"outer","tab_depth":8}}]}`
	g, p := made(t, []byte(narrow), Options{Pictures: true})
	checkWhole(t, g, p)
	last := g.Steps[len(g.Steps)-1]
	if last.Kind != OutOfReach || len(last.Joints) != 1 || !strings.Contains(strings.Join(g.Notices, " "), "joint "+last.Joints[0].Letter+" no order") {
		t.Errorf("notices %q, last step %+v", g.Notices, last)
	}
}

func TestStop(t *testing.T) {
	document, _ := designs.Read("harbour")
	d, _ := design.Decode(document)
	a := kinematics.Compile(d)
	p, _ := pattern.Make(a, pattern.DefaultOptions())
	plan := assemble.Make(a, p)
	asked := 0
	if g, err := Make(a, p, &plan, Options{Pictures: true, Stop: func() bool { asked++; return asked > 5 }}); err != ErrStopped {
		t.Errorf("stopped with %v, %v", g, err)
	}
}

func TestRunsOf(t *testing.T) {
	if got := strings.Join(runsOf([]int{2, 3, 4, 7, 9, 10}), " "); got != "2–4 7 9–10" {
		t.Error(got)
	}
}

func BenchmarkGuideOfHarbour(b *testing.B) {
	document, _ := designs.Read("harbour")
	d, _ := design.Decode(document)
	a := kinematics.Compile(d)
	p, _ := pattern.Make(a, pattern.DefaultOptions())
	plan := assemble.Make(a, p)
	for b.Loop() {
		if _, err := Make(a, p, &plan, Options{Pictures: true}); err != nil {
			b.Fatal(err)
		}
	}
}
