package check

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
	"foldwright/solver/stack"
	"foldwright/testdata/designs"
)

func tentAt(id string, from float64) string {
	return fmt.Sprintf(`{"id":%q,"kind":"parallel_fold","on":{"fold":"gutter"},"from":%g,"to":%g,"left":{"base_offset":30,"panel_width":40},"joint":{"tab_depth":10,"tab_taper":0}}`, id, from, from+40)
}

// Faults in the layers of the shut page, by measurements of the design.
func TestLayerFindings(t *testing.T) {
	for _, row := range []struct {
		name, spread, mechanisms string
		code                     finding.Code
		severity                 finding.Severity
		mechanism                int
		amount                   float64
		unit, source             string
	}{
		{
			"tents in one place", pageOf130, tentAt("quay", 20) + "," + tentAt("mole", 45),
			finding.GluedTwice, finding.Error, 1, 150, "mm²", "15 mm of tabs 10 mm deep",
		},
		{
			"a figure below its base line", pageOf130,
			tentAt("quay", 20) + `,{"id":"lamp","kind":"figure","on":{"panel":"quay.left"},"outline":"M0 0 H10 V20 H0 Z","place":{"u":10,"v":-6}}`,
			finding.PanelsCollide, finding.Error, 1, 6, "mm", "6 mm below v = 0",
		},
		{
			"a figure over a tab", pageOf130,
			tentAt("quay", 20) + `,{"id":"lamp","kind":"figure","on":{"panel":"page.left"},"outline":"M0 0 H10 V10 H0 Z","place":{"u":30,"v":15}}`,
			finding.GluedTwice, finding.Warning, 1, 50, "mm²", "from 20 to 25 of the tab, 10 wide",
		},
		{
			"too thick", pageOf130 + `,"max_shut_thickness":1.3`, tentAt("quay", 20),
			finding.StackTooThick, finding.Error, kinematics.Spread, 4*0.3*1.15 + 2*0.08 - 1.3, "mm", "two pages, two tabs, two films by default",
		},
	} {
		t.Run(row.name, func(t *testing.T) {
			d := decode(t, row.spread, row.mechanisms)
			found := check(d)
			if len(found) != 1 {
				t.Fatalf("%d findings, want one: %+v", len(found), found)
			}
			f := found[0]
			if f.Code != row.code || f.Severity != row.severity || f.Mechanism != row.mechanism ||
				f.Amount.Unit != row.unit || math.Abs(f.Amount.Value-row.amount) > 1e-6 {
				t.Errorf("%s %s of %d by %v, want %s %s of %d by %g %s (%s)",
					f.Severity, f.Code, f.Mechanism, f.Amount, row.severity, row.code, row.mechanism, row.amount, row.unit, row.source)
			}
			if !f.Where.HasPoint || ofLayers(f.Code) && f.Where.Point.X != 0 || len(f.Where.Panels) == 0 {
				t.Errorf("where %+v", f.Where)
			}
			requireCure(t, d, f)
		})
	}
}

// A flap across the gutter lies between the pages where they are joined.
func TestCaughtInACrease(t *testing.T) {
	found := check(decode(t, pageOf130, `{"id":"hatch","kind":"flap","on":{"panel":"page.left"},"hinge_length":20,"depth":30,"place":{"u":80,"v":10,"rotate":180}}`))
	k := slices.IndexFunc(found, func(f finding.Finding) bool { return f.Code == finding.LayersTrapped })
	if k < 0 || !strings.Contains(found[k].Message, "hatch.flap lies between page.left and page.right where these are joined") {
		t.Errorf("%+v", found)
	}
}

// Thinner paper cures a stack that is too thick: (1.3 - 0.16)/(4·1.15) = 0.2478.
func TestThinnerPaper(t *testing.T) {
	d := decode(t, pageOf130+`,"max_shut_thickness":1.3`, tentAt("quay", 20))
	r := check(d)[0].Remedy
	if len(r.Changes) != 1 || r.Changes[0].Pointer != "/paper/caliper" || r.Changes[0].Value != 0.2 || !strings.Contains(r.Text, "the caliper to 0.2 mm") {
		t.Errorf("%+v", r)
	}
}

// Eighteen layers, sixteen of them between the pages, hold a gutter apart.
func TestThicknessMatters(t *testing.T) {
	document, _ := designs.Read("generations")
	d := decodeDocument(t, document)
	k := slices.IndexFunc(check(d), func(f finding.Finding) bool { return f.Code == finding.ThicknessMatters })
	if k < 0 {
		t.Fatalf("not found in %+v", check(d))
	}
	f := check(d)[k]
	if f.Severity != finding.Note || math.Abs(f.Amount.Value-16*0.3*1.15) > 1e-9 || f.Pointer != "/paper/caliper" {
		t.Errorf("%+v", f)
	}
}

// The report has the shut page, and its map on demand.
func TestReport(t *testing.T) {
	d := decode(t, pageOf130, tentAt("quay", 20))
	r := Judge(kinematics.Compile(d), stack.Options{Map: true, Stop: func() bool { return false }})
	if len(r.Findings) > 0 || r.Shut == nil || len(r.Shut.Map) == 0 || r.Shut.Thickest.Layers != 4 {
		t.Errorf("%+v", r)
	}
	if r = Judge(kinematics.Compile(d), stack.Options{Stop: func() bool { return true }}); r.Shut != nil {
		t.Error("judged though told to stop")
	}
}

// What is wrong with the layers of a box whose ends meet is that its ends meet.
func TestEndsAreFoundOnce(t *testing.T) {
	d := decode(t, pageOf130, `{"id":"crate","kind":"box","on":{"fold":"gutter"},"from":20,"to":60,"left_offset":25,"height":30}`)
	for _, f := range check(d) {
		if f.Code != finding.EndsMeet {
			t.Errorf("%+v", f)
		}
	}
}
