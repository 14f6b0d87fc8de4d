package creep

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"foldwright/solver/check"
	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
	"foldwright/solver/stack"
	"foldwright/testdata/designs"
)

func compiled(t *testing.T, document string) (*kinematics.Assembly, *pattern.Pattern) {
	t.Helper()
	d, err := design.Decode([]byte(document))
	if err != nil {
		t.Fatal(err)
	}
	a := kinematics.Compile(d)
	p, err := pattern.Make(a, pattern.DefaultOptions())
	if err != nil {
		t.Fatal(err)
	}
	return a, p
}

func applied(t *testing.T, document string, factor float64) (*design.Design, []Change) {
	t.Helper()
	a, p := compiled(t, document)
	d, changes, err := Allow(a, p, factor, nil)
	if err != nil {
		t.Fatal(err)
	}
	return d, changes
}

// tents is a tent with its ridge 90 mm from the gutter when shut, and another
// within it whose ridge ends short of that one.
func tents(short, caliper float64, right string) string {
	return fmt.Sprintf(`{"paper":{"caliper":%g},"spread":{"page_width":120,"page_height":160},"mechanisms":[
		{"id":"shed","kind":"parallel_fold","on":{"fold":"gutter"},"from":20,"to":100,"left":{"base_offset":40,"panel_width":50}%s},
		{"id":"crane","kind":"parallel_fold","on":{"fold":"gutter"},"from":40,"to":80,"left":{"base_offset":20,"panel_width":%g}}]}`,
		caliper, right, 70-short)
}

// Two layers of caliper c, ending d short of the ridge, ask for
// sqrt(d² + c²) - d of each panel.
func TestTentWithinATent(t *testing.T) {
	for _, row := range []struct{ short, caliper, factor float64 }{{0, 0.3, 1}, {0, 0.5, 1}, {0, 0.3, math.Pi / 2}, {0.4, 0.5, 1}, {1, 0.8, 1.2}} {
		d, changes := applied(t, tents(row.short, row.caliper, ""), row.factor)
		if len(changes) != 1 {
			t.Fatalf("%+v: %+v", row, changes)
		}
		c := changes[0]
		want := row.factor * (math.Sqrt(row.short*row.short+row.caliper*row.caliper) - row.short)
		if c.Mechanism != 0 || c.Pointer != "/mechanisms/0/left/panel_width" || c.Layers != 2 || c.Unit != "mm" || c.Before != 50 ||
			math.Abs(c.After-50-want) > 1e-9 {
			t.Errorf("%+v: %+v, want %g more", row, c, want)
		}
		left, right := d.Mechanisms[0].Spec.(*design.ParallelFold).Sides()
		if left.PanelWidth != right.PanelWidth || left.PanelWidth != c.After {
			t.Errorf("%g and %g", left.PanelWidth, right.PanelWidth)
		}
	}
}

// A pile that ends far from the ridge, or none, changes nothing.
func TestNothingInTheWay(t *testing.T) {
	for _, document := range []string{
		tents(10, 0.3, ""),
		strings.Replace(tents(0, 0.3, ""), `"from":40,"to":80`, `"from":105,"to":150`, 1), // beside it
		strings.Replace(tents(0, 0.3, ""), `"kind":"parallel_fold","on":{"fold":"gutter"},"from":20,"to":100,"left":{"base_offset":40,"panel_width":50}`,
			`"kind":"strap","on":{"fold":"gutter"},"from":20,"to":100,"left_offset":40,"right_offset":50`, 1), // must keep its lengths
	} {
		d, changes := applied(t, document, 1)
		a, _ := compiled(t, document)
		if len(changes) > 0 || fmt.Sprintf("%+v", d.Mechanisms[0].Spec) != fmt.Sprintf("%+v", a.Design.Mechanisms[0].Spec) {
			t.Errorf("%+v", changes)
		}
	}
}

// Sides that differ change alike: a1 + p1 = a2 + p2 holds as before.
func TestShutsAsBefore(t *testing.T) {
	d, changes := applied(t, tents(0.5, 0.5, `,"right":{"base_offset":39.9,"panel_width":50.1}`), 1)
	if len(changes) != 2 {
		t.Fatalf("%+v", changes)
	}
	left, right := d.Mechanisms[0].Spec.(*design.ParallelFold).Sides()
	if gap := left.BaseOffset + left.PanelWidth - right.BaseOffset - right.PanelWidth; math.Abs(gap) > 1e-12 {
		t.Errorf("open by %g when shut", gap)
	}
}

// With allowances, every example shuts and opens as without them: no finding is
// new.
func TestExamplesWorkAsBefore(t *testing.T) {
	for _, name := range designs.Names() {
		raw, _ := designs.Read(name)
		a, p := compiled(t, string(raw))
		before := fmt.Sprintf("%+v", a.Design.Mechanisms)
		d, changes, err := Allow(a, p, 1, nil)
		if err != nil {
			t.Fatal(err)
		}
		if fmt.Sprintf("%+v", a.Design.Mechanisms) != before {
			t.Errorf("%s: the design itself was changed", name)
		}
		if len(changes) == 0 {
			continue
		}
		had := map[finding.Code]bool{}
		for _, f := range check.Design(a) {
			had[f.Code] = true
		}
		for _, f := range check.Design(kinematics.Compile(d)) {
			if !had[f.Code] {
				t.Errorf("%s: %+v", name, f)
			}
		}
	}
}

// A V-fold turns its panels out by the same angle on both sides, and by no more
// than the pile is thick at the middle of its ridge.
func TestVFoldRoundAPile(t *testing.T) {
	raw, _ := designs.Read("crate")
	a, p := compiled(t, string(raw))
	_, changes, err := Allow(a, p, 1, nil)
	if err != nil || len(changes) != 1 || changes[0].Unit != "deg" {
		t.Fatalf("%v %+v", err, changes)
	}
	c := changes[0]
	spec := a.Design.Mechanisms[c.Mechanism].Spec.(*design.VFold)
	most := float64(c.Layers) * a.Design.Paper.Caliper / 2 / (spec.RidgeLength / 2) * 180 / math.Pi
	if more := c.After - c.Before; more <= 0 || more > most+1e-9 {
		t.Errorf("%g degrees more, at most %g", more, most)
	}
}

func TestStop(t *testing.T) {
	a, p := compiled(t, tents(0, 0.3, ""))
	if _, _, err := Allow(a, p, 1, func() bool { return true }); !errors.Is(err, stack.ErrStopped) {
		t.Errorf("%v", err)
	}
}
