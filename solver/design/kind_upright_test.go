package design

import (
	"fmt"
	"testing"
)

const (
	goodTent  = `{"id":"sail","kind":"slide_tent","page":"right","from":10,"to":50,"fixed_offset":20,"near_width":30,"far_width":25,"travel":36,"strip":{"width":12,"at":30}}`
	goodLayer = `{"id":"deck","kind":"floating_layer","on":{"fold":"gutter"},"from":10,"to":50,"height":15,"left_extent":40,"right_extent":30,"left_support":25,"right_support":20}`
	goodBox   = `{"id":"crate","kind":"box","on":{"fold":"gutter"},"from":10,"to":90,"left_offset":25,"right_offset":30,"height":20,"lid":true,"ends":"out","lid_fold":"in"}`
)

// A page can be named in three ways, which must agree.
func TestPageOfSlideTent(t *testing.T) {
	for _, row := range []struct {
		page, want, pointer string
		code                Code
	}{
		{`"page":"left",`, PageLeft, "", ""},
		{`"on":{"page":"right"},`, PageRight, "", ""},
		{`"on":{"panel":"page.left"},`, PageLeft, "", ""},
		{`"page":"left","on":{"page":"left","panel":"page.left"},`, PageLeft, "", ""},
		{``, "", "/page", CodeMissing},
		{`"on":{},`, "", "/page", CodeMissing},
		{`"page":"middle",`, "", "/page", CodeNotAllowed},
		{`"page":7,`, "", "/page", CodeWrongType},
		{`"on":{"page":"up"},`, "", "/on/page", CodeNotAllowed},
		{`"on":{"panel":"deck.layer_left"},`, "", "/on/panel", CodeNotAllowed},
		{`"on":{"fold":"gutter"},"page":"left",`, "", "/on/fold", CodeUnknown},
		{`"page":"left","on":{"page":"right"},`, "", "/on/page", CodeNotAllowed},
		{`"page":"left","on":{"panel":"page.right"},`, "", "/on/panel", CodeNotAllowed},
		{`"on":{"page":"left","panel":"page.right"},`, "", "/on/panel", CodeNotAllowed},
	} {
		document := with(swap(goodTent, `"page":"right",`, row.page))
		if row.code == "" {
			if got := decode(t, document).Mechanisms[0].On; got != (Host{Panel: row.want}) {
				t.Errorf("%s: stands on %+v, want %s", row.page, got, row.want)
			}
			continue
		}
		got := problems(t, document)
		if len(got) != 1 || got[0].Pointer != "/mechanisms/0"+row.pointer || got[0].Code != row.code {
			t.Errorf("%s: got %v, want one %s at %s", row.page, got, row.code, row.pointer)
		}
	}
}

func TestFaultsOfUprightKinds(t *testing.T) {
	for _, row := range []struct {
		good, old, with string
		pointer         string
		code            Code
	}{
		{goodTent, `"width":12`, `"width":41`, "/strip/width", CodeOutOfRange},
		{goodTent, `"strip":{"width":12,"at":30}`, `"strip":{"width":40.5}`, "/strip/width", CodeOutOfRange},
		{goodTent, `"at":30`, `"at":15`, "/strip/at", CodeOutOfRange},
		{goodTent, `"at":30`, `"at":45`, "/strip/at", CodeOutOfRange},
		{goodTent, `"to":50`, `"to":10`, "/to", CodeOutOfRange},
		{goodTent, `"to":50`, `"to":18,"joint":{"tab_depth":9}`, "/strip/width", CodeOutOfRange},
		{goodTent, `"travel":36`, `"travel":0`, "/travel", CodeOutOfRange},
		{goodTent, `"travel":36,`, ``, "/travel", CodeMissing},
		{goodTent, `"travel":36`, `"travel":36,"guided":"yes"`, "/guided", CodeWrongType},
		{goodTent, `"travel":36`, `"travel":36,"outline":"M0 0"`, "/outline", CodeUnknown},
		{goodLayer, `"left_support":25`, `"left_support":41`, "/left_support", CodeOutOfRange},
		{goodLayer, `"right_support":20`, `"right_support":31`, "/right_support", CodeOutOfRange},
		{goodLayer, `"height":15,`, ``, "/height", CodeMissing},
		{goodLayer, `"on":{"fold":"gutter"}`, `"on":{"panel":"page.left"}`, "/on/panel", CodeNotAllowed},
		{goodBox, `"ends":"out"`, `"ends":"in"`, "/lid_fold", CodeNotAllowed},
		{goodBox, `"ends":"out"`, `"ends":"up"`, "/ends", CodeNotAllowed},
		{goodBox, `"left_offset":25,`, ``, "/left_offset", CodeMissing},
		{goodBox, `"right_offset":30`, `"right_offset":2001`, "/right_offset", CodeOutOfRange},
		{goodBox, `"lid":true`, `"lid":1`, "/lid", CodeWrongType},
	} {
		got := problems(t, with(swap(row.good, row.old, row.with)))
		if len(got) != 1 || got[0].Pointer != "/mechanisms/0"+row.pointer || got[0].Code != row.code {
			t.Errorf("%s: got %v, want one %s at %s", row.with, got, row.code, row.pointer)
		}
	}
}

