package check

import (
	"math"
	"strings"
	"testing"

	"foldwright/solver/collide"
	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
	"foldwright/testdata/designs"
)

func only(t *testing.T, found []finding.Finding, code finding.Code) finding.Finding {
	t.Helper()
	var list []finding.Finding
	for _, f := range found {
		if f.Code == code {
			list = append(list, f)
		}
	}
	if len(list) != 1 {
		t.Fatalf("%d findings of %s, want one: %+v", len(list), code, found)
	}
	return list[0]
}

// A mast stands through a strap: the strap's far wall is 40 from the gutter and
// runs from 20 to 60; the mast's panel crosses its line. Source: with the pages
// square the strap is a box 40 by 25; the mast's ridge lies in the plane that
// halves the pages and passes through its top.
func TestMastThroughAStrap(t *testing.T) {
	d := decode(t, pageOf130, `{"id":"deck","kind":"strap","on":{"fold":"gutter"},"from":20,"to":60,"left_offset":40,"right_offset":25},
		{"id":"mast","kind":"v_fold","on":{"fold":"gutter"},"at":15,"left":{"base_angle":55,"panel_angle":75,"base_length":50},"ridge_length":60}`)
	f := only(t, check(d), finding.PanelsCollide)
	if f.Severity != finding.Error || f.Amount.Value < 1 || !f.Where.HasPoint {
		t.Errorf("%+v", f)
	}
	requireCure(t, d, f)
}

// Two tents side by side clear each other, and so it is proved, not only not
// found.
func TestTentsBesideEachOther(t *testing.T) {
	d := decode(t, pageOf130, tentAt("quay", 20)+","+tentAt("mole", 90))
	r := Judge(kinematics.Compile(d), everything.shut)
	if len(r.Findings) > 0 || r.Swept.Proved != r.Swept.Pairs || len(r.Swept.Estimated) > 0 {
		t.Errorf("%+v, %+v", r.Findings, r.Swept)
	}
}

// A flap that is lifted meets the tent beside it. Source: the flap's edge is 30
// from its hinge and the tent's base line 20 from it, so it turns through the
// tent's panel.
func TestHandDrivenContact(t *testing.T) {
	d := decode(t, pageOf130, tentAt("quay", 20)+`,
		{"id":"hatch","kind":"flap","on":{"panel":"page.right"},"hinge_length":20,"depth":40,"opens_to":170,"place":{"u":70,"v":25,"rotate":90}}`)
	found := check(d)
	for _, f := range found {
		if f.Code == finding.PanelsCollide && strings.Contains(f.Message, "with hatch.") {
			if f.At.From != d.Spread.OpensTo || f.At.To != d.Spread.OpensTo {
				t.Errorf("at %+v, want fully open", f.At)
			}
			return
		}
	}
	t.Errorf("the flap is not found to meet the tent: %+v", found)
}

// A flap that is lifted into the tent behind it need only be lifted less. Source:
// fully open the tent's ridge is sqrt(34² - 22²) = 25.92 up and 40 from the hinge,
// nearer than the flap is deep, so the flap meets it at 180° - atan(25.92/40) =
// 147.05°.
func TestFlapIsLiftedLess(t *testing.T) {
	d := decode(t, pageOf130, `{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":40,"to":90,"left":{"base_offset":22,"panel_width":34}},
		{"id":"hatch","kind":"flap","on":{"panel":"page.right"},"hinge_length":70,"depth":50,"opens_to":170,"place":{"u":40,"v":40}}`)
	f := only(t, check(d), finding.PanelsCollide)
	requireCure(t, d, f)
	if to := f.Remedy.Changes[0]; to.Pointer != "/mechanisms/1/opens_to" || to.Value < 146.9 || to.Value > 147.05 {
		t.Errorf("%s", f.Remedy.Text)
	}
}

// What runs into something because it does not shut or stands on what does not is
// no fault of its own.
func TestDisturbedMechanismsAreNotBlamed(t *testing.T) {
	d := decode(t, pageOf130, quay+`"left":{"base_offset":30,"panel_width":50},"right":{"base_offset":45,"panel_width":45}},
		{"id":"gull","kind":"v_fold","on":{"fold":"quay.ridge"},"at":20,"left":{"base_angle":50,"panel_angle":60,"base_length":15},"ridge_length":12}`)
	for _, f := range check(d) {
		if ofSweep(f.Code) {
			t.Errorf("blamed: %s", f.Message)
		}
	}
}

// Every pair of every example is proved to clear, linkages by an estimate.
func TestExamplesAreProved(t *testing.T) {
	for _, name := range designs.Names() {
		document, _ := designs.Read(name)
		d, err := design.Decode(document)
		if err != nil {
			t.Fatal(err)
		}
		swept := collide.Compile(kinematics.Compile(d), nil).Sweep(collide.Options{})
		if len(swept.Contacts)+len(swept.Undecided) > 0 || swept.Proved != swept.Pairs {
			t.Errorf("%s: %+v", name, swept)
		}
	}
}

// Sides a micrometre from matching are a hair through the page just before it is
// shut, which says nothing that the mismatch does not.
func TestUnevenSides(t *testing.T) {
	d := decode(t, pageOf130, quay+`"left":{"base_offset":30,"panel_width":50},"right":{"base_offset":30,"panel_width":49.999}}`)
	for _, f := range check(d) {
		if f.Severity != finding.Note || math.IsNaN(f.Amount.Value) {
			t.Errorf("%s: %s", f.Severity, f.Message)
		}
	}
}

// Of two faults that mirror each other the sooner is told, whichever is looked at
// first, so a design and its mirror image have the same findings.
func TestMirroredFaultsAreToldAlike(t *testing.T) {
	soon := finding.Finding{Severity: finding.Error, Amount: finding.Amount{Value: 3, Unit: "mm"}, At: finding.Interval{From: 0.1}}
	late := soon
	late.At.From, late.Amount.Value = 0.4, 3+1e-12
	if !worse(&soon, &late) || worse(&late, &soon) {
		t.Error("the later of two faults alike is told")
	}
}

// What is named after a preposition is told by a noun.
func TestFieldNamesRead(t *testing.T) {
	d := decode(t, pageOf130, tentAt("quay", 20))
	for pointer, want := range map[string]string{
		"/mechanisms/0/from": "the start of quay", "/mechanisms/0/left/panel_width": "the left panel width of quay",
		"/spread/opens_to": "the full opening", "/spread/page_width": "the page width",
	} {
		if got := FieldName(d, pointer); got != want {
			t.Errorf("%s is called %q, want %q", pointer, got, want)
		}
	}
}
