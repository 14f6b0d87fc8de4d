package api

import (
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// press gives the focus to a button and presses it with the keyboard alone.
func (s *exampleSite) press(t *testing.T, button string) {
	t.Helper()
	if got := s.eval(t, `(b => { b.focus(); return document.activeElement === b && b.getClientRects().length > 0; })(`+button+`)`); got != "true" {
		t.Fatalf("the focus does not come to %s", button)
	}
	s.run(t, chromedp.KeyEvent(kb.Enter))
}

func pointed(pointer string) string { return strings.ReplaceAll(field, "POINTER", pointer) }

// Panels and their corners can be added and removed without a mouse, in a
// narrow window too, and what that breaks is told where it is.
func TestExampleSiteEditsLists(t *testing.T) {
	s := newExampleSite(t, true)
	send(t, s.window, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: 390, Height: 844, DeviceScaleFactor: 1, Mobile: true})
	s.wait(t, recovered)
	s.run(t, chromedp.Evaluate[chromedp.Void](`document.querySelector("#kinds input[value=linkage]").click()`))
	s.wait(t, recovered+` && document.querySelector("#fields legend").textContent === "Linkage"`)
	const panels = "/mechanisms/0/panels"
	s.run(t, chromedp.Evaluate[chromedp.Void](pointed(panels)+`.open = true`))

	// A panel more is a copy of the last under another name, and hangs from nothing.
	s.press(t, pointed(panels)+`.querySelector(":scope > .add")`)
	if got := s.eval(t, `document.activeElement.dataset.pointer + " " + document.activeElement.value`); got != panels+"/8/id lid_right_2" {
		t.Errorf("after one is added the focus is at %s", got)
	}
	s.wait(t, settled+` && !!`+pointed(panels+"/8")+`.querySelector(".finding.error")`)
	if got := s.eval(t, `document.documentElement.scrollWidth <= 390`); got != "true" {
		t.Errorf("the page is %s wide", s.eval(t, `document.documentElement.scrollWidth`))
	}

	// A corner more lies on the last edge, so the shape stays; a field of it that
	// is emptied is told there.
	outline := panels + "/8/outline"
	s.press(t, pointed(outline)+`.querySelector(".add")`)
	if got := s.eval(t, pointed(outline+"/4/0")+`.value + " " + `+pointed(outline+"/4/1")+`.value`); got != "0 12" {
		t.Errorf("the corner is at %s", got) // between (0, 24) and (0, 0) of the example's lid
	}
	s.enter(t, outline+"/4/1", "")
	s.wait(t, pointed(outline+"/4/1")+`.getAttribute("aria-invalid") === "true"`)
	if got := s.eval(t, `document.getElementById(`+pointed(outline+"/4/1")+`.id + "-said").textContent`); got != "Must be a number." {
		t.Errorf("at the corner it says %q", got)
	}
	s.press(t, pointed(outline+"/4")+`.querySelector(".remove")`)
	if got := s.eval(t, `document.activeElement.getAttribute("aria-label")`); got != "Remove: Outline 4" {
		t.Errorf("after a corner is removed the focus is at %q", got)
	}
	s.wait(t, settled+` && !document.querySelector("[aria-invalid]")`)

	// Without the panel that was added, it is as good as it was.
	s.press(t, pointed(panels+"/8")+`.querySelector(":scope > .remove")`)
	if got := s.eval(t, `document.activeElement.textContent`); got != "8: lid_right" {
		t.Errorf("after a panel is removed the focus is at %q", got)
	}
	s.wait(t, recovered+` && !document.querySelector(".finding.error")`)
	if got := s.eval(t, pointed(panels)+`.querySelectorAll(":scope > .item").length`); got != "8" {
		t.Errorf("%s panels", got)
	}

	// A list that may be left out goes with the last that is in it, and begins anew.
	angles := "/mechanisms/0/start/angles"
	s.run(t, chromedp.Evaluate[chromedp.Void](pointed(angles)+`.open = true`))
	for s.eval(t, `!!`+pointed(angles+"/0")) == "true" {
		s.run(t, chromedp.Evaluate[chromedp.Void](pointed(angles+"/0")+`.open = true`))
		s.press(t, pointed(angles+"/0")+`.querySelector(":scope > .remove")`)
	}
	s.press(t, pointed(angles)+`.querySelector(":scope > .add")`)
	s.wait(t, settled+` && !!document.querySelector('#fields [data-pointer="`+angles+`/0/fold"][aria-invalid]')`)
	s.nothing(t)
}