// Folds and panels that stand only for some documents, and on one side.
func TestStandingOnUprightKinds(t *testing.T) {
	mast := func(on string) string {
		return `{"id":"mast","kind":"v_fold","on":{` + on + `},"at":5,"left":{"base_angle":50,"panel_angle":60,"base_length":9},"ridge_length":9}`
	}
	for _, row := range []struct {
		host, on string
		side     Side
		pointer  string
		code     Code
	}{
		{goodTent, `"fold":"sail.near_base"`, Outer, "", ""},
		{goodTent, `"fold":"sail.ridge"`, Inner, "", ""},
		{goodLayer, `"fold":"deck.layer_fold"`, Inner, "", ""},
		{goodLayer, `"fold":"deck.layer_fold","side":"outer"`, "", "/on/side", CodeNotAllowed},
		{goodLayer, `"fold":"deck.left_top"`, Inner, "", ""},
		{goodLayer, `"fold":"deck.left_top","side":"outer"`, Outer, "", ""},
		{goodLayer, `"fold":"deck.center_left_base"`, Outer, "", ""},
		{goodLayer, `"fold":"deck.center_left_base","side":"inner"`, "", "/on/side", CodeNotAllowed},
		{goodLayer, `"fold":"deck.ridge"`, "", "/on/fold", CodeUnknownHost},
		{goodBox, `"fold":"crate.front_crease"`, Inner, "", ""},
		{goodBox, `"fold":"crate.lid_crease"`, Outer, "", ""},
		{swap(goodBox, `"ends":"out","lid_fold":"in"`, `"ends":"in"`), `"fold":"crate.front_crease"`, Outer, "", ""},
		{swap(goodBox, `"ends":"out","lid_fold":"in"`, `"ends":"in"`), `"fold":"crate.lid_crease"`, Inner, "", ""},
		{swap(goodBox, `"lid":true`, `"lid":false`), `"fold":"crate.lid_crease"`, "", "/on/fold", CodeUnknownHost},
	} {
		document := with(row.host, mast(row.on))
		if row.code == "" {
			if got := decode(t, document).Mechanisms[1].On.Side; got != row.side {
				t.Errorf("%s is stood on from %s, want %s", row.on, got, row.side)
			}
			continue
		}
		got := problems(t, document)
		if len(got) != 1 || got[0].Pointer != "/mechanisms/1"+row.pointer || got[0].Code != row.code {
			t.Errorf("%s: got %v, want one %s at %s", row.on, got, row.code, row.pointer)
		}
	}
	step := `{"id":"hatch","kind":"cut_step","on":{"fold":"%s"},"from":2,"to":9,"left_offset":5,"right_offset":5}`
	decode(t, with(goodLayer, fmt.Sprintf(step, "deck.layer_fold")))
	decode(t, with(goodBox, fmt.Sprintf(step, "crate.front_crease")))
	if got := problems(t, with(goodBox, fmt.Sprintf(step, "crate.back_left_corner"))); got[0].Pointer != "/mechanisms/1/on/fold" {
		t.Errorf("cut across a seam: %v", got)
	}
}

// Measurements that were left out follow the others; those that are given can
// be changed on a copy alone and hold the design consistent.
func TestOptionalMeasurements(t *testing.T) {
	layer := decode(t, with(swap(goodLayer, `"left_extent":40,"right_extent":30,"left_support":25,"right_support":20`, `"left_extent":40`)))
	spec := layer.Mechanisms[0].Spec.(*FloatingLayer)
	if l, r := spec.Supports(); l != 30 || r != 30 {
		t.Errorf("supports at %g and %g, want 30", l, r)
	}
	if n, ok := layer.Number("/mechanisms/0/right_support"); ok {
		t.Errorf("a support that was left out can be changed from %g", n.Get())
	}
	tent := decode(t, with(swap(goodTent, `,"strip":{"width":12,"at":30}`, ``)))
	if s := tent.Mechanisms[0].Spec.(*SlideTent); s.StripMiddle() != 30 || s.Strip.Width != 12 || !s.Guided || s.Anchor() != 18 {
		t.Errorf("tent %+v", s)
	}

	for _, row := range []struct{ mechanism, pointer, text string }{
		{goodTent, "/mechanisms/0/strip/at", "the strip leaves the tent"},
		{goodTent, "/mechanisms/0/strip/width", "the strip is wider than the tent"},
		{goodLayer, "/mechanisms/0/left_support", "the support is beyond the layer"},
		{goodLayer, "/mechanisms/0/right_support", "the support is beyond the layer"},
		{goodBox, "/mechanisms/0/from", "the box ends before it starts"},
	} {
		d := decode(t, with(row.mechanism))
		c := d.Clone()
		n, ok := c.Number(row.pointer)
		if !ok {
			t.Errorf("%s cannot be changed", row.pointer)
			continue
		}
		n.Set(1000)
		if original, _ := d.Number(row.pointer); original.Get() == 1000 {
			t.Errorf("%s of the original changed with its copy", row.pointer)
		}
		if !d.Consistent() || c.Consistent() {
			t.Errorf("consistent although %s", row.text)
		}
	}
}
